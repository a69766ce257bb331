package beam

import (
	"math"

	"rillmark/calc/num"
)

const (
	// CommonLimit is how far from the recommended spacing transducers may be set, in metres:
	// 6 mm, common practice, no source.
	CommonLimit = 0.006
	// FlowLimit is how much the flow may change by a spacing the reference cannot be told,
	// as a fraction: 0.2 %, a choice of the design, no source.
	FlowLimit = 0.002

	// lengthSlack forgives the rounding of a difference of two lengths in metres.
	lengthSlack = 1e-9
)

// SpacingAcceptance is how far the actual spacing may be from the recommended one.
type SpacingAcceptance struct {
	Limit        float64 // m, the smaller of CommonLimit and the shift that changes flow by FlowLimit
	FlowPerMetre float64 // 1/m, relative change of flow per metre of spacing not entered
	Told         bool    // the reference is told the actual spacing, so only CommonLimit counts
}

// Accepts reports whether the actual spacing is within the limit of the recommended one,
// both in metres. On the limit it is.
func (a SpacingAcceptance) Accepts(recommended, actual float64) bool {
	return math.Abs(actual-recommended) <= a.Limit+lengthSlack
}

// AcceptSpacing returns how far the actual spacing may be from the recommended one: 6 mm
// (common practice) and, where the reference is not told the actual spacing, at most the
// shift that changes the flow by 0.2 %, found from the sensitivity at the recommended
// spacing: limit = min(6 mm, 0.002/|∂ ln q/∂ spacing|).
//
// Errors: as FlowChange, and num.NoSensitivity.
func AcceptSpacing(s Setup, way Way, told bool) (SpacingAcceptance, error) {
	m := Model{
		Model: num.Model{Names: []string{SpacingName}, Eval: func(x []float64) (float64, error) {
			// One is added because a change of zero leaves no scale to judge a slope of zero by.
			change, err := FlowChange(s, way, x[0])
			return 1 + change, err
		}},
		At:    []float64{0},
		Steps: []float64{spacingSet.step},
	}
	slopes, err := m.Slopes()
	if err != nil {
		return SpacingAcceptance{}, err
	}
	a := SpacingAcceptance{Limit: CommonLimit, FlowPerMetre: slopes[0].Value, Told: told}
	if byFlow := FlowLimit / math.Abs(a.FlowPerMetre); !told && byFlow < CommonLimit {
		a.Limit = byFlow
	}
	return a, nil
}

// FlowChange returns the relative change of the flow the reference shows (0.01 is 1 % more)
// when the transducers are set farther apart than recommended by shift (m, negative:
// closer) and the reference is left to believe the recommended spacing. With the sound
// speed entered it is zero; with the wedge's angle about −p·shift/T, the shift in time
// against the transit time of the fluid.
//
// Errors: as Transit and Flow.
//
// Source: the model of the package comment. It gives the trade's 2 % at DN 50 and 0.3 % at
// DN 300 for 6 mm and two traverses (common practice).
func FlowChange(s Setup, way Way, shift float64) (float64, error) {
	if err := s.Validate(); err != nil {
		return 0, err
	}
	flow := func(shift float64) (float64, error) {
		t, err := s.Transit(s.recommended()+shift, 1)
		if err != nil {
			return 0, err
		}
		f, err := s.Flow(Reading{s.recommended(), t.Mean, t.Difference, 1}, way)
		return f.Flow, err
	}
	before, err := flow(0)
	if err != nil {
		return 0, err
	}
	after, err := flow(shift)
	return after/before - 1, err
}
