package calcjson

import (
	"math"

	"rillmark/calc/fault"
	"rillmark/calc/loop"
)

type loopAnswer struct {
	Points  []loopPoint `json:"points"`
	Line    *loopLine   `json:"zero_and_span"`
	Worst   float64     `json:"largest_output_error_percent_of_span"`
	Remarks []problem   `json:"remarks"`
}

type loopPoint struct {
	Flow      float64  `json:"flow_m3_s"`
	Current   float64  `json:"current_A"`
	Expected  float64  `json:"expected_current_A"`
	Means     float64  `json:"means_flow_m3_s"`
	State     string   `json:"state"`
	Measures  bool     `json:"measures"`
	Counts    bool     `json:"counts"`
	Output    float64  `json:"output_error_percent_of_span"`
	Receiving *float64 `json:"receiving_error_percent_of_span"`
	Loop      *float64 `json:"loop_error_percent_of_span"`
}

type loopLine struct {
	Zero            float64 `json:"zero_error_percent_of_span"`
	ZeroUncertainty float64 `json:"zero_standard_uncertainty_percent_of_span"`
	Span            float64 `json:"span_error_percent_of_span"`
	SpanUncertainty float64 `json:"span_standard_uncertainty_percent_of_span"`
	Residual        float64 `json:"residual_standard_deviation_percent_of_span"`
}

// loopCheck is the kind "loop-check": loop.Check and loop.ZeroAndSpan.
func loopCheck(o *object, say func(fault.Fault) string) (any, error) {
	s := loop.Scaling{LowSignal: o.numberOr("low_signal_A", loop.LiveZero), HighSignal: o.numberOr("high_signal_A", loop.FullScale),
		FlowAtLow: o.number("flow_at_low_m3_s"), FlowAtHigh: o.number("flow_at_high_m3_s")}
	o.need("points")
	var points []loop.Point
	for _, p := range o.objects("points", maxMembers) {
		one := loop.Point{Current: p.number("current_A")}
		// Without a flow a point asks what the current says, and is no error.
		if one.Flow = p.numberOr("flow_m3_s", s.Flow(one.Current)); p.has("shown_m3_s") {
			shown := p.number("shown_m3_s")
			one.Shown = &shown
		}
		p.done()
		points = append(points, one)
	}
	o.done()
	if err := o.err(); err != nil {
		return nil, err
	}
	checked, err := loop.Check(s, points)
	if err != nil {
		return nil, err
	}
	a := loopAnswer{Points: []loopPoint{}, Remarks: toldAll(s.Remarks(), say)}
	for i, c := range checked {
		a.add(points[i], c)
	}
	line, err := loop.ZeroAndSpan(s, points)
	if err != nil {
		a.Remarks = append(a.Remarks, toldAll(fault.AllOf(err), say)...)
		return a, nil
	}
	a.Line = &loopLine{100 * line.Zero, 100 * line.ZeroUncertainty, 100 * line.Span, 100 * line.SpanUncertainty, 100 * line.Residual}
	return a, nil
}

func (a *loopAnswer) add(p loop.Point, c loop.Checked) {
	percent := func(x *float64) *float64 {
		if x == nil {
			return nil
		}
		y := 100 * *x
		return &y
	}
	a.Points = append(a.Points, loopPoint{p.Flow, p.Current, c.Expected, c.Means, string(c.State), c.State.Measures(), c.Counts, 100 * c.Output, percent(c.Receiving), percent(c.Loop)})
	if off := 100 * c.Output; c.Counts && math.Abs(off) > math.Abs(a.Worst) {
		a.Worst = off
	}
}
