package trace_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"rillmark/calc/fault"
	"rillmark/calc/trace"
)

// stepped are two channels of one flow that steps: the meter shows 2 % more and its clock
// is 40 s behind.
func stepped() (reference, meter trace.Series) {
	r := rand.New(rand.NewPCG(7, 7))
	for i := range 1200 {
		q := 10.0
		if i >= 400 {
			q = 16
		}
		if i >= 800 {
			q = 12
		}
		reference.Time, reference.Value = append(reference.Time, float64(i)), append(reference.Value, q*(1+0.003*r.NormFloat64()))
		if i%5 == 0 {
			meter.Time, meter.Value = append(meter.Time, float64(i-40)), append(meter.Value, 1.02*q*(1+0.002*r.NormFloat64()))
		}
	}
	reference.Averaging, meter.Averaging = trace.Averaging{Kind: trace.None}, trace.Averaging{Kind: trace.None}
	return reference, meter
}

// TestOverTellsWhatStretchesTell compares both over the times that Stretches found.
func TestOverTellsWhatStretchesTell(t *testing.T) {
	reference, meter := stepped()
	a, err := trace.Align(reference, meter, 300)
	if err != nil || !a.Found || math.Abs(a.Lag-40) > a.Uncertainty {
		t.Fatalf("%+v, %v", a, err)
	}
	found, err := trace.Stretches(reference, meter, a, trace.SteadyOptions{Search: 300})
	if err != nil || len(found) != 3 {
		t.Fatal(len(found), err)
	}
	for _, s := range found {
		c, err := trace.Over(reference, meter, a, s.From, s.To, 1000)
		if err != nil {
			t.Fatal(err)
		}
		if c.Stretch != s {
			t.Errorf("%+v, want %+v", c.Stretch, s)
		}
		if len(c.Readings) != s.Readings || math.Abs(c.Sampling.Interval-5) > 1e-9 {
			t.Errorf("%d readings every %g s", len(c.Readings), c.Sampling.Interval)
		}
		few, err := trace.Over(reference, meter, a, s.From, s.To, 20)
		if err != nil || len(few.Readings) > 20 || len(few.Readings) < 10 || few.Stretch != s {
			t.Errorf("%d readings, at most 20: %v", len(few.Readings), err)
		}
		var mean float64
		for _, r := range few.Readings {
			mean += r.Indication / r.Reference / float64(len(few.Readings))
			if r.Time < s.From || r.Time > s.To {
				t.Errorf("a reading at %g outside %g … %g", r.Time, s.From, s.To)
			}
		}
		if math.Abs(mean-1-s.Error) > 3e-4 {
			t.Errorf("the few say %g, all %g", mean-1, s.Error)
		}
	}
}

func TestOverRefuses(t *testing.T) {
	reference, meter := stepped()
	a := trace.Alignment{Found: true, Lag: 40}
	for name, c := range map[string]struct {
		from, to float64
		code     *fault.Code
	}{
		"backwards":     {500, 400, trace.CodeOutside},
		"three samples": {100, 112, trace.CodeShort},
		"outside":       {9000, 9900, trace.CodeShort},
		"not a time":    {math.NaN(), 400, trace.CodeOutside},
	} {
		if _, err := trace.Over(reference, meter, a, c.from, c.to, 100); !fault.Has(err, c.code) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := trace.Over(trace.Series{}, meter, a, 0, 100, 100); !fault.Has(err, trace.CodeTooFew) {
		t.Errorf("an empty series: %v", err)
	}
}

// TestBeside reads a meter that writes every 5 s, whose clock is 40 s behind, every 10 s: each
// time has the mean of its own two samples, and a time without any has none.
func TestBeside(t *testing.T) {
	var meter trace.Series
	for i := range 100 {
		if i < 50 || i >= 60 {
			meter.Time, meter.Value = append(meter.Time, float64(5*i)), append(meter.Value, float64(i))
		}
	}
	got := trace.Beside(meter, trace.Alignment{Found: true, Lag: 40}, []float64{45, 245, 320}, 10)
	// 45 s is 5 s of the meter's clock: 0 s and 5 s lie in [0, 10). 320 s is 280 s, in the pause.
	if got[0] != 0.5 || got[1] != 40.5 || !math.IsNaN(got[2]) {
		t.Errorf("%v", got)
	}
	if whole := trace.Beside(meter, trace.Alignment{Found: true, Lag: 1000}, []float64{45}, 10); !math.IsNaN(whole[0]) {
		t.Errorf("outside: %v", whole)
	}
}
