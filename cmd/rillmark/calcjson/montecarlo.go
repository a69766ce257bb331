package calcjson

import (
	"rillmark/calc/beam"
	"rillmark/calc/fault"
	"rillmark/calc/uncertainty"
	model "rillmark/calc/verification"
)

// seedDefault is taken where none is given: the same question has the same answer.
const seedDefault = 1

type twoEnds struct {
	Lower float64 `json:"lower"`
	Upper float64 `json:"upper"`
}

// propagated is what the law of propagation makes of the same components, and whether the
// simulation bears it out.
type propagated struct {
	StandardUncertainty       float64  `json:"standard_uncertainty"`
	EffectiveDegreesOfFreedom *float64 `json:"effective_degrees_of_freedom"`
	CoverageFactor            float64  `json:"coverage_factor"`
	ExpandedUncertainty       float64  `json:"expanded_uncertainty"`
	Tolerance                 float64  `json:"tolerance"`
	LowerDifference           float64  `json:"lower_difference"`
	UpperDifference           float64  `json:"upper_difference"`
	Valid                     bool     `json:"valid"`
	FineEnough                bool     `json:"fine_enough"`
}

type monteCarloAnswer struct {
	Trials              int        `json:"trials"`
	Converged           bool       `json:"converged"`
	Tolerance           float64    `json:"tolerance"`
	Precision           float64    `json:"precision"`
	Mean                float64    `json:"mean"`
	StandardUncertainty float64    `json:"standard_uncertainty"`
	Coverage            float64    `json:"coverage"`
	Symmetric           twoEnds    `json:"symmetric_interval"`
	Shortest            twoEnds    `json:"shortest_interval"`
	Law                 propagated `json:"law_of_propagation"`
	Warnings            []problem  `json:"warnings"`
}

// monteCarlo is the kind "montecarlo": uncertainty.Simulate of a budget, and
// uncertainty.Validate of what uncertainty.Combine makes of the same.
func monteCarlo(o *object, say func(fault.Fault) string) (any, error) {
	s := uncertainty.Simulation{
		Coverage:  o.numberOr("coverage", uncertainty.CoverageDefault),
		Seed:      uint64(o.countOr("seed", seedDefault)),
		Digits:    o.countOr("digits", uncertainty.DigitsDefault),
		Tolerance: o.numberOr("tolerance", 0),
		Trials:    o.countOr("trials", 0),
		Most:      o.countOr("most_trials", uncertainty.TrialsDefault),
	}
	o.need("components")
	law := uncertainty.Budget{Coverage: s.Coverage}
	point := o.flowPoint()
	for _, c := range o.objects("components", maxComponents) {
		acts := ""
		if point != nil {
			acts = c.word("acts_on")
		}
		q, line := drawn(c)
		s.Quantities, law.Components = append(s.Quantities, q), append(law.Components, line)
		if point != nil {
			point.Inputs = append(point.Inputs, model.ErrorInput{Quantity: q, Acts: model.Acts(acts), PerUnit: line.Sensitivity})
		}
	}
	s.Correlations = o.correlated()
	law.Correlations = s.Correlations
	o.done()
	if err := o.err(); err != nil {
		return nil, err
	}
	y, err := prepare(&s, law.Components, point)
	if err != nil {
		return nil, err
	}
	result, err := uncertainty.Simulate(s)
	if err != nil {
		return nil, err
	}
	combined, err := uncertainty.Combine(law)
	if err != nil {
		return nil, err
	}
	return tellMonteCarlo(y, s.Digits, result, combined, say), nil
}

