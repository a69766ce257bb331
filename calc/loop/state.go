package loop

import "math"

// State is what a current says of the meter that sends it. The zero value is none.
type State string

// The states.
const (
	FailureLow    State = "failure-low"    // the meter signals a failure, or the loop is broken
	UndefinedLow  State = "undefined-low"  // between failure and measuring: neither
	BelowRange    State = "below-range"    // measuring, below the lower end of the scale
	Measuring     State = "measuring"      // on the scale
	AboveRange    State = "above-range"    // measuring, above the upper end of the scale; the output may be at its stop
	UndefinedHigh State = "undefined-high" // between measuring and failure: neither
	FailureHigh   State = "failure-high"   // the meter signals a failure
)

// The bounds of NE 43, in ampere.
const (
	mostFailureLow   = 0.0036
	leastMeasuring   = 0.0038
	mostMeasuring    = 0.0205
	leastFailureHigh = 0.0210

	slack = 1e-9 // A: the rounding of a text to a number
)

func same(a, b float64) bool { return math.Abs(a-b) <= slack }

// StateOf returns what a current (A) says. Of a signal from 4 to 20 mA:
//
//	I ≤ 3.6 mA failure-low · 3.8 to 4 mA below-range · 4 to 20 mA measuring ·
//	20 to 20.5 mA above-range · I ≥ 21 mA failure-high · between them undefined
//
// the ends belong to measuring, and to failure. Another signal knows no failure: what is
// outside its range is below-range or above-range. The scaling must be valid.
//
// Source: NAMUR NE 43:2003 (from memory); IEC 60381-1:1982 (from memory).
func (s Scaling) StateOf(current float64) State {
	switch {
	case current >= s.LowSignal-slack && current <= s.HighSignal+slack:
		return Measuring
	case !s.live() && current < s.LowSignal:
		return BelowRange
	case !s.live():
		return AboveRange
	case current <= mostFailureLow+slack:
		return FailureLow
	case current < leastMeasuring-slack:
		return UndefinedLow
	case current < LiveZero:
		return BelowRange
	case current <= mostMeasuring+slack:
		return AboveRange
	case current < leastFailureHigh-slack:
		return UndefinedHigh
	}
	return FailureHigh
}

// Measures reports whether a current in the state still means a flow.
func (s State) Measures() bool { return s == Measuring || s == BelowRange || s == AboveRange }
