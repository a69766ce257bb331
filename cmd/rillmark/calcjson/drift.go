package calcjson

import (
	"math"
	"slices"
	"strings"
	"time"

	"rillmark/calc/fault"
	"rillmark/calc/interval"
	"rillmark/calc/uncertainty"
	model "rillmark/calc/verification"
)

type driftAnswer struct {
	Intervals   []driftInterval `json:"intervals"`
	Trend       *driftTrend     `json:"trend"`
	Reach       *driftReach     `json:"reaches_limit"`
	Recommended []driftMonths   `json:"recommendations"`
	Months      *int            `json:"recommended_months"`
	Remarks     []problem       `json:"remarks"`
}

type driftInterval struct {
	From        string  `json:"from"`
	To          string  `json:"to"`
	Years       float64 `json:"years"`
	Drift       float64 `json:"drift_percent"`
	Expanded    float64 `json:"expanded_uncertainty_percent"`
	Rate        float64 `json:"rate_percent_year"`
	Significant bool    `json:"significant"`
	Counts      bool    `json:"counts"`
	Break       string  `json:"break"`
}

type driftTrend struct {
	Intervals   int     `json:"intervals"`
	Rate        float64 `json:"rate_percent_year"`
	Expanded    float64 `json:"expanded_uncertainty_percent_year"`
	K           float64 `json:"coverage_factor"`
	Basis       string  `json:"basis"`
	Significant bool    `json:"significant"`
}

type driftReach struct {
	Limit    float64 `json:"limit_percent"`
	On       *string `json:"on"`
	Earliest *string `json:"earliest"`
	Latest   *string `json:"latest"`
}

type driftMonths struct {
	Method string  `json:"method"`
	Months *int    `json:"months"`
	Reason problem `json:"reason"`
}

// driftOf is the kind "drift": interval.Intervals, TrendOf, ReachOf, ByStaircase and
// ByControlChart.
func driftOf(o *object, say func(fault.Fault) string) (any, error) {
	all := o.verifications()
	limited := o.has("lower_limit_percent") || o.has("upper_limit_percent")
	limits := interval.Limits{Lower: o.numberOr("lower_limit_percent", math.Inf(-1)) / 100, Upper: o.numberOr("upper_limit_percent", math.Inf(1)) / 100}
	months := 0
	if o.has("interval_months") {
		months = o.count("interval_months")
	}
	o.asked = append(o.asked, "interval_months")
	policy := o.policy()
	o.done()
	if err := o.err(); err != nil {
		return nil, err
	}
	found, err := interval.Intervals(all)
	if err != nil {
		return nil, err
	}
	a := driftAnswer{Intervals: []driftInterval{}, Recommended: []driftMonths{}, Remarks: []problem{}}
	for _, one := range found {
		a.Intervals = append(a.Intervals, driftInterval{day(one.From), day(one.To), one.Years, 100 * one.Drift, 100 * one.Expanded, 100 * one.Rate,
			one.Significant, one.Counts, string(one.Break)})
	}
	trend, err := interval.TrendOf(found)
	if remarks := fault.AllOf(err); fault.Has(err, interval.TooFew) {
		a.Remarks = append(a.Remarks, toldAll(remarks, say)...)
	} else if err != nil {
		return nil, err
	} else {
		a.Trend = &driftTrend{trend.Intervals, 100 * trend.Rate, 100 * trend.Expanded, trend.K, string(trend.Basis), trend.Significant}
	}
	if !limited {
		return a, nil
	}
	return a, a.recommend(all, trend, limits, months, policy, say)
}

