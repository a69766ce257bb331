package calcjson

import (
	"fmt"

	"rillmark/calc/uncertainty"
	model "rillmark/calc/verification"
)

// maxMembers bounds the points of a series.
const maxMembers = 10_000

// commonPart is the name and scope under which the points of a series share an uncertainty.
const commonPart = "common"

// series is the points of one task as a program outside gives them.
type series struct {
	members  []model.Member
	coverage float64
}

// series reads points with their own and their common standard uncertainties.
func (o *object) series() series {
	s := series{coverage: o.numberOr("coverage", uncertainty.CoverageDefault)}
	common := o.uncertain("common_standard_uncertainty_percent", 0)
	o.need("points")
	for i, p := range o.objects("points", maxMembers) {
		m := model.Member{Flow: p.number("flow_m3_s"), Error: model.Estimate{Value: p.number("error_percent") / 100}}
		own := p.uncertain("standard_uncertainty_percent", 0)
		freedom := p.numberOr("degrees_of_freedom", uncertainty.Infinite)
		if freedom < 1 {
			p.add(uncertainty.CodeFreedomTooSmall.At(p.at("degrees_of_freedom"), "degrees_of_freedom", freedom))
		}
		m.Error.Parts = []model.Part{
			{Key: model.Key{Name: "own", Scope: fmt.Sprint(i)}, Contribution: own / 100, Freedom: freedom},
			{Key: model.Key{Name: commonPart}, Contribution: p.uncertain("common_standard_uncertainty_percent", common) / 100, Freedom: uncertainty.Infinite},
		}
		p.done()
		s.members = append(s.members, m)
	}
	return s
}

// uncertain reads an uncertainty, which is not below zero.
func (o *object) uncertain(name string, fallback float64) float64 {
	u := o.numberOr(name, fallback)
	if u < 0 {
		o.add(uncertainty.CodeNegative.At(o.at(name), name, u))
	}
	return u
}

// estimateAnswer is a value with its uncertainty, in the unit that the fields around say.
type estimateAnswer struct {
	Value            float64  `json:"value"`
	Standard         float64  `json:"standard_uncertainty"`
	Freedom          *float64 `json:"effective_degrees_of_freedom"`
	K                float64  `json:"coverage_factor"`
	Expanded         float64  `json:"expanded_uncertainty"`
	SignificantlyOff bool     `json:"significant"`
}

// tellEstimate tells an estimate times a unit; it is significant where it differs from its
// right value by more than U.
func (s series) tellEstimate(e model.Estimate, unit, right float64) (estimateAnswer, error) {
	u, err := e.Uncertainty(s.coverage)
	if err != nil {
		return estimateAnswer{}, err
	}
	return estimateAnswer{Value: e.Value * unit, Standard: u.Standard * unit, Freedom: orNull(u.Freedom), K: u.K, Expanded: u.Expanded * unit,
		SignificantlyOff: model.Significant(e.Value-right, u.Expanded)}, nil
}

// errors are the members' errors, in order.
func (s series) errors() (all []model.Estimate, flows, values []float64) {
	for _, m := range s.members {
		all, flows, values = append(all, m.Error), append(flows, m.Flow), append(values, m.Error.Value)
	}
	return all, flows, values
}
