package interval

import (
	"math"

	"rillmark/calc/fault"
)

// Policy is how a company moves its intervals. None of the numbers is of a standard: ILAC-G24
// and OIML D 10 name the methods and leave the numbers to the user.
type Policy struct {
	ExtendBelow float64 // share of the limit up to which a found error lets the interval grow
	Extend      float64 // factor then, ≥ 1
	Shorten     float64 // factor where the error was beyond the limit, above 0, ≤ 1
	Least, Most float64 // months, the bounds of any recommendation
}

// DefaultPolicy is taken where the company states none: common practice, no source.
var DefaultPolicy = Policy{ExtendBelow: 0.8, Extend: 1.25, Shorten: 0.5, Least: 1, Most: 60}

// PolicyImpossible: a number of the policy is out of its range.
var PolicyImpossible = fault.Define("interval.policy-impossible", fault.N("value"))

// Validate returns every number of the policy that cannot be.
func (p Policy) Validate() error {
	var l fault.List
	check := func(field string, x float64, good bool) {
		if !good || math.IsInf(x, 0) {
			l = append(l, PolicyImpossible.At(field, x))
		}
	}
	check("extend_below", p.ExtendBelow, p.ExtendBelow > 0 && p.ExtendBelow <= 1)
	check("extend", p.Extend, p.Extend >= 1)
	check("shorten", p.Shorten, p.Shorten > 0 && p.Shorten <= 1)
	check("least_months", p.Least, p.Least > 0)
	check("most_months", p.Most, p.Most >= p.Least)
	return l.Err()
}

// Recommendation is an interval between verifications with its reason.
type Recommendation struct {
	Method Method
	Months int // whole, rounded down; 0: nothing can be said
	Reason fault.Fault
}

// Method names how an interval was found.
type Method string

// The methods.
const (
	Staircase    Method = "staircase"
	ControlChart Method = "control-chart"
)

// Why an interval is recommended. The field is "interval".
var (
	Extended = fault.Define("interval.extended", fault.N("share_percent"), fault.N("bound_percent"), fault.C("from"), fault.C("months"))
	Kept     = fault.Define("interval.kept", fault.N("share_percent"), fault.N("bound_percent"), fault.C("months"))
	Cut      = fault.Define("interval.shortened", fault.N("share_percent"), fault.C("from"), fault.C("months"))
	ByBand   = fault.Define("interval.by-band", fault.N("rate_percent_year"), fault.N("expanded_percent_year"), fault.N("limit_percent"), fault.C("months"))
	ByMost   = fault.Define("interval.by-most", fault.N("rate_percent_year"), fault.N("expanded_percent_year"), fault.C("months"))
	// NoInterval: the interval now in force is not known, so it cannot be moved.
	NoInterval = fault.Define("interval.no-interval")
)

// ShareOf returns how much of the limit on its side a relative error uses, 0 where there is
// none; 1 is on the limit.
func (l Limits) ShareOf(relativeError float64) float64 {
	limit := l.Upper
	if relativeError < 0 {
		limit = l.Lower
	}
	switch {
	case relativeError == 0 || math.IsInf(limit, 0):
		return 0
	case relativeError/limit < 0 || limit == 0:
		return math.Inf(1) // limits that exclude zero error
	}
	return relativeError / limit
}

// monthSlack keeps a factor that is whole on paper from losing a month to its rounding.
const monthSlack = 1e-9

// whole rounds months down, within the policy's bounds.
func (p Policy) whole(months float64) int {
	return int(math.Floor(math.Min(math.Max(months, p.Least), p.Most) + monthSlack))
}

// ByStaircase moves the interval in force (months) by what the last verification found:
// longer where the error used no more than the policy's share of the limit, shorter where
// it was beyond the limit, else as it is. Without an interval in force nothing is said.
//
// Errors: NoneYet; LimitsReversed; those of Policy.Validate.
//
// Source: automatic adjustment or staircase of ILAC-G24 / OIML D 10 (from memory).
func ByStaircase(all []Verification, l Limits, months int, p Policy) (Recommendation, error) {
	if err := ready(all, l, p); err != nil {
		return Recommendation{}, err
	}
	r := Recommendation{Method: Staircase}
	if months <= 0 {
		r.Reason = NoInterval.At("interval")
		return r, nil
	}
	share := l.ShareOf(all[len(all)-1].Found.Value)
	switch {
	case share > 1:
		r.Months = p.whole(float64(months) * p.Shorten)
		r.Reason = Cut.At("interval", percent(share), months, r.Months)
	case share <= p.ExtendBelow:
		r.Months = p.whole(float64(months) * p.Extend)
		r.Reason = Extended.At("interval", percent(share), 100*p.ExtendBelow, months, r.Months)
	default:
		r.Months = p.whole(float64(months))
		r.Reason = Kept.At("interval", percent(share), 100*p.ExtendBelow, r.Months)
	}
	return r, nil
}

// ByControlChart returns the longest interval over which the drift of the past, with its
// band, stays within the limit: the earliest date of ReachOf, of the error alone. The
// uncertainty of the last error belongs to the decision, not to the drift, and is left out.
//
// Errors: as ByStaircase and TrendOf, TooFew among them; Beyond where the error is past the
// limit already.
//
// Source: control chart of ILAC-G24 / OIML D 10 (from memory).
func ByControlChart(all []Verification, t Trend, l Limits, p Policy) (Recommendation, error) {
	if err := ready(all, l, p); err != nil {
		return Recommendation{}, err
	}
	if t.Intervals < LeastIntervals {
		return Recommendation{}, TooFew.At("verifications", t.Intervals, LeastIntervals)
	}
	left := all[len(all)-1].left().Value
	if l.ShareOf(left) > 1 {
		limit := l.Upper
		if left < 0 {
			limit = l.Lower
		}
		return Recommendation{}, Beyond.At("verifications", percent(left), 100*limit)
	}
	// The band may reach either limit: the nearer one counts.
	up, okUp := ahead{left, 0, t.Rate, t.Expanded}.reaches(l.Upper, +1)
	down, okDown := ahead{-left, 0, -t.Rate, t.Expanded}.reaches(-l.Lower, +1)
	r := Recommendation{Method: ControlChart, Months: p.whole(p.Most)}
	years, limit := math.Inf(1), l.Upper
	if okUp {
		years = up
	}
	if okDown && down < years {
		years, limit = down, l.Lower
	}
	if months := 12 * years; months < p.Most {
		r.Months = p.whole(months)
		r.Reason = ByBand.At("interval", percent(t.Rate), percent(t.Expanded), 100*limit, r.Months)
		return r, nil
	}
	r.Reason = ByMost.At("interval", percent(t.Rate), percent(t.Expanded), r.Months)
	return r, nil
}

func ready(all []Verification, l Limits, p Policy) error {
	if len(all) == 0 {
		return NoneYet.At("verifications")
	}
	if err := l.Validate(); err != nil {
		return err
	}
	return p.Validate()
}
