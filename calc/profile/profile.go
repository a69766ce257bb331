// Package profile says how a liquid flows in a pipe: its Reynolds number, whether that is
// laminar, in transition or turbulent by limits that the caller states, the profile factor
// of a developed flow in a smooth or a rough pipe, and how much straight pipe there is
// beside what the company asks for.
//
// A reference applies a profile factor of its own: the one here shows how large it is and
// what a rough wall changes; what is left of it is a component of the budget. The package
// follows the definition of the Reynolds number (ISO 80000-11:2019, 11-4.1, from memory),
// Colebrook's friction law and the logarithmic law of the wall.
package profile

import (
	"math"

	"rillmark/calc/fault"
)

// The codes of this package. The field is the name of the argument.
var (
	// NotPositive: a value that must be above zero and finite is not.
	NotPositive = fault.Define("profile.not-positive", fault.N("value"))
	// LimitsReversed: the upper limit of the transition lies below the lower one.
	LimitsReversed = fault.Define("profile.limits-reversed", fault.N("lower"), fault.N("upper"))
)

// Regime is how the liquid flows. The zero value is none.
type Regime string

// The regimes.
const (
	Laminar    Regime = "laminar"
	Transition Regime = "transition" // the profile, and with it the factor of a beam, is ill defined
	Turbulent  Regime = "turbulent"
)

// Reynolds returns the Reynolds number of the flow in a full round pipe,
//
//	Re = ρ·|v|·d / μ,
//
// dimensionless: density ρ in kg/m³, mean velocity v in m/s (of either direction), clear
// inside diameter d in m, dynamic viscosity μ in Pa·s. Any finite velocity; the others
// above zero.
//
// Errors: a fault.List of NotPositive (for the velocity: not finite).
//
// Source: ISO 80000-11:2019, 11-4.1 (from memory).
func Reynolds(density, velocity, diameter, viscosity float64) (float64, error) {
	var l fault.List
	for _, one := range []struct {
		field string
		x     float64
	}{{"density", density}, {"diameter", diameter}, {"viscosity", viscosity}} {
		if !(one.x > 0) || math.IsInf(one.x, 1) {
			l = append(l, NotPositive.At(one.field, one.x))
		}
	}
	if math.IsNaN(velocity) || math.IsInf(velocity, 0) {
		l = append(l, NotPositive.At("velocity", velocity))
	}
	if len(l) > 0 {
		return 0, l
	}
	return density * math.Abs(velocity) * diameter / viscosity, nil
}

// RegimeOf returns the regime at a Reynolds number, given the lower and the upper limit of
// the transition (dimensionless, ends included in it). Common practice, no source: 2300
// and 4000 to 10 000.
//
// Errors: NotPositive for a Reynolds number below zero or not finite; LimitsReversed.
func RegimeOf(reynolds, lower, upper float64) (Regime, error) {
	if !(reynolds >= 0) || math.IsInf(reynolds, 1) {
		return "", NotPositive.At("reynolds", reynolds)
	}
	if !(lower <= upper) {
		return "", LimitsReversed.At("upper", lower, upper)
	}
	switch {
	case reynolds < lower:
		return Laminar, nil
	case reynolds <= upper:
		return Transition, nil
	}
	return Turbulent, nil
}
