package logfile_test

import (
	"fmt"
	"math"
	"sort"
	"testing"

	"rillmark/calc/trace"
)

func TestProbe(t *testing.T) {
	found, right := 0, 0
	var sr []float64
	allS, allR, none, sright := 0, 0, 0, 0
	var us, ratios, chi []float64
	for seed := uint64(1); seed <= seeds; seed++ {
		c := generate(seed)
		r := trace.Series{Time: c.reference.stamps, Value: c.reference.values, Averaging: c.reference.averaging}
		m := trace.Series{Time: c.meter.stamps, Value: c.meter.values, Averaging: c.meter.averaging}
		a, err := trace.Align(r, m, trace.DefaultSearch)
		if err != nil {
			t.Fatal(seed, err)
		}
		mid := fmt.Sprintf("dt %g/%g avg %v/%v noise %.4f/%.4f n %d/%d", c.reference.interval, c.meter.interval, c.reference.averaging, c.meter.averaging, c.reference.noise, c.meter.noise, len(r.Time), len(m.Time))
		if !a.Found {
			fmt.Println(seed, "NOT", a.Reason, "lag", a.Lag, "true", c.lag, mid)
			continue
		}
		found++
		ss, err := trace.Stretches(r, m, a, trace.SteadyOptions{Search: 900})
		if err != nil {
			t.Fatal(err)
		}
		var best trace.Stretch
		for _, x := range ss {
			if x.To-x.From > best.To-best.From {
				best = x
			}
			allS++
			if !x.Estimable {
				none++
			} else if math.Abs(x.Error-c.err) <= x.Expanded {
				allR++
			}
		}
		if !best.Estimable {
			fmt.Println(seed, "no stretch", len(ss), mid)
		} else {
			id := ideal(c.reference, r, best.From, best.To) + ideal(c.meter, m, best.From-a.Lag, best.To-a.Lag)
			ratio := best.Expanded / (2 * math.Sqrt(id) * (1 + c.err))
			sr = append(sr, ratio)
			if math.Abs(best.Error-c.err) <= best.Expanded {
				sright++
			} else {
				fmt.Println(seed, "STRETCH WRONG", best.Error-c.err, best.Expanded, ratio, best.Readings, best.EffectiveN, mid)
			}
		}
		e := a.Lag - c.lag
		if math.Abs(e) <= a.Uncertainty {
			right++
		} else {
			fmt.Println(seed, "WRONG", e, "U", a.Uncertainty, a.Changes, mid)
		}
		us = append(us, a.Uncertainty/math.Max(c.reference.interval, c.meter.interval))
		ratios = append(ratios, e/a.Uncertainty)
		chi = append(chi, math.Abs(e)/a.Uncertainty)
	}
	sort.Float64s(us)
	sort.Float64s(chi)
	sort.Float64s(sr)
	fmt.Println("stretches", allS, "right", allR, "none", none, "best right", sright, "of", len(sr), "ratio", sr[len(sr)/2], sr[len(sr)*9/10])
	fmt.Println("found", found, "right", right, "median U", us[len(us)/2], "median |e|/U", chi[len(chi)/2], "p95", chi[len(chi)*95/100])
}

func ideal(c channel, s trace.Series, from, to float64) float64 {
	n, dt := 0.0, c.interval
	for _, t := range s.Time {
		if t >= from && t <= to {
			n++
		}
	}
	if c.averagedNoise && c.averaging.Seconds > dt {
		if c.averaging.Kind == trace.Exponential {
			n *= math.Min(1, dt/2/c.averaging.Seconds)
		} else {
			n *= dt / c.averaging.Seconds
		}
	}
	return c.noise * c.noise / math.Max(n, 1)
}
