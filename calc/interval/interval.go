// Package interval looks at a meter over time: how its error drifted from one verification
// to the next, when it would reach its limit, and which interval between verifications
// that speaks for.
//
// Drift is as found of one verification less as left of the one before, so an adjustment in
// a verification starts the line anew and is no drift. What the two share (the bore, the
// calibration of the same kit) cancels. Where the meter was replaced, another kit measured,
// or someone adjusted between, the line is broken: the interval is told and does not count.
//
// Not here: which verifications there were. The package follows ILAC-G24:2022 / OIML
// D 10:2022, of whose methods the staircase and the control chart are here (from memory);
// both leave the numbers to the user, so those are this program's, to be changed.
package interval

import (
	"fmt"
	"math"
	"time"

	"rillmark/calc/fault"
	"rillmark/calc/uncertainty"
	"rillmark/calc/verification"
)

// The codes of this package. The first two are errors, the others say why.
var (
	// NoneYet: there are no verifications.
	NoneYet = fault.Define("interval.none-yet")
	// NotInOrder: a verification is not later than the one before.
	NotInOrder = fault.Define("interval.not-in-order", fault.C("number"))
	// LimitsReversed: the lower limit is not below the upper one.
	LimitsReversed = fault.Define("interval.limits-reversed")
	// NotFinite: an error is NaN or infinite.
	NotFinite = fault.Define("interval.not-finite", fault.C("number"))
	// TooFew: fewer intervals than a trend needs.
	TooFew = fault.Define("interval.too-few", fault.C("intervals"), fault.C("least"))
	// NoDrift: the drift is within its own uncertainty.
	NoDrift = fault.Define("interval.no-drift", fault.N("rate_percent_year"), fault.N("expanded_percent_year"))
	// Beyond: the last error is already beyond the limit.
	Beyond = fault.Define("interval.beyond", fault.N("error_percent"), fault.N("limit_percent"))
	// NoLimit: there is no limit that the drift goes towards.
	NoLimit = fault.Define("interval.no-limit")
)

// LeastIntervals is how many intervals that count give a trend, and so a date.
const LeastIntervals = 3

// year is a mean year of the Gregorian calendar, 365.2425 days.
const year = 31556952 * time.Second

// Break says why a line does not go on from the verification before. Empty: it does.
type Break string

// The breaks.
const (
	Replaced       Break = "replacement"
	OtherKit       Break = "kit-change"
	AdjustedBefore Break = "adjusted-between"
)

// Breaks are all of them.
var Breaks = []Break{Replaced, OtherKit, AdjustedBefore}

// Verification is what one verification found, and how it left the meter. Errors are
// relative.
type Verification struct {
	At    time.Time
	Found verification.Estimate
	Left  *verification.Estimate // nil: not adjusted; as left is as found
	Break Break                  // between the one before and this one
}

// left is how the verification left the meter.
func (v Verification) left() verification.Estimate {
	if v.Left != nil {
		return *v.Left
	}
	return v.Found
}

// Interval is the time between two verifications and the drift in it. Relative.
type Interval struct {
	From, To    time.Time
	Years       float64
	Drift       float64 // as found − as left before
	Standard    float64 // what both share cancels
	Expanded    float64 // 2·Standard
	Rate        float64 // drift a year
	Significant bool    // |drift| > Expanded
	Counts      bool    // no break in it
	Break       Break

	estimate verification.Estimate
}

// bandFactor is k of the band about each drift: about 95 % for a normal distribution.
const bandFactor = 2

// Intervals returns the intervals between verifications in order of time, with the drift in
// each:
//
//	drift = as found(n) − as left(n−1),  U = 2·u,  rate = drift/years
//
// Parts of one name and scope in both errors are fully correlated, so they cancel.
//
// Errors: NoneYet; a fault.List of NotInOrder, NotFinite, with the number from 1.
//
// Source: the definition of drift; JCGM 100:2008, 5.2.2 for a difference.
func Intervals(all []Verification) ([]Interval, error) {
	if len(all) == 0 {
		return nil, NoneYet.At("verifications")
	}
	var l fault.List
	var intervals []Interval
	for i, v := range all {
		at := fmt.Sprintf("verifications[%d]", i)
		if !finite(v.Found.Value) || !finite(v.left().Value) {
			l = append(l, NotFinite.At(at, i+1))
		}
		if i == 0 {
			continue
		}
		before := all[i-1]
		if !v.At.After(before.At) {
			l = append(l, NotInOrder.At(at, i+1))
			continue
		}
		one := Interval{From: before.At, To: v.At, Years: float64(v.At.Sub(before.At)) / float64(year), Counts: v.Break == "", Break: v.Break,
			estimate: verification.Difference(v.Found, before.left())}
		u, err := one.estimate.Uncertainty(uncertainty.CoverageDefault)
		if err != nil {
			return nil, err
		}
		one.Drift, one.Standard, one.Expanded = one.estimate.Value, u.Standard, bandFactor*u.Standard
		one.Rate = one.Drift / one.Years
		one.Significant = verification.Significant(one.Drift, one.Expanded)
		intervals = append(intervals, one)
	}
	return intervals, l.Err()
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// told rounds a number of a message to three significant digits: more say nothing of a
// drift. Limits are told as they are.
func told(x float64) float64 {
	if x == 0 || !finite(x) {
		return x
	}
	scale := math.Pow(10, 2-math.Floor(math.Log10(math.Abs(x))))
	return math.Round(x*scale) / scale
}

// percent is a relative number of a message, in per cent.
func percent(x float64) float64 { return told(100 * x) }
