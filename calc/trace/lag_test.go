package trace_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"rillmark/calc/fault"
	"rillmark/calc/trace"
)

// made samples a flow every dt seconds from one time to another, on a clock that must be
// set forward by lag, with relative noise.
func made(flow func(float64) float64, from, to, dt, lag, noise float64, seed uint64) trace.Series {
	r := rand.New(rand.NewPCG(seed, 7))
	s := trace.Series{Averaging: trace.Averaging{Kind: trace.None}}
	for t := from; t < to; t += dt {
		s.Time = append(s.Time, t-lag)
		s.Value = append(s.Value, flow(t)*(1+noise*r.NormFloat64()))
	}
	return s
}

func steps(t float64) float64 {
	switch {
	case t < 700:
		return 0.010
	case t < 1500:
		return 0.016
	case t < 2200:
		return 0.012
	}
	return 0.019
}

func pump(t float64) float64 {
	if math.Mod(t, 600) < 240 {
		return 0.02
	}
	return 0.005
}

func TestLagIsWhatIsAddedToTheMeter(t *testing.T) {
	for _, lag := range []float64{-240, -1.5, 0, 33, 299} {
		r := made(steps, 0, 3000, 1, 0, 0.003, 1)
		m := made(steps, 40, 2950, 2, lag, 0.003, 2)
		a, err := trace.Align(r, m, trace.DefaultSearch)
		if err != nil || !a.Found {
			t.Fatalf("lag %g: %v %v", lag, err, a.Reason)
		}
		if math.Abs(a.Lag-lag) > 2 || a.Uncertainty > 2 {
			t.Errorf("lag %g: found %g ± %g", lag, a.Lag, a.Uncertainty)
		}
	}
}

func TestWhereThereIsNoLag(t *testing.T) {
	flat := func(float64) float64 { return 0.01 }
	other := func(t float64) float64 { return 0.01 + 0.004*math.Sin(t/37) + 0.003*math.Sin(t/211+1) }
	for name, c := range map[string]struct {
		reference, meter trace.Series
		want             []*fault.Code
	}{
		"flat":         {made(flat, 0, 3000, 1, 0, 0.01, 1), made(flat, 0, 3000, 5, 60, 0.01, 2), []*fault.Code{trace.CodeFlat}},
		"flat meter":   {made(steps, 0, 3000, 1, 0, 0.01, 1), made(flat, 0, 3000, 5, 60, 0.01, 2), []*fault.Code{trace.CodeFlat}},
		"pump cycles":  {made(pump, 0, 9000, 1, 0, 0.01, 1), made(pump, 0, 9000, 2, 75, 0.01, 2), []*fault.Code{trace.CodeAmbiguous}},
		"slow pump":    {made(pump, 0, 4000, 5, 0, 0.002, 1), made(pump, 0, 4000, 15, -110, 0.002, 2), []*fault.Code{trace.CodeAmbiguous}},
		"other flow":   {made(steps, 0, 3000, 1, 0, 0.01, 1), made(other, 0, 3000, 2, 0, 0.01, 2), []*fault.Code{trace.CodeUnlike, trace.CodeAmbiguous, trace.CodeFewChanges}},
		"another day":  {made(steps, 0, 3000, 1, 0, 0.01, 1), made(steps, 0, 3000, 1, 86400, 0.01, 2), []*fault.Code{trace.CodeNoOverlap}},
		"at the limit": {made(steps, 0, 3000, 1, 0, 0.01, 1), made(steps, 0, 3000, 1, 120, 0.01, 2), []*fault.Code{trace.CodeAtEdge, trace.CodeUnlike}},
	} {
		t.Run(name, func(t *testing.T) {
			search := 900.0
			if name == "at the limit" {
				search = 100
			}
			a, err := trace.Align(c.reference, c.meter, search)
			if err != nil || a.Found {
				t.Fatalf("%v, lag %g ± %g", err, a.Lag, a.Uncertainty)
			}
			for _, w := range c.want {
				if a.Reason.Code == w {
					return
				}
			}
			t.Errorf("the reason is %v", a.Reason)
		})
	}
}

func TestSteadyStretchesWithoutALag(t *testing.T) {
	flat := func(float64) float64 { return 0.01 }
	r := made(flat, 0, 3000, 1, 0, 0.01, 1)
	m := made(func(t float64) float64 { return 1.02 * flat(t) }, 0, 3000, 5, 60, 0.01, 2)
	a, _ := trace.Align(r, m, 900)
	all, err := trace.Stretches(r, m, a, trace.SteadyOptions{Search: 900})
	if err != nil || len(all) != 1 {
		t.Fatalf("%v, %d stretches", err, len(all))
	}
	if s := all[0]; math.Abs(s.Error-0.02) > s.Expanded || s.Expanded > 0.002 || s.To-s.From < 1000 {
		t.Errorf("%+v", s)
	}
}

func TestBadSeriesAreRefused(t *testing.T) {
	good := made(steps, 0, 3000, 1, 0, 0.01, 1)
	for name, c := range map[string]struct {
		s    trace.Series
		code *fault.Code
	}{
		"short":     {good.Slice(0, 5), trace.CodeTooFew},
		"unpaired":  {trace.Series{Time: good.Time, Value: good.Value[1:]}, trace.CodeLengths},
		"averaging": {trace.Series{Time: good.Time, Value: good.Value, Averaging: trace.Averaging{Kind: trace.Trailing}}, trace.CodeBadAveraging},
		"backwards": {trace.Series{Time: []float64{1, 2, 3, 3, 5, 6, 7, 8}, Value: good.Value[:8]}, trace.CodeNotIncreasing},
		"nan":       {trace.Series{Time: good.Time[:8], Value: []float64{1, 2, math.NaN(), 4, 5, 6, 7, 8}}, trace.CodeNotFinite},
	} {
		_, err := trace.Align(good, c.s, 900)
		if l := fault.AllOf(err); len(l) == 0 || l[0].Code != c.code {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := trace.Align(good, good, 0); err == nil {
		t.Error("a search of nothing is taken")
	}
}
