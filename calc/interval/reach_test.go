package interval_test

import (
	"math"
	"testing"
	"time"

	"rillmark/calc/fault"
	"rillmark/calc/interval"
)

var two = interval.Limits{Lower: -0.02, Upper: 0.02}

func reach(t *testing.T, all []interval.Verification, l interval.Limits) interval.Reach {
	t.Helper()
	r, err := interval.ReachOf(all, trend(t, all), l)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// years is how long after the last verification a date is.
func years(t *testing.T, all []interval.Verification, day *time.Time) float64 {
	t.Helper()
	if day == nil {
		t.Fatal("no date")
	}
	return float64(day.Sub(all[len(all)-1].At)) / float64(year)
}

// unshared takes the shared part away, so that the band about the last error is small.
func unshared(all []interval.Verification) []interval.Verification {
	for i := range all {
		all[i].Found.Parts = all[i].Found.Parts[1:]
	}
	return all
}

// 1.1 % and 0.3 % a year reach 2 % after three years; the band by hand: E ± √(U0² + (U·t)²).
func TestReachByHand(t *testing.T) {
	for _, sign := range []float64{1, -1} {
		all := unshared(yearly(0.1, sign*0.2, sign*0.5, sign*0.8, sign*1.1))
		r := reach(t, all, two)
		near(t, "limit", r.Limit, sign*0.02, 0)
		near(t, "on", years(t, all, r.On), 3, 1e-6)
		of := trend(t, all)
		for side, day := range map[float64]*time.Time{1: r.Earliest, -1: r.Latest} {
			at := years(t, all, day)
			near(t, "edge of the band", 0.011+0.003*at+side*math.Hypot(0.002, of.Expanded*at), 0.02, 1e-9)
		}
		if !(years(t, all, r.Earliest) < 3 && years(t, all, r.Latest) > 3) || len(r.Why) != 0 {
			t.Errorf("%+v", r)
		}
	}
}

// What all errors share cancels in the drift and not in the last error: the band touches
// the limit at once, so the earliest date is that of the verification itself.
func TestReachHoldsTheUncertaintyOfTheLastError(t *testing.T) {
	all := yearly(0.1, 0.2, 0.5, 0.8, 1.1)
	r := reach(t, all, two)
	near(t, "earliest", years(t, all, r.Earliest), 0, 0)
	near(t, "on", years(t, all, r.On), 3, 1e-6)
}

func TestReachFromAsLeft(t *testing.T) {
	all := unshared(yearly(0.1, 0.2, 0.5, 0.8, 1.1))
	left := errorOf(-0.1, 0, 0.1, "left")
	all[3].Left = &left
	near(t, "on", years(t, all, reach(t, all, two).On), 7, 1e-6)
}

func TestReachThatCannotBeTold(t *testing.T) {
	scattered := unshared(yearly(0.01, 0, 0.3, 0.8, 0.9))
	r := reach(t, scattered, two)
	if r.On != nil || r.Latest != nil || r.Earliest == nil || !fault.Has(r.Why.Err(), interval.NoDrift) {
		t.Errorf("a drift within its uncertainty: %+v", r)
	}
	beyond := unshared(yearly(0.1, 1.2, 1.5, 1.8, 2.1))
	r = reach(t, beyond, two)
	if !fault.Has(r.Why.Err(), interval.Beyond) || !r.On.Equal(beyond[3].At) {
		t.Errorf("beyond already: %+v", r)
	}
	on := unshared(yearly(0.1, 1.1, 1.4, 1.7, 2.0))
	if r = reach(t, on, two); fault.Has(r.Why.Err(), interval.Beyond) {
		t.Errorf("on the limit it conforms: %+v", r)
	}
	away := unshared(yearly(0.1, 0.2, 0.5, 0.8, 1.1))
	r = reach(t, away, interval.Limits{Lower: -0.02, Upper: math.Inf(1)})
	if r.On != nil || !fault.Has(r.Why.Err(), interval.NoLimit) {
		t.Errorf("no limit on that side: %+v", r)
	}
	slow := unshared(yearly(0.0001, 0.2, 0.21, 0.22, 0.23))
	if r = reach(t, slow, two); r.On != nil || r.Earliest != nil {
		t.Errorf("beyond 50 years: %+v", r)
	}
	if _, err := interval.ReachOf(away, trend(t, away), interval.Limits{Lower: 1, Upper: 1}); !fault.Has(err, interval.LimitsReversed) {
		t.Errorf("%v", err)
	}
	if _, err := interval.ReachOf(nil, interval.Trend{}, two); !fault.Has(err, interval.NoneYet) {
		t.Errorf("%v", err)
	}
	// No drift at all below zero looks at the lower limit.
	still := unshared(yearly(0.1, -0.5, -0.5, -0.5, -0.5))
	if r = reach(t, still, two); r.Limit != -0.02 {
		t.Errorf("%+v", r)
	}
}

func TestStaircase(t *testing.T) {
	for _, c := range []struct {
		name   string
		found  float64
		months int
		want   int
		code   *fault.Code
	}{
		{"well within", 0.3, 12, 15, interval.Extended},
		{"at four fifths", 1.6, 12, 15, interval.Extended},
		{"just above", math.Nextafter(1.6, 2) + 1e-9, 12, 12, interval.Kept},
		{"on the limit", 2.0, 12, 12, interval.Kept},
		{"beyond", 2.1, 12, 6, interval.Cut},
		{"beyond below", -2.1, 13, 6, interval.Cut},
		{"never more than the most", 0.1, 60, 60, interval.Extended},
		{"never less than the least", 9, 1, 1, interval.Cut},
		{"not known", 0.1, 0, 0, interval.NoInterval},
	} {
		r, err := interval.ByStaircase(yearly(0.1, 0, c.found), two, c.months, interval.DefaultPolicy)
		if err != nil || r.Months != c.want || r.Reason.Code != c.code || r.Method != interval.Staircase {
			t.Errorf("%s: %+v, %v", c.name, r, err)
		}
	}
}

// 1.1 % left, 0.3 % a year with U = 0.094 %: the band reaches 2 % after 0.9/0.394 years.
func TestControlChart(t *testing.T) {
	all := yearly(0.1, 0.2, 0.5, 0.8, 1.1)
	of := trend(t, all)
	r, err := interval.ByControlChart(all, of, two, interval.DefaultPolicy)
	if err != nil {
		t.Fatal(err)
	}
	want := int(math.Floor(12 * 0.009 / (0.003 + of.Expanded)))
	if r.Months != want || want != 27 || r.Reason.Code != interval.ByBand || r.Reason.Value("limit_percent") != 2.0 {
		t.Errorf("%+v, want %d", r, want)
	}
	down := yearly(0.1, -0.2, -0.5, -0.8, -1.1)
	r, err = interval.ByControlChart(down, trend(t, down), two, interval.DefaultPolicy)
	if err != nil || r.Months != want || r.Reason.Value("limit_percent") != -2.0 {
		t.Errorf("downwards: %+v, %v", r, err)
	}
	still := yearly(0.001, 0.2, 0.2, 0.2, 0.2)
	r, err = interval.ByControlChart(still, trend(t, still), two, interval.DefaultPolicy)
	if err != nil || r.Months != 60 || r.Reason.Code != interval.ByMost {
		t.Errorf("no drift: %+v, %v", r, err)
	}
	for _, e := range []float64{2.1, -2.1} {
		over := yearly(0.1, 0, 0, 0, e)
		if _, err := interval.ByControlChart(over, trend(t, over), two, interval.DefaultPolicy); !fault.Has(err, interval.Beyond) {
			t.Errorf("beyond: %v", err)
		}
	}
	if _, err := interval.ByControlChart(all[:2], interval.Trend{Intervals: 1}, two, interval.DefaultPolicy); !fault.Has(err, interval.TooFew) {
		t.Errorf("too few: %v", err)
	}
}

func TestRecommendationsRefuse(t *testing.T) {
	bad := interval.Policy{ExtendBelow: 1.5, Extend: 0.9, Shorten: 0, Least: 0, Most: -1}
	_, err := interval.ByStaircase(yearly(0.1, 0), two, 12, bad)
	if len(fault.AllOf(err)) != 5 || !fault.Has(err, interval.PolicyImpossible) {
		t.Errorf("%v", err)
	}
	if _, err := interval.ByStaircase(nil, two, 12, interval.DefaultPolicy); !fault.Has(err, interval.NoneYet) {
		t.Errorf("%v", err)
	}
	if _, err := interval.ByControlChart(yearly(0.1, 0), interval.Trend{}, interval.Limits{}, interval.DefaultPolicy); !fault.Has(err, interval.LimitsReversed) {
		t.Errorf("%v", err)
	}
}

func TestShareOfTheLimit(t *testing.T) {
	lopsided := interval.Limits{Lower: -0.01, Upper: 0.04}
	open := interval.Limits{Lower: math.Inf(-1), Upper: 0.04}
	for _, c := range []struct {
		l       interval.Limits
		e, want float64
	}{{lopsided, 0.02, 0.5}, {lopsided, -0.005, 0.5}, {lopsided, 0, 0}, {open, -3, 0}, {interval.Limits{Lower: 0.01, Upper: 0.02}, -0.005, math.Inf(1)},
		{interval.Limits{Lower: 0, Upper: 0.02}, -0.005, math.Inf(1)}} {
		if got := c.l.ShareOf(c.e); got != c.want {
			t.Errorf("%+v of %g: %g, want %g", c.l, c.e, got, c.want)
		}
	}
}
