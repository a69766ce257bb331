package calcjson

import (
	"rillmark/calc/fault"
	"rillmark/calc/uncertainty"
)

// The most components and correlations of one budget.
const (
	maxComponents   = 500
	maxCorrelations = maxComponents * (maxComponents - 1) / 2
)

type budgetLine struct {
	Name                string  `json:"name"`
	StandardUncertainty float64 `json:"standard_uncertainty"`
	Sensitivity         float64 `json:"sensitivity"`
	Contribution        float64 `json:"contribution"`
	Share               float64 `json:"share"`
}

type budgetAnswer struct {
	StandardUncertainty       float64      `json:"standard_uncertainty"`
	EffectiveDegreesOfFreedom *float64     `json:"effective_degrees_of_freedom"`
	DegreesOfFreedomUsed      *float64     `json:"degrees_of_freedom_used"`
	Coverage                  float64      `json:"coverage"`
	CoverageFactor            float64      `json:"coverage_factor"`
	ExpandedUncertainty       float64      `json:"expanded_uncertainty"`
	Components                []budgetLine `json:"components"`
	Warnings                  []problem    `json:"warnings"`
	Table                     string       `json:"table"`
}

// budget is the kind "budget": uncertainty.Combine.
func budget(o *object, say func(fault.Fault) string) (any, error) {
	b := uncertainty.Budget{Coverage: o.numberOr("coverage", uncertainty.CoverageDefault)}
	o.need("components")
	for _, c := range o.objects("components", maxComponents) {
		b.Components = append(b.Components, component(c))
	}
	for _, c := range o.objects("correlations", maxCorrelations) {
		b.Correlations = append(b.Correlations, uncertainty.Correlation{A: c.word("a"), B: c.word("b"), R: c.number("r")})
		c.done()
	}
	o.done()
	if err := o.err(); err != nil {
		return nil, err
	}
	result, err := uncertainty.Combine(b)
	if err != nil {
		return nil, err
	}
	answer := tellBudget(result, say)
	answer.Table = budgetTable(b, result)
	return answer, nil
}

func component(o *object) uncertainty.Component {
	c := uncertainty.Component{
		Name:             o.word("name"),
		Value:            o.number("value"),
		CoverageK:        o.numberOr("k", 0),
		Sensitivity:      o.numberOr("sensitivity", 1),
		DegreesOfFreedom: o.numberOr("degrees_of_freedom", uncertainty.Infinite),
	}
	o.choice("distribution", true, func(word string) (err error) {
		c.Distribution, err = uncertainty.ParseDistribution(word)
		return err
	})
	o.done()
	return c
}

func tellBudget(r uncertainty.Result, say func(fault.Fault) string) budgetAnswer {
	a := budgetAnswer{
		StandardUncertainty:       r.StandardUncertainty,
		EffectiveDegreesOfFreedom: orNull(r.EffectiveDegreesOfFreedom),
		DegreesOfFreedomUsed:      orNull(r.DegreesOfFreedomUsed),
		Coverage:                  r.Coverage,
		CoverageFactor:            r.CoverageFactor,
		ExpandedUncertainty:       r.ExpandedUncertainty,
		Warnings:                  toldAll(r.Warnings, say),
	}
	for _, c := range r.Contributions {
		a.Components = append(a.Components, budgetLine(c))
	}
	return a
}
