package trace_test

import (
	"math"
	"testing"

	"rillmark/calc/trace"
)

func TestTotals(t *testing.T) {
	long := trace.Series{}
	for i := range 11 {
		long.Time = append(long.Time, float64(i)*10)
		long.Value = append(long.Value, 2)
	}
	tri := trace.Series{Time: []float64{0, 10, 40, 41, 42, 43, 44, 45}, Value: []float64{1, 2, 4, 4, 4, 4, 4, 4}}
	for name, c := range map[string]struct {
		s                         trace.Series
		from, to, u               float64
		volume, uncertainty, band float64
	}{
		// The textbook case (0, 10, 40 s; 1, 2, 4 units/s): 15 + 90 = 105, by the trapezoidal rule.
		"trapezoids":    {tri, 0, 40, 0, 105, math.Hypot(5, 30) / math.Sqrt(3), 1e-12},
		"constant":      {long, 5, 95, 0, 180, 0, 1e-12},
		"start, stop":   {long, 5, 95, 0.1, 180, 0.2 * math.Sqrt2, 1e-12},
		"inside a step": {tri, 10, 25, 0, 2*15 + 0.5*15, 0, 1},
	} {
		got, err := trace.TotalOf(c.s, c.from, c.to, c.u, c.u)
		if err != nil || math.Abs(got.Volume-c.volume) > 1e-9 || name != "inside a step" && math.Abs(got.StandardUncertainty-c.uncertainty) > 1e-9 {
			t.Errorf("%s: %+v, %v; want %g ± %g", name, got, err, c.volume, c.uncertainty)
		}
	}
	if _, err := trace.TotalOf(long, -1, 50, 0, 0); err == nil {
		t.Error("a time before the record is taken")
	}
}

func TestCounters(t *testing.T) {
	got, err := trace.Unwrap([]float64{9997, 9999, 2, 5, 9000, 1}, 10000)
	want := []float64{9997, 9999, 10002, 10005, 19000, 20001}
	if err != nil {
		t.Fatal(err)
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("%v, want %v", got, want)
			break
		}
	}
	if _, err := trace.Unwrap([]float64{500, 300}, 1000); err == nil {
		t.Error("a counter set back is taken for one that wrapped")
	}
	if _, err := trace.Unwrap([]float64{500, 1000}, 1000); err == nil {
		t.Error("a reading at the modulus is taken")
	}
	s := trace.Rates(trace.Series{Time: []float64{0, 10, 20}, Value: []float64{0, 1, 3}})
	if len(s.Time) != 2 || s.Value[1] != 0.2 || s.Averaging.Delay() != 5 {
		t.Errorf("%+v", s)
	}
}
