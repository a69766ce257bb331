package interval_test

import (
	"math"
	"testing"
	"time"

	"rillmark/calc/fault"
	"rillmark/calc/interval"
	"rillmark/calc/uncertainty"
	"rillmark/calc/verification"
)

const year = 31556952 * time.Second // 365.2425 days: the Gregorian mean year

var begin = time.Date(2020, 3, 1, 9, 0, 0, 0, time.UTC)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.12g, want %.12g", what, got, want)
	}
}

// errorOf is an error in per cent with a part that all share and one of the visit's own.
func errorOf(percent, shared, own float64, visit string) verification.Estimate {
	part := func(name, scope string, u float64) verification.Part {
		return verification.Part{Key: verification.Key{Name: name, Scope: scope}, Contribution: u / 100, Freedom: uncertainty.Infinite}
	}
	return verification.Estimate{Value: percent / 100, Parts: []verification.Part{part("bore", "point", shared), part("scatter", "visit:"+visit, own)}}
}

// yearly are verifications a year apart that found these errors in per cent; 1 % shared.
func yearly(own float64, percents ...float64) (all []interval.Verification) {
	for i, e := range percents {
		all = append(all, interval.Verification{At: begin.Add(time.Duration(i) * year), Found: errorOf(e, 1, own, string(rune('a'+i)))})
	}
	return all
}

func intervals(t *testing.T, all []interval.Verification) []interval.Interval {
	t.Helper()
	found, err := interval.Intervals(all)
	if err != nil {
		t.Fatal(err)
	}
	return found
}

func trend(t *testing.T, all []interval.Verification) interval.Trend {
	t.Helper()
	got, err := interval.TrendOf(intervals(t, all))
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// What both verifications share cancels: 1 % of bore leaves √2·0.1 % of the drift.
func TestDriftCancelsWhatIsShared(t *testing.T) {
	found := intervals(t, yearly(0.1, 0.2, 0.7))
	one := found[0]
	near(t, "drift", one.Drift, 0.005, 1e-15)
	near(t, "u", one.Standard, 0.001*math.Sqrt2, 1e-15)
	near(t, "U", one.Expanded, 0.002*math.Sqrt2, 1e-15)
	near(t, "years", one.Years, 1, 1e-12)
	near(t, "rate", one.Rate, 0.005, 1e-14)
	if !one.Significant || !one.Counts {
		t.Errorf("%+v", one)
	}
}

// An adjustment starts the line anew: the drift is from as left.
func TestDriftBeginsAtAsLeft(t *testing.T) {
	all := yearly(0.1, 2.0, 0.5)
	left := errorOf(0.1, 1, 0.1, "a after")
	all[0].Left = &left
	near(t, "drift", intervals(t, all)[0].Drift, 0.004, 1e-15)
}

// Replacement, another kit and an adjustment by others break the line; the interval stays
// told. With another kit nothing of the kit cancels.
func TestBreaks(t *testing.T) {
	for _, b := range interval.Breaks {
		all := yearly(0.1, 0, 1, 2, 3)
		all[2].Break = b
		found := intervals(t, all)
		if len(found) != 3 || found[1].Counts || found[1].Break != b || !found[0].Counts || !found[2].Counts {
			t.Errorf("%s: %+v", b, found)
		}
		if _, err := interval.TrendOf(found); !fault.Has(err, interval.TooFew) {
			t.Errorf("%s: two intervals give a trend: %v", b, err)
		}
	}
}

// Equal drifts: the measuring alone is uncertain, and of four errors only the first and the
// last count: u = √2·0.1 %/3 years.
func TestTrendByMeasurement(t *testing.T) {
	got := trend(t, yearly(0.1, 0.2, 0.5, 0.8, 1.1))
	near(t, "rate", got.Rate, 0.003, 1e-14)
	near(t, "u", got.Standard, 0.001*math.Sqrt2/3, 1e-14)
	if got.Basis != interval.FromMeasurement || got.K != 2 || got.Intervals != 3 || !got.Significant {
		t.Errorf("%+v", got)
	}
}

// Drifts of 0.3, 0.5 and 0.1 % in three years: s² = 0.08/2, u = s/√3; k for 2 degrees of
// freedom is 4.53 (JCGM 100:2008, Table G.2).
func TestTrendByScatter(t *testing.T) {
	got := trend(t, yearly(0.01, 0, 0.3, 0.8, 0.9))
	near(t, "rate", got.Rate, 0.003, 1e-14)
	near(t, "u", got.Standard, 0.002/math.Sqrt(3), 1e-13)
	near(t, "k", got.K, 4.53, 0.005)
	if got.Basis != interval.FromScatter || got.Significant {
		t.Errorf("%+v", got)
	}
	// Unequal intervals: the rate is all drift over all time.
	all := yearly(0.01, 0, 0.3, 0.8, 0.9)
	all[3].At = begin.Add(5 * year)
	near(t, "over five years", trend(t, all).Rate, 0.009/5, 1e-14)
}

func TestIntervalsRefuse(t *testing.T) {
	_, none := interval.Intervals(nil)
	all := yearly(0.1, 0, 1, 2)
	all[2].At = all[1].At
	_, order := interval.Intervals(all)
	all = yearly(0.1, 0, math.NaN())
	_, odd := interval.Intervals(all)
	for i, c := range []struct {
		err  error
		code *fault.Code
	}{{none, interval.NoneYet}, {order, interval.NotInOrder}, {odd, interval.NotFinite}} {
		if !fault.Has(c.err, c.code) {
			t.Errorf("%d: %v", i, c.err)
		}
	}
	if got := intervals(t, yearly(0.1, 1)); len(got) != 0 {
		t.Errorf("one verification has intervals: %+v", got)
	}
}
