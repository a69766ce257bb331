package total_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"rillmark/calc/fault"
	"rillmark/calc/total"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.12g, want %.12g", what, got, want)
	}
}

// By hand: 12.34 m³ in 600 s with a step of 0.01 m³ renewed every 2 s.
func TestPassedByHand(t *testing.T) {
	p, err := total.Counter{Start: 100.10, End: 112.44, Resolution: 0.01, Update: 2}.Passed(600)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "volume", p.Volume, 12.34, 1e-12)
	near(t, "resolution", p.FromResolution, 0.01/math.Sqrt(6), 1e-15)
	near(t, "update", p.FromUpdate, 12.34/600*2/math.Sqrt(6), 1e-15)
	near(t, "both", p.Standard(), math.Hypot(p.FromResolution, p.FromUpdate), 0)
	p, err = total.Counter{Start: 9990, End: 25, Modulus: 10000}.Passed(60)
	if err != nil || p.Volume != 35 {
		t.Errorf("a counter that began again: %+v, %v", p, err)
	}
}

// What a counter shows, simulated: 4000 totals of a steady flow begun at any moment, with a
// counter of whole steps that is renewed at intervals. Their scatter is the stated one.
func TestPassedAgainstSimulation(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	const flow, seconds, n = 0.0213, 97.0, 4000
	for _, c := range []total.Counter{{Resolution: 0.05}, {Update: 3.7}, {Resolution: 0.05, Update: 3.7}} {
		read := func(at, phase float64) float64 {
			if c.Update > 0 {
				at = phase + math.Floor((at-phase)/c.Update)*c.Update
			}
			v := flow * at
			if c.Resolution > 0 {
				v = math.Floor(v/c.Resolution) * c.Resolution
			}
			return v
		}
		sum, squares := 0.0, 0.0
		for range n {
			// The two ends are independent: they are read at unrelated moments of the counter.
			from, to := 1000+1000*r.Float64(), 1000*r.Float64()
			off := (read(5000+to, 5*r.Float64()) - flow*(5000+to)) - (read(from, 5*r.Float64()) - flow*from)
			sum += off
			squares += off * off
		}
		deviation := math.Sqrt(squares/n - sum/n*sum/n)
		counter := c
		counter.Start, counter.End = 0, flow*seconds
		p, err := counter.Passed(seconds)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "u of the total", deviation/p.Standard(), 1, 0.05)
		near(t, "no bias", sum/n, 0, 4*p.Standard()/math.Sqrt(n))
	}
}

func TestTime(t *testing.T) {
	// A clock that is fast by 0.1 %, read to 0.2 s at both ends.
	seconds, relative, err := total.Clock{Seconds: 600.6, Error: 0.001, Standard: 0.0002, Ends: 0.2}.Time()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "time", seconds, 600, 1e-9)
	near(t, "u", relative, math.Sqrt(0.0002*0.0002+2*0.04/360000), 1e-12)
}

func TestCompareWithAFlow(t *testing.T) {
	r, err := total.Comparison{Clock: total.Clock{Seconds: 600.6, Error: 0.001, Standard: 0.0002, Ends: 0.2},
		Meter: total.Counter{Start: 0, End: 6.12, Resolution: 0.01, Update: 1}, Flow: 0.01, Standard: 0.005}.Compare()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "E", r.Error, 0.02, 1e-12) // 6.12 of 6.00 m³: a clock not corrected would give 1.9 %
	time := math.Sqrt(0.0002*0.0002 + 2*0.04/360000)
	step, update := 0.01/math.Sqrt(6)/6, 6.12/600/math.Sqrt(6)/6
	near(t, "u", r.Standard, math.Sqrt(step*step+update*update+1.02*1.02*(0.005*0.005+time*time)), 1e-12)
	if len(r.Warnings) != 0 || len(r.Components) != 4 {
		t.Errorf("%+v", r)
	}
}

func TestCompareTwoCounters(t *testing.T) {
	c := total.Comparison{Clock: total.Clock{Seconds: 300, Error: 0.01, Standard: 0.01, Ends: 0.5},
		Meter: total.Counter{Start: 10, End: 13, Resolution: 1}, Reference: &total.Counter{Start: 5, End: 8.06, Resolution: 0.001}, Standard: 0.004}
	r, err := c.Compare()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "E", r.Error, 3/3.06-1, 1e-12)
	ratio := 3 / 3.06
	steps, fine, ends := 1/math.Sqrt(6)/3.06, 0.001/math.Sqrt(6)/3.06, math.Sqrt2*0.5/(300/1.01)
	near(t, "u", r.Standard, math.Sqrt(steps*steps+ratio*ratio*(fine*fine+ends*ends+0.004*0.004)), 1e-12)
	if !fault.Has(r.Warnings.Err(), total.FewSteps) {
		t.Errorf("three steps of the counter: %v", r.Warnings)
	}
	// The clock's own error touches both alike.
	c.Clock.Standard = 0.1
	again, err := c.Compare()
	if err != nil || again.Standard != r.Standard {
		t.Errorf("the clock's uncertainty counts: %g, %g, %v", again.Standard, r.Standard, err)
	}
}

func TestLongEnough(t *testing.T) {
	c := total.Counter{Resolution: 0.01, Update: 1}
	seconds, err := total.LongEnough(c, 0.01, 0.2, 0.001)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "time", seconds, math.Sqrt(2*(1.0/12+1.0/12+0.04))/0.001, 1e-9)
	// Over that time the ends leave just what is wanted.
	c.End = 0.01 * seconds
	p, _ := c.Passed(seconds)
	near(t, "back", math.Hypot(p.Standard()/p.Volume, math.Sqrt2*0.2/seconds), 0.001, 1e-12)
}

func TestRefusals(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	_, backwards := total.Counter{Start: 2, End: 1}.Passed(60)
	_, everything := total.Counter{Start: nan, End: 20, Resolution: -1, Update: inf, Modulus: 10}.Passed(0)
	_, _, clock := total.Clock{Seconds: inf, Error: -1, Standard: -1, Ends: nan}.Time()
	_, _, clockError := total.Clock{Seconds: 1, Error: nan}.Time()
	still := total.Clock{Seconds: 60}
	_, nothing := total.Comparison{Clock: still, Reference: &total.Counter{}}.Compare()
	_, noFlow := total.Comparison{Clock: still}.Compare()
	_, both := total.Comparison{Clock: still, Meter: total.Counter{Resolution: -1}, Reference: &total.Counter{Update: -1}}.Compare()
	_, uncertain := total.Comparison{Clock: still, Standard: -1}.Compare()
	_, long := total.LongEnough(total.Counter{Resolution: -1, Update: -1}, 0, -1, nan)
	for i, c := range []struct {
		err   error
		code  *fault.Code
		count int
	}{{backwards, total.Backwards, 1}, {everything, total.BeyondModulus, 5}, {clock, total.ClockStopped, 4}, {clockError, total.NotFinite, 1},
		{nothing, total.NothingPassed, 1}, {noFlow, total.NotPositive, 1}, {both, total.Negative, 2}, {uncertain, total.Negative, 1}, {long, total.NotPositive, 5}} {
		if !fault.Has(c.err, c.code) || len(fault.AllOf(c.err)) != c.count {
			t.Errorf("%d: %v", i, c.err)
		}
	}
	if f, _ := fault.Of(both); f.Field != "meter.resolution_m3" {
		t.Errorf("field %s", f.Field)
	}
}
