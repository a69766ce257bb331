package logfile_test

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"sort"
	"testing"

	"rillmark/calc/trace"
	"rillmark/service/logfile"
)

// load reads a generated file through a map that says nothing but the averaging.
func load(t *testing.T, c channel) logfile.Channel {
	t.Helper()
	data := c.file()
	source, err := logfile.SourceOf(bytes.NewReader(data), int64(len(data)), "")
	if err != nil {
		t.Fatal(err)
	}
	given := logfile.Mapping{Averaging: &logfile.Averaging{Kind: c.averaging.Kind.String(), Seconds: c.averaging.Seconds}}
	out, err := logfile.Load(source, given, "UTC")
	if err != nil {
		t.Fatalf("layout %d: %v\n%s", c.layout, err, data[:min(400, len(data))])
	}
	return out
}

func series(t *testing.T, c channel) trace.Series {
	t.Helper()
	l := load(t, c)
	if l.Report.Kept != len(c.stamps) || len(l.Report.Dropped) > 0 {
		t.Fatalf("layout %d: %d of %d rows kept, dropped %v", c.layout, l.Report.Kept, len(c.stamps), l.Report.Dropped)
	}
	s, err := l.Series(began.UnixMicro())
	if err != nil {
		t.Fatal(err)
	}
	for i, v := range c.values {
		if s.Time[i] != c.stamps[i] || math.Abs(s.Value[i]-v) > 1e-8 {
			t.Fatalf("layout %d, row %d: (%g, %g), written were (%g, %g)", c.layout, i, s.Time[i], s.Value[i], c.stamps[i], v)
		}
	}
	return s
}

// tally counts how often a stated uncertainty held, and how large it was.
type tally struct {
	of, right int
	ratios    []float64
}

func (y *tally) add(deviation, stated, ideal float64) {
	y.of++
	if math.Abs(deviation) <= stated {
		y.right++
	}
	y.ratios = append(y.ratios, stated/ideal)
}

func (y *tally) median() float64 {
	sort.Float64s(y.ratios)
	return y.ratios[len(y.ratios)/2]
}

// best is the variance of the error that the known noise leaves over a stretch.
func best(c channel, from, to float64) float64 {
	n := 0.0
	for _, t := range c.stamps {
		if t >= from && t <= to {
			n++
		}
	}
	if c.averagedNoise && c.averaging.Seconds > c.interval {
		span := c.averaging.Seconds
		if c.averaging.Kind == trace.Exponential {
			span *= 2
		}
		n = math.Max(n*c.interval/span, 1)
	}
	return c.noise * c.noise / n
}

// TestGeneratedPairs holds lag and error of 200 pairs of files with known truth to what
// is stated of them: right too seldom and right too often are both faults.
func TestGeneratedPairs(t *testing.T) {
	found := 0
	var lags, errs tally
	for seed := uint64(1); seed <= seeds; seed++ {
		c := generate(seed)
		reference, meter := series(t, c.reference), series(t, c.meter)
		a, err := trace.Align(reference, meter, trace.DefaultSearch)
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		if !a.Found {
			t.Logf("seed %d: not found: %v", seed, a.Reason)
			continue
		}
		found++
		lags.add(a.Lag-c.lag, a.Uncertainty, math.Max(c.reference.interval, c.meter.interval))
		all, err := trace.Stretches(reference, meter, a, trace.SteadyOptions{Search: trace.DefaultSearch})
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		if s, any := longest(all); any {
			ideal := 2 * (1 + c.err) * math.Sqrt(best(c.reference, s.From, s.To)+best(c.meter, s.From-a.Lag, s.To-a.Lag))
			errs.add(s.Error-c.err, s.Expanded, ideal)
		}
	}
	told := fmt.Sprintf("lag found %d of %d, right %d, median stated over longer interval %.2f; error right %d of %d, median stated over ideal %.2f",
		found, seeds, lags.right, lags.median(), errs.right, errs.of, errs.median())
	t.Log(told)
	if found < 190 || lags.right < 183 || lags.right > 199 || lags.median() > 1 {
		t.Error("lag: " + told)
	}
	if errs.of < 190 || errs.right < 183 || errs.right > 199 || errs.median() > 1.5 {
		t.Error("error: " + told)
	}
}

// TestUnknownAveraging tells neither channel's averaging: the stated uncertainty then has
// to hold for whatever it was.
func TestUnknownAveraging(t *testing.T) {
	var lags tally
	for seed := uint64(1); seed <= seeds; seed++ {
		c := generate(seed)
		reference, meter := series(t, c.reference), series(t, c.meter)
		reference.Averaging, meter.Averaging = trace.Averaging{}, trace.Averaging{}
		a, err := trace.Align(reference, meter, trace.DefaultSearch)
		if err != nil {
			t.Fatal(err)
		}
		if a.Found {
			lags.add(a.Lag-c.lag, a.Uncertainty, math.Max(c.reference.interval, c.meter.interval))
		}
	}
	t.Logf("found %d, right %d, median stated over longer interval %.2f", lags.of, lags.right, lags.median())
	if lags.of < 185 || float64(lags.right) < 0.915*float64(lags.of) || lags.median() > 2 {
		t.Errorf("found %d, right %d, median %.2f", lags.of, lags.right, lags.median())
	}
}

func longest(all []trace.Stretch) (s trace.Stretch, any bool) {
	for _, x := range all {
		if x.Estimable && x.To-x.From > s.To-s.From {
			s, any = x, true
		}
	}
	return s, any
}

// TestMoreSeeds goes on behind the seeds the thresholds were looked at with.
func TestMoreSeeds(t *testing.T) {
	if os.Getenv("RILLMARK_FULL") != "1" {
		t.Skip("only with RILLMARK_FULL=1")
	}
	var lags, errs tally
	for seed := uint64(1001); seed <= 3000; seed++ {
		c := generate(seed)
		reference, meter := series(t, c.reference), series(t, c.meter)
		a, err := trace.Align(reference, meter, trace.DefaultSearch)
		if err != nil {
			t.Fatal(err)
		}
		if !a.Found {
			continue
		}
		lags.add(a.Lag-c.lag, a.Uncertainty, math.Max(c.reference.interval, c.meter.interval))
		if math.Abs(a.Lag-c.lag) > 3*a.Uncertainty {
			t.Logf("seed %d: lag %.1f ± %.1f, true %.1f; %v/%v every %g/%g s", seed, a.Lag, a.Uncertainty, c.lag,
				c.reference.averaging, c.meter.averaging, c.reference.interval, c.meter.interval)
		}
		all, _ := trace.Stretches(reference, meter, a, trace.SteadyOptions{Search: trace.DefaultSearch})
		if s, any := longest(all); any {
			errs.add(s.Error-c.err, s.Expanded, 2*math.Sqrt(best(c.reference, s.From, s.To)+best(c.meter, s.From-a.Lag, s.To-a.Lag)))
		}
	}
	share := func(y tally) float64 { return float64(y.right) / float64(y.of) }
	t.Logf("of 2000: lag found %d, right %.3f, median %.2f; error told %d, right %.3f, median %.2f",
		lags.of, share(lags), lags.median(), errs.of, share(errs), errs.median())
	if share(lags) < 0.915 || share(lags) > 0.995 || share(errs) < 0.915 || share(errs) > 0.995 || lags.of < 1900 {
		t.Error("the stated uncertainties do not hold")
	}
}
