package loop_test

import (
	"math"
	"testing"

	"rillmark/calc/fault"
	"rillmark/calc/loop"
)

// hundred is a live-zero output for 0 to 100 m³/h.
var hundred = loop.Scaling{LowSignal: 0.004, HighSignal: 0.020, FlowAtLow: 0, FlowAtHigh: 100 / 3600.0}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.12g, want %.12g", what, got, want)
	}
}

// IEC 60381-1: 4 mA is 0 %, 8 mA 25 %, 12 mA 50 %, 20 mA 100 % of the scale; arithmetic.
func TestFlowAndCurrent(t *testing.T) {
	backwards := loop.Scaling{LowSignal: 0.004, HighSignal: 0.020, FlowAtLow: 50, FlowAtHigh: -10}
	for _, c := range []struct {
		s             loop.Scaling
		current, flow float64
	}{
		{hundred, 0.004, 0}, {hundred, 0.008, 25 / 3600.0}, {hundred, 0.012, 50 / 3600.0}, {hundred, 0.020, 100 / 3600.0},
		{hundred, 0.0036, -2.5 / 3600}, {loop.Scaling{HighSignal: 0.02, FlowAtLow: 10, FlowAtHigh: 30}, 0.005, 15},
		{backwards, 0.012, 20},
	} {
		near(t, "flow", c.s.Flow(c.current), c.flow, 1e-14)
		near(t, "current", c.s.Current(c.flow), c.current, 1e-15)
	}
	near(t, "of span", hundred.OfSpan(0.01208, 50/3600.0), 0.005, 1e-12)
}

func TestStates(t *testing.T) {
	dead := loop.Scaling{HighSignal: 0.02, FlowAtHigh: 1}
	up, down := func(x float64) float64 { return x + 2e-9 }, func(x float64) float64 { return x - 2e-9 }
	for _, c := range []struct {
		s       loop.Scaling
		current float64
		want    loop.State
	}{
		{hundred, 0, loop.FailureLow}, {hundred, 0.0036, loop.FailureLow}, {hundred, up(0.0036), loop.UndefinedLow},
		{hundred, down(0.0038), loop.UndefinedLow}, {hundred, 0.0038, loop.BelowRange}, {hundred, down(0.004), loop.BelowRange},
		{hundred, 0.004, loop.Measuring}, {hundred, 0.020, loop.Measuring}, {hundred, up(0.020), loop.AboveRange},
		{hundred, 0.0205, loop.AboveRange}, {hundred, up(0.0205), loop.UndefinedHigh}, {hundred, down(0.021), loop.UndefinedHigh},
		{hundred, 0.021, loop.FailureHigh}, {hundred, 0.0225, loop.FailureHigh},
		// "3.6 mA" becomes the neighbour of 0.0036 in one of the ways to read it.
		{hundred, math.Nextafter(0.0036, 1), loop.FailureLow}, {hundred, math.Nextafter(0.021, 0), loop.FailureHigh},
		{dead, 0, loop.Measuring}, {dead, 0.0036, loop.Measuring}, {dead, -0.0001, loop.BelowRange}, {dead, 0.022, loop.AboveRange},
	} {
		got := c.s.StateOf(c.current)
		if got != c.want {
			t.Errorf("%g mA: %s, want %s", c.current*1e3, got, c.want)
		}
		measures := c.want == loop.Measuring || c.want == loop.BelowRange || c.want == loop.AboveRange
		if got.Measures() != measures {
			t.Errorf("%s measures: %v", got, got.Measures())
		}
	}
}

func TestCheckTellsOutputAndFarEndApart(t *testing.T) {
	shown := 51 / 3600.0
	got, err := loop.Check(hundred, []loop.Point{{Flow: 50 / 3600.0, Current: 0.01208, Shown: &shown}, {Flow: 0, Current: 0.0035}})
	if err != nil {
		t.Fatal(err)
	}
	a := got[0]
	near(t, "expected", a.Expected, 0.012, 1e-15)
	near(t, "means", a.Means, 50.5/3600, 1e-12)
	near(t, "output", a.Output, 0.005, 1e-12)
	near(t, "receiving", *a.Receiving, 0.005, 1e-12)
	near(t, "loop", *a.Loop, 0.01, 1e-12)
	near(t, "together", *a.Loop, a.Output+*a.Receiving, 1e-15)
	if a.State != loop.Measuring || got[1].State != loop.FailureLow || got[1].Loop != nil {
		t.Errorf("%+v", got)
	}
}

