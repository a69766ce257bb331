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
	fmt.Println("found", found, "right", right, "median U", us[len(us)/2], "median |e|/U", chi[len(chi)/2], "p95", chi[len(chi)*95/100])
}
