package stat

import (
	"math"

	"rillmark/calc/fault"
)

var (
	// CodeWanted: a wanted uncertainty must be above zero.
	CodeWanted = fault.Define("stat.wanted", fault.N("value"))
	// CodeLengthUnknown: from no more than one effective reading no length follows.
	CodeLengthUnknown = fault.Define("stat.length-unknown", fault.N("effective"))
)

// Longer returns by how much a run must be longer, taken in the same way, for its type A
// standard uncertainty to come down to the wanted one, and how many effective readings it
// then has:
//
//	n_eff' = n_eff·(u/wanted)²,  factor = n_eff'/n_eff
//
// u and wanted are in one unit; a factor below 1 says that a shorter run would do, but
// never one of fewer than EffectiveMinimum effective readings. For n_eff above 1.
//
// Errors: a fault.List of CodeWanted (u: not finite or below zero), CodeLengthUnknown.
//
// Source: JCGM 100:2008, 4.2.3, the variance of a mean of n_eff independent readings.
func Longer(u, effective, wanted float64) (factor, needed float64, err error) {
	var l fault.List
	if !(wanted > 0) || math.IsInf(wanted, 1) {
		l = append(l, CodeWanted.At("wanted_standard_uncertainty_percent", wanted))
	}
	if !(u >= 0) || math.IsInf(u, 1) {
		l = append(l, CodeWanted.At("standard_uncertainty", u))
	}
	if !(effective > 1) || math.IsInf(effective, 1) {
		l = append(l, CodeLengthUnknown.At("pairs", effective))
	}
	if len(l) > 0 {
		return 0, 0, l
	}
	needed = math.Max(effective*(u/wanted)*(u/wanted), EffectiveMinimum)
	return needed / effective, needed, nil
}
