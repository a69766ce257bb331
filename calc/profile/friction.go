package profile

import (
	"math"

	"rillmark/calc/fault"
	"rillmark/calc/num"
)

// The bounds of the friction law.
const (
	LeastTurbulent = 3000.0 // Reynolds number; below it no turbulent law is meant
	MostRoughness  = 0.05   // of the bore, the end of Moody's chart
)

var (
	// FrictionRange: the Reynolds number is below that of a turbulent friction law.
	FrictionRange = fault.Define("profile.friction-range", fault.N("reynolds"), fault.N("least"))
	// RoughnessRange: the roughness is below zero, or large against the bore.
	RoughnessRange = fault.Define("profile.roughness-range", fault.N("share_percent"), fault.N("most_percent"))
)

// LaminarFriction returns the Darcy friction factor of laminar flow, f = 64/Re,
// dimensionless, for a Reynolds number above zero.
//
// Errors: NotPositive.
//
// Source: Hagen and Poiseuille.
func LaminarFriction(reynolds float64) (float64, error) {
	if !(reynolds > 0) || math.IsInf(reynolds, 1) {
		return 0, NotPositive.At("reynolds", reynolds)
	}
	return 64 / reynolds, nil
}

// TurbulentFriction returns the Darcy friction factor f of developed turbulent flow,
//
//	1/√f = −2·log₁₀( k/(3.7·d) + 2.51/(Re·√f) )
//
// dimensionless, found by Brent's method to the rounding limit: Reynolds number from
// LeastTurbulent, roughness is k/d, from 0 (a smooth pipe) to MostRoughness.
//
// Errors: NotPositive; FrictionRange; RoughnessRange; those of num.Root.
//
// Source: C. F. Colebrook, J. Inst. Civil Engineers 11 (1939); for a smooth pipe it is
// Prandtl's law.
func TurbulentFriction(reynolds, roughness float64) (float64, error) {
	if !(reynolds > 0) || math.IsInf(reynolds, 1) {
		return 0, NotPositive.At("reynolds", reynolds)
	}
	if reynolds < LeastTurbulent {
		return 0, FrictionRange.At("reynolds", reynolds, LeastTurbulent)
	}
	if !(roughness >= 0 && roughness <= MostRoughness) {
		return 0, RoughnessRange.At("roughness_m", 100*roughness, 100*MostRoughness)
	}
	law := func(x float64) (float64, error) { // x = 1/√f
		return x + 2*math.Log10(roughness/3.7+2.51*x/reynolds), nil
	}
	x, err := num.Root(law, leastInverse, mostInverse, num.Search{})
	return 1 / (x * x), err
}

// The ends between which 1/√f lies: f from 1 down to 1e-4, wider than any pipe has.
const leastInverse, mostInverse = 1.0, 100.0