// An output whose zero is 0.3 % too high and whose span is 0.8 % too long, one point of
// which was at the stop of the output.
func TestZeroAndSpan(t *testing.T) {
	var points []loop.Point
	for _, share := range []float64{0, 0.25, 0.5, 0.75, 1} {
		flow := share * hundred.FlowAtHigh
		points = append(points, loop.Point{Flow: flow, Current: hundred.Current(flow) + 0.016*(0.003+0.008*share)})
	}
	points = append(points, loop.Point{Flow: 2 * hundred.FlowAtHigh, Current: 0.0205}, loop.Point{Flow: hundred.FlowAtHigh, Current: 0.022})
	got, err := loop.ZeroAndSpan(hundred, points)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "zero", got.Zero, 0.003, 1e-12)
	near(t, "span", got.Span, 0.008, 1e-12)
	near(t, "residual", got.Residual, 0, 1e-12)
	// With scatter the uncertainties are those of a line: JCGM 100:2008, H.3.2.
	points = points[:3]
	for i, off := range []float64{0.001, -0.002, 0.001} { // about a mean of 0
		points[i].Current = hundred.Current(points[i].Flow) + 0.016*off
	}
	if got, err = loop.ZeroAndSpan(hundred, points); err != nil {
		t.Fatal(err)
	}
	s := math.Sqrt(0.001*0.001 + 0.002*0.002 + 0.001*0.001)
	near(t, "s", got.Residual, s, 1e-12)
	near(t, "u(span)", got.SpanUncertainty, s/math.Sqrt(0.125), 1e-12)
	near(t, "u(zero)", got.ZeroUncertainty, s*math.Sqrt(0.3125/3/0.125), 1e-12)
}

func TestRefusals(t *testing.T) {
	nan := math.NaN()
	for name, c := range map[string]struct {
		s    loop.Scaling
		code *fault.Code
	}{
		"not a number": {loop.Scaling{LowSignal: nan, HighSignal: 0.02, FlowAtHigh: 1}, loop.NotFinite},
		"reversed":     {loop.Scaling{LowSignal: 0.02, HighSignal: 0.004, FlowAtHigh: 1}, loop.SignalsReversed},
		"below zero":   {loop.Scaling{LowSignal: -0.02, HighSignal: 0.02, FlowAtHigh: 1}, loop.SignalsReversed},
		"no span":      {loop.Scaling{LowSignal: 0.004, HighSignal: 0.02, FlowAtLow: 1, FlowAtHigh: 1}, loop.NoSpan},
	} {
		if _, err := loop.ZeroAndSpan(c.s, nil); !fault.Has(err, c.code) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := loop.Check(hundred, []loop.Point{{Current: nan}}); !fault.Has(err, loop.NotFinite) {
		t.Errorf("a current of nothing: %v", err)
	}
	if _, err := loop.ZeroAndSpan(hundred, []loop.Point{{Current: 0.004}, {Current: 0.0035}, {Current: 0.022}}); !fault.Has(err, loop.TooFew) {
		t.Errorf("too few: %v", err)
	}
	if _, err := loop.ZeroAndSpan(hundred, []loop.Point{{Current: 0.004}, {Current: 0.0041}, {Current: 0.0042}}); err == nil {
		t.Error("a line through one flow")
	}
	if l := hundred.Remarks(); len(l) != 0 {
		t.Errorf("%v", l)
	}
	if l := (loop.Scaling{LowSignal: 0.001, HighSignal: 0.005, FlowAtHigh: 1}).Remarks(); !fault.Has(l.Err(), loop.OtherRange) {
		t.Errorf("%v", l)
	}
	if l := (loop.Scaling{HighSignal: 0.02, FlowAtHigh: 1}).Remarks(); len(l) != 0 {
		t.Errorf("0 to 20 mA: %v", l)
	}
}
