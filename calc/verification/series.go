package verification

import (
	"fmt"
	"math"

	"rillmark/calc/fault"
)

// Member is the error of a meter at one flow, as one point of a series.
type Member struct {
	Flow  float64  // m³/s, of the reference, > 0
	Error Estimate // relative
}

// MemberFlow: a flow of a series must be above zero.
var MemberFlow = fault.Define("verification.member-flow", fault.N("value"))

// checkMembers returns what is wrong with a series, fields "points[2].flow_m3_s".
func checkMembers(members []Member, least int) error {
	if len(members) < least {
		return SeriesTooShort.At("points", len(members), least)
	}
	var l fault.List
	for i, m := range members {
		if !(m.Flow > 0) || math.IsInf(m.Flow, 1) {
			l = append(l, MemberFlow.At(fmt.Sprintf("points[%d].flow_m3_s", i), m.Flow))
		}
		if !finite(m.Error.Value) {
			l = append(l, NotFinite.At(fmt.Sprintf("points[%d].error_percent", i)))
		}
	}
	return l.Err()
}

// SeriesTooShort: fewer points than the act needs.
var SeriesTooShort = fault.Define("verification.series-too-short", fault.C("points"), fault.C("least"))

// FlowWeighted returns the flow-weighted mean error of a series,
//
//	Ē = Σ (q_i/q_max · E_i) / Σ (q_i/q_max)
//
// relative, with what the points share fully correlated. q_max cancels. It is the error of
// the volume that passes where every flow runs for the same time; the arithmetic mean is
// that where every flow passes the same volume. Flows in m³/s, above zero; one point or more.
//
// Errors: SeriesTooShort; a fault.List of MemberFlow, NotFinite.
//
// Source: the weighted mean error of OIML R 137:2012 without its factor near q_max (from
// memory); JCGM 100:2008, 5.2.2 for the uncertainty.
func FlowWeighted(members []Member) (Estimate, error) {
	if err := checkMembers(members, 1); err != nil {
		return Estimate{}, err
	}
	sum := 0.0
	for _, m := range members {
		sum += m.Flow
	}
	weights, errors := make([]float64, len(members)), make([]Estimate, len(members))
	for i, m := range members {
		weights[i], errors[i] = m.Flow/sum, m.Error
	}
	return Linear(weights, errors), nil
}

// Trend is a straight line laid through the errors of a series, E = Intercept + Slope·q,
// with the uncertainties that the points' own bring: what they share moves the whole line.
type Trend struct {
	Intercept Estimate // relative
	Slope     Estimate // relative per m³/s
}

// TrendOf lays a line through errors against flow by least squares, every point with the
// same weight:
//
//	b = Σ(q − q̄)·E/S,  a = Σ(1/n − q̄·(q − q̄)/S)·E,  S = Σ(q − q̄)²
//
// Both are linear in the errors, so their uncertainties follow from the points' with all
// covariances. Two different flows or more; the scatter about the line is stat.FitLine's.
//
// Errors: SeriesTooShort; OneFlow; a fault.List of MemberFlow, NotFinite.
//
// Source: the normal equations; JCGM 100:2008, 5.2.2.
func TrendOf(members []Member) (Trend, error) {
	if err := checkMembers(members, 2); err != nil {
		return Trend{}, err
	}
	x, errors := make([]float64, len(members)), make([]Estimate, len(members))
	for i, m := range members {
		x[i], errors[i] = m.Flow, m.Error
	}
	intercept, slope, err := lineWeights(x)
	if err != nil {
		return Trend{}, err
	}
	return Trend{Linear(intercept, errors), Linear(slope, errors)}, nil
}

// OneFlow: all points of a series are at one flow, so no line can be laid through them.
var OneFlow = fault.Define("verification.one-flow")

// lineWeights returns the weights with which the y of a least-squares line make its
// intercept and its slope.
func lineWeights(x []float64) (intercept, slope []float64, err error) {
	n, mean := float64(len(x)), 0.0
	for _, v := range x {
		mean += v / n
	}
	spread := 0.0
	for _, v := range x {
		spread += (v - mean) * (v - mean)
	}
	if spread == 0 {
		return nil, nil, OneFlow.At("points")
	}
	for _, v := range x {
		s := (v - mean) / spread
		slope, intercept = append(slope, s), append(intercept, 1/n-mean*s)
	}
	return intercept, slope, nil
}

// At returns the line at a flow in m³/s, relative.
func (t Trend) At(flow float64) Estimate {
	return Linear([]float64{1, flow}, []Estimate{t.Intercept, t.Slope})
}