// prepare sets the model of the simulation and the sensitivities of the law of propagation,
// and returns the result where every quantity has its expectation.
func prepare(s *uncertainty.Simulation, lines []uncertainty.Component, point *model.ErrorModel) (y float64, err error) {
	if point != nil {
		if s.Model, err = point.Of(); err != nil {
			return 0, err
		}
		y, sensitivities, err := point.Sensitivities()
		for i, c := range sensitivities {
			lines[i].Sensitivity = c
		}
		return y, err
	}
	sensitivities := make([]float64, len(lines))
	for i, line := range lines {
		sensitivities[i] = line.Sensitivity
		y += line.Sensitivity * s.Quantities[i].Mean()
	}
	s.Model = func(x []float64) float64 {
		sum := 0.0
		for i, c := range sensitivities {
			sum += float64(c * x[i])
		}
		return sum
	}
	return y, nil
}

// flowPoint reads the whole model of a flow point's error; nil where there is none.
func (o *object) flowPoint() *model.ErrorModel {
	if !o.has("flow_point") {
		return nil
	}
	p := o.inner("flow_point")
	m := &model.ErrorModel{Reference: p.number("reference_m3_s"), Indication: p.number("indication_m3_s")}
	m.Setup = p.setup()
	m.WedgeSoundSpeed = p.number(beam.WedgeSoundSpeedName)
	m.Way = p.reference().way
	m.Spacing = p.numberOr(beam.SpacingName, 0)
	given := p.has(beam.SpacingName)
	p.done()
	if !given && o.err() == nil { // the recommended one
		r, err := beam.Spacing(beam.SpacingRequest{Setup: m.Setup, Graduation: 1})
		for _, f := range fault.AllOf(err) {
			p.add(f.In(p.at(f.Field)))
		}
		m.Spacing = r.Spacing
	}
	return m
}

// drawn reads a component as what it is drawn from, and as a line of the budget.
func drawn(o *object) (uncertainty.Quantity, uncertainty.Component) {
	word := o.word("distribution")
	if _, err := uncertainty.ParseDistribution(word); err == nil || word == "" {
		location := o.numberOr("location", 0)
		line := component(o)
		q := uncertainty.QuantityOf(line)
		q.Location = location
		return q, line
	}
	q := uncertainty.Quantity{Name: o.word("name"), Location: o.numberOr("location", 0), Scale: o.number("value"), Shape: o.numberOr("shape", 0)}
	sensitivity := o.numberOr("sensitivity", 1)
	o.choice("distribution", true, func(word string) (err error) {
		q.Density, err = uncertainty.ParseDensity(word)
		return err
	})
	if q.Density == uncertainty.DensityExponential {
		q.Location = q.Scale // its value is its mean
	}
	o.done()
	return q, uncertainty.Component{Name: q.Name, Value: q.StandardUncertainty(), Distribution: uncertainty.Standard,
		Sensitivity: sensitivity, DegreesOfFreedom: uncertainty.Infinite}
}

func tellMonteCarlo(y float64, digits int, r uncertainty.Simulated, law uncertainty.Result, say func(fault.Fault) string) monteCarloAnswer {
	v := uncertainty.Validate(y, law.ExpandedUncertainty, r, digits)
	return monteCarloAnswer{
		Trials: r.Trials, Converged: r.Converged, Tolerance: r.Tolerance, Precision: r.Precision, Mean: r.Mean,
		StandardUncertainty: r.StandardUncertainty, Coverage: r.Coverage,
		Symmetric: twoEnds(r.Symmetric), Shortest: twoEnds(r.Shortest),
		Law: propagated{StandardUncertainty: law.StandardUncertainty, EffectiveDegreesOfFreedom: orNull(law.EffectiveDegreesOfFreedom),
			CoverageFactor: law.CoverageFactor, ExpandedUncertainty: law.ExpandedUncertainty, Tolerance: v.Tolerance,
			LowerDifference: v.Lower, UpperDifference: v.Upper, Valid: v.Valid, FineEnough: v.Fine},
		Warnings: toldAll(r.Warnings, say),
	}
}

// countOr reads a whole number that may be absent.
func (o *object) countOr(name string, fallback int) int {
	if !o.has(name) {
		return fallback
	}
	return o.count(name)
}
