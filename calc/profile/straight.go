package profile

import (
	"math"

	"rillmark/calc/fault"
)

// Straight pipe. No standard gives one length for all: what is asked for behind which
// disturbance, and what a short length adds, is the company's data, each with its basis.

// Short is the half-width of a rectangular bias, relative to the flow, that is added where
// a straight length is at least Share of what is asked for.
type Short struct {
	Share     float64 // 0 to below 1; rows of a table decrease
	HalfWidth float64
}

// What is said of straight pipe.
var (
	// StraightShort: a straight length is shorter than asked for.
	StraightShort = fault.Define("profile.straight-short", fault.N("given_d"), fault.N("asked_d"), fault.T("disturbance"), fault.N("half_width_percent"))
	// DisturbanceUnknown: the table of straight lengths does not hold the disturbance.
	DisturbanceUnknown = fault.Define("profile.disturbance-unknown", fault.T("disturbance"))
)

// SharesOrder: the shares of a table of short lengths do not decrease from below 1 to 0.
var SharesOrder = fault.Define("profile.shares-order")

// Share returns how much of the straight length asked for is there: the length in m over
// the diameters asked for times the bore in m; +Inf where nothing is asked for.
//
// Errors: a fault.List of NotPositive (bore; a length or diameters below zero).
func Share(length, diameters, bore float64) (float64, error) {
	var l fault.List
	if !(bore > 0) || math.IsInf(bore, 1) {
		l = append(l, NotPositive.At("inside_diameter_m", bore))
	}
	if !(length >= 0) {
		l = append(l, NotPositive.At("length", length))
	}
	if !(diameters >= 0) || math.IsInf(diameters, 1) {
		l = append(l, NotPositive.At("diameters", diameters))
	}
	if len(l) > 0 {
		return 0, l
	}
	if diameters == 0 {
		return math.Inf(1), nil
	}
	return length / (diameters * bore), nil
}

// Added returns the half-width to add for a straight length that is the share of what is
// asked for: 0 from 1 upward, else that of the first row whose share it reaches; 0 where
// the table has none. Relative to the flow; a bias, so rectangular with u = half-width/√3.
func Added(table []Short, share float64) float64 {
	if share >= 1 {
		return 0
	}
	for _, s := range table {
		if share >= s.Share {
			return s.HalfWidth
		}
	}
	return 0
}

// CheckShort returns what is wrong with a table of short lengths: shares that do not
// decrease from below 1 to a last one of 0, half-widths below zero; nil when nothing is.
func CheckShort(table []Short) error {
	last := 1.0
	for _, s := range table {
		if !(s.Share >= 0 && s.Share < last) {
			return SharesOrder.At("short_lengths")
		}
		if !(s.HalfWidth >= 0) || math.IsInf(s.HalfWidth, 1) {
			return NotPositive.At("short_lengths", s.HalfWidth)
		}
		last = s.Share
	}
	if len(table) > 0 && last != 0 {
		return SharesOrder.At("short_lengths")
	}
	return nil
}
