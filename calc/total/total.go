// Package total compares volumes passed over a time: counters read at the start and at the
// end, pulses counted between, or a steady reference flow times a clock. What the ends of
// such a total leave uncertain (the smallest step of the counter, how often it is renewed,
// when it was read, the clock) is worked out here.
//
// Not here: the uncertainty of the reference's flow itself, which the caller gives, and the
// pairing of logged series (package trace). The package follows JCGM 100:2008.
package total

import (
	"math"

	"rillmark/calc/fault"
)

// The codes of this package.
var (
	// NotFinite: a value is NaN or infinite.
	NotFinite = fault.Define("total.not-finite")
	// Negative: a value that cannot be below zero is.
	Negative = fault.Define("total.negative", fault.N("value"))
	// NotPositive: a value that must be above zero is not.
	NotPositive = fault.Define("total.not-positive", fault.N("value"))
	// Backwards: the counter went down and no end of it is stated.
	Backwards = fault.Define("total.backwards", fault.N("start"), fault.N("end"))
	// BeyondModulus: a reading is not below the value at which the counter begins again.
	BeyondModulus = fault.Define("total.beyond-modulus", fault.N("reading"), fault.N("modulus"))
	// NothingPassed: the reference's total is zero.
	NothingPassed = fault.Define("total.nothing-passed")
	// ClockStopped: a clock that is slow by all of the time.
	ClockStopped = fault.Define("total.clock-stopped", fault.N("error_percent"))
	// FewSteps: so few steps of the counter were passed that they rule the result.
	FewSteps = fault.Define("total.few-steps", fault.N("steps"), fault.N("share_percent"))
)

// Counter is a totaliser read at both ends of a time. Volumes in m³, times in s.
type Counter struct {
	Start, End float64
	Resolution float64 // smallest step, ≥ 0
	Update     float64 // s from one renewal of the reading to the next, ≥ 0; 0: at once, or read at a renewal
	Modulus    float64 // value at which the counter begins again; 0: it does not
}

// Passed is a volume with what its ends leave uncertain; standard uncertainties in m³.
type Passed struct {
	Volume         float64
	FromResolution float64
	FromUpdate     float64
}

// Standard returns the two together, in m³.
func (p Passed) Standard() float64 { return math.Hypot(p.FromResolution, p.FromUpdate) }

// Passed returns the volume between the readings, over a time in s above zero:
//
//	V = end − start (+ modulus, where the counter began again)
//	u_resolution = √2 · step/√12        each end is known to a step
//	u_update     = √2 · (V/t)·T/√12     each reading is up to an interval T old
//
// A reading is old by half an interval on average at either end, which cancels.
//
// Errors: a fault.List of NotFinite, Negative, NotPositive (time), BeyondModulus; Backwards.
//
// Source: JCGM 100:2008, 4.3.7 and F.2.2.1 for a rectangle of full width step or q·T.
func (c Counter) Passed(seconds float64) (Passed, error) {
	var l fault.List
	notNegative(&l, "resolution_m3", c.Resolution)
	notNegative(&l, "update_interval_s", c.Update)
	notNegative(&l, "modulus_m3", c.Modulus)
	if !(seconds > 0) || math.IsInf(seconds, 1) {
		l = append(l, NotPositive.At("duration_s", seconds))
	}
	for _, one := range []struct {
		field string
		x     float64
	}{{"start_m3", c.Start}, {"end_m3", c.End}} {
		if !finite(one.x) {
			l = append(l, NotFinite.At(one.field))
		} else if c.Modulus > 0 && (one.x < 0 || one.x >= c.Modulus) {
			l = append(l, BeyondModulus.At(one.field, one.x, c.Modulus))
		}
	}
	if len(l) > 0 {
		return Passed{}, l
	}
	p := Passed{Volume: c.End - c.Start}
	if p.Volume < 0 {
		if c.Modulus == 0 {
			return Passed{}, Backwards.At("end_m3", c.Start, c.End)
		}
		p.Volume += c.Modulus
	}
	end := math.Sqrt2 / math.Sqrt(12)
	p.FromResolution = end * c.Resolution
	p.FromUpdate = end * p.Volume / seconds * c.Update
	return p, nil
}

// Clock is a time taken with a clock of known error.
type Clock struct {
	Seconds  float64 // as the clock showed, > 0
	Error    float64 // of the clock, relative: shown/true − 1
	Standard float64 // standard uncertainty of that error, relative, ≥ 0
	Ends     float64 // standard uncertainty of starting, and of stopping, in s, ≥ 0
}

// Time returns the true time in s and its relative standard uncertainty,
//
//	t = shown/(1 + error),  u_r = √( u²(error) + 2·u²(end)/t² )
//
// Errors: a fault.List of NotPositive, NotFinite, Negative, ClockStopped.
//
// Source: JCGM 100:2008, 5.1.6.
func (c Clock) Time() (seconds, relative float64, err error) {
	var l fault.List
	if !(c.Seconds > 0) || math.IsInf(c.Seconds, 1) {
		l = append(l, NotPositive.At("duration_s", c.Seconds))
	}
	switch {
	case !finite(c.Error):
		l = append(l, NotFinite.At("clock_error_percent"))
	case c.Error <= -1:
		l = append(l, ClockStopped.At("clock_error_percent", 100*c.Error))
	}
	notNegative(&l, "clock_standard_uncertainty_percent", c.Standard)
	notNegative(&l, "start_stop_standard_uncertainty_s", c.Ends)
	if len(l) > 0 {
		return 0, 0, l
	}
	seconds = c.Seconds / (1 + c.Error)
	return seconds, math.Hypot(c.Standard, math.Sqrt2*c.Ends/seconds), nil
}

func notNegative(l *fault.List, field string, x float64) {
	switch {
	case !finite(x):
		*l = append(*l, NotFinite.At(field))
	case x < 0:
		*l = append(*l, Negative.At(field, x))
	}
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