// recommend fills in what needs limits.
func (a *driftAnswer) recommend(all []interval.Verification, t interval.Trend, l interval.Limits, months int, p interval.Policy, say func(fault.Fault) string) error {
	stair, err := interval.ByStaircase(all, l, months, p)
	if err != nil {
		return err
	}
	a.add(stair, say)
	if a.Trend == nil {
		return nil
	}
	reach, err := interval.ReachOf(all, t, l)
	if err != nil {
		return err
	}
	a.Remarks = append(a.Remarks, toldAll(reach.Why, say)...)
	if !math.IsInf(reach.Limit, 0) {
		a.Reach = &driftReach{100 * reach.Limit, dayOrNil(reach.On), dayOrNil(reach.Earliest), dayOrNil(reach.Latest)}
	}
	chart, err := interval.ByControlChart(all, t, l, p)
	if fault.Has(err, interval.Beyond) {
		return nil // said by the reach already
	}
	if err != nil {
		return err
	}
	a.add(chart, say)
	return nil
}

// add keeps a recommendation; of several the shortest is the one recommended.
func (a *driftAnswer) add(r interval.Recommendation, say func(fault.Fault) string) {
	one := driftMonths{Method: string(r.Method), Reason: told(r.Reason, say)}
	if r.Months > 0 {
		one.Months = &r.Months
		if a.Months == nil || r.Months < *a.Months {
			a.Months = &r.Months
		}
	}
	a.Recommended = append(a.Recommended, one)
}

// verifications reads the history. What all errors share lies in the point; what those of
// one kit share, in it; a change of meter or of kit breaks the line.
func (o *object) verifications() []interval.Verification {
	point := o.uncertain("shared_standard_uncertainty_percent", 0)
	ofKit := o.uncertain("kit_standard_uncertainty_percent", 0)
	o.need("verifications")
	var all []interval.Verification
	meter, kit := "", ""
	for i, v := range o.objects("verifications", maxMembers) {
		now, with := v.wordOr("meter", ""), v.wordOr("kit", "")
		own := v.uncertain("standard_uncertainty_percent", 0)
		estimate := func(percent float64, scope string) model.Estimate {
			part := func(name, scope string, u float64) model.Part {
				return model.Part{Key: model.Key{Name: name, Scope: scope}, Contribution: u / 100, Freedom: uncertainty.Infinite}
			}
			return model.Estimate{Value: percent / 100, Parts: []model.Part{part("point", "", point), part("kit", with, ofKit), part("own", scope, own)}}
		}
		at := v.date("date")
		one := interval.Verification{At: at, Found: estimate(v.number("found_error_percent"), at.String()+" found")}
		if v.has("left_error_percent") {
			left := estimate(v.number("left_error_percent"), at.String()+" left")
			one.Left = &left
		}
		v.asked = append(v.asked, "left_error_percent")
		switch {
		case i > 0 && now != meter:
			one.Break = interval.Replaced
		case i > 0 && with != kit:
			one.Break = interval.OtherKit
		case v.flag("adjusted_between"):
			one.Break = interval.AdjustedBefore
		}
		v.asked = append(v.asked, "adjusted_between")
		meter, kit = now, with
		v.done()
		all = append(all, one)
	}
	return all
}

// date reads a day, 2025-03-01, or a time by RFC 3339.
func (o *object) date(name string) time.Time {
	text := o.word(name)
	for _, layout := range []string{time.DateOnly, time.RFC3339} {
		if at, err := time.Parse(layout, text); err == nil {
			return at
		}
	}
	if o.has(name) && !slices.ContainsFunc(*o.faults, func(f fault.Fault) bool { return f.Field == o.at(name) }) {
		o.add(codeTime.At(o.at(name), abbreviate(strings.TrimSpace(text))))
	}
	return time.Time{}
}

func day(at time.Time) string { return at.UTC().Format(time.DateOnly) }

func dayOrNil(at *time.Time) *string {
	if at == nil {
		return nil
	}
	text := day(*at)
	return &text
}

// policy reads how the company moves its intervals.
func (o *object) policy() interval.Policy {
	p := interval.DefaultPolicy
	in := o.inside("policy")
	if in == nil {
		return p
	}
	p.ExtendBelow, p.Extend, p.Shorten = in.numberOr("extend_below", p.ExtendBelow), in.numberOr("extend", p.Extend), in.numberOr("shorten", p.Shorten)
	p.Least, p.Most = in.numberOr("least_months", p.Least), in.numberOr("most_months", p.Most)
	in.done()
	return p
}
