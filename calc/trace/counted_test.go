package trace_test

import (
	"math"
	"testing"

	"rillmark/calc/fault"
	"rillmark/calc/trace"
)

// TestCountedTotal counts 0.02 m³/s in steps of 0.01 m³ every 10 s: from 15 s to 95 s that
// is 1.6 m³; the ends known to 0.5 s are 0.01 m³ each, and the resolution 0.01/√6 m³.
func TestCountedTotal(t *testing.T) {
	var s trace.Series
	for i := range 12 {
		s.Time, s.Value = append(s.Time, float64(10*i)), append(s.Value, 100+0.2*float64(i))
	}
	s.Resolution = 0.01
	got, err := trace.CountedTotal(s, 15, 95, 0.5, 0.5)
	if err != nil || math.Abs(got.Volume-1.6) > 1e-9 || got.LongestGap != 10 {
		t.Errorf("%+v, %v", got, err)
	}
	if want := math.Sqrt(2*0.01*0.01 + 0.01*0.01/6); math.Abs(got.StandardUncertainty-want) > 1e-9 {
		t.Errorf("u %g, want %g", got.StandardUncertainty, want)
	}
	for name, c := range map[string][2]float64{"before": {-1, 50}, "after": {50, 200}, "backwards": {50, 40}} {
		if _, err := trace.CountedTotal(s, c[0], c[1], 0, 0); !fault.Has(err, trace.CodeOutside) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
