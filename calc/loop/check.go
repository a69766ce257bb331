package loop

import (
	"math"

	"rillmark/calc/fault"
	"rillmark/calc/stat"
)

// Point is one point of a loop check: a flow that the meter showed or simulated, the
// current measured then, and what the far end of the loop showed, where it was read.
type Point struct {
	Flow    float64  // m³/s
	Current float64  // A, measured
	Shown   *float64 // m³/s, by the control system
}

// Checked is what one point comes to. Errors are fractions of the span.
type Checked struct {
	Expected  float64  // A, that the flow asks for
	Means     float64  // m³/s, that the current means
	State     State    // of the current
	Counts    bool     // the current measures and the flow lies on the scale, so the error is one of the output
	Output    float64  // error of the current
	Receiving *float64 // error of the far end against the current
	Loop      *float64 // error of the far end against the flow: output and receiving together
}

// ZeroSpan tells the errors of a loop apart: I − I_expected = zero + span·share, where
// share runs from 0 to 1 along the scale.
type ZeroSpan struct {
	Zero, ZeroUncertainty float64 // fraction of the span, at the low end; standard uncertainty from the scatter
	Span, SpanUncertainty float64 // fraction of the span: how much too long it is
	Residual              float64 // standard deviation about the line: non-linearity and reading
}

// leastForLine is how many points a line with its uncertainty needs.
const leastForLine = 3

// Check compares every point of a loop with what it should be.
//
//	output    = (I − I(q)) / (I_high − I_low)
//	receiving = (shown − q(I)) / (q_high − q_low)
//	loop      = (shown − q) / (q_high − q_low) = output + receiving
//
// Errors: those of Scaling.Validate; NotFinite with the field of the point.
func Check(s Scaling, points []Point) ([]Checked, error) {
	if err := s.Validate(); err != nil {
		return nil, err
	}
	var l fault.List
	all := make([]Checked, len(points))
	span := s.FlowAtHigh - s.FlowAtLow
	for i, p := range points {
		if !finite(p.Flow) || !finite(p.Current) || p.Shown != nil && !finite(*p.Shown) {
			l = append(l, NotFinite.At("points"))
			continue
		}
		c := Checked{Expected: s.Current(p.Flow), Means: s.Flow(p.Current), State: s.StateOf(p.Current), Output: s.OfSpan(p.Current, p.Flow)}
		c.Counts = c.State.Measures() && s.StateOf(c.Expected) == Measuring
		if p.Shown != nil {
			receiving, loop := (*p.Shown-c.Means)/span, (*p.Shown-p.Flow)/span
			c.Receiving, c.Loop = &receiving, &loop
		}
		all[i] = c
	}
	return all, l.Err()
}

// ZeroAndSpan lays a line through the output's errors along the scale. Points that do not
// count are left out: a current that signals a failure, and a flow beyond the scale, which
// an output stops short of.
//
// Errors: TooFew; those of Check and stat.FitLine.
//
// Source: least squares, see stat.FitLine.
func ZeroAndSpan(s Scaling, points []Point) (ZeroSpan, error) {
	checked, err := Check(s, points)
	if err != nil {
		return ZeroSpan{}, err
	}
	var share, off []float64
	for i, c := range checked {
		if c.Counts {
			share = append(share, (points[i].Flow-s.FlowAtLow)/(s.FlowAtHigh-s.FlowAtLow))
			off = append(off, c.Output)
		}
	}
	if len(share) < leastForLine {
		return ZeroSpan{}, TooFew.At("points", len(share), leastForLine)
	}
	line, err := stat.FitLine(share, off)
	if err != nil {
		return ZeroSpan{}, err
	}
	return ZeroSpan{line.Intercept, line.InterceptUncertainty, line.Slope, line.SlopeUncertainty, line.ResidualDeviation}, nil
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
