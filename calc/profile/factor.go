package profile

import (
	"math"

	"rillmark/calc/fault"
)

// ForInformation: in the transition the profile is ill defined, and so is what a beam tells.
var ForInformation = fault.Define("profile.for-information", fault.N("reynolds"), fault.N("lower"), fault.N("upper"))

const (
	// LaminarFactor is the profile factor of laminar flow, exact: the mean over the section
	// is 1/2 of the greatest velocity, that over a diameter 2/3.
	LaminarFactor = 0.75
	// Karman is the constant of the logarithmic velocity law, 0.40 (Nikuradse 1932; values
	// from 0.38 to 0.41 are in use).
	Karman = 0.40
	// FactorHalfWidth is by how much the usual formulas of a smooth pipe's factor differ from
	// LogFactor between Re 4000 and 10⁷: 0.008, from comparing five of them (see the test).
	FactorHalfWidth = 0.008
)

// LogFactor returns the profile factor of developed turbulent flow, the mean velocity over
// the section over that along a diameter, from the Darcy friction factor f:
//
//	v(y) = v_max + u*·ln(y/R)/κ,  u* = v·√(f/8)
//	mean over the section = v_max − 3·u*/(2κ),  along a diameter = v_max − u*/κ
//	K = 1 / (1 + √(f/8)/(2κ))
//
// dimensionless; f above zero, see TurbulentFriction. Roughness acts through f alone, since
// the law holds for smooth and rough walls alike.
//
// Errors: NotPositive.
//
// Source: the logarithmic law of Prandtl and Nikuradse (1932) integrated over section and
// diameter; H. Schlichting, Boundary-Layer Theory, chapter 20 (from memory).
func LogFactor(friction float64) (float64, error) {
	if !(friction > 0) || math.IsInf(friction, 1) {
		return 0, NotPositive.At("friction", friction)
	}
	return 1 / (1 + math.Sqrt(friction/8)/(2*Karman)), nil
}

// PowerFactor returns the profile factor of a profile v = v_max·(1 − r/R)^(1/n),
//
//	mean over the section = 2n²/((n+1)(2n+1))·v_max,  along a diameter = n/(n+1)·v_max
//	K = 2n/(2n + 1)
//
// dimensionless, for an exponent n above zero (6 to 10 in turbulent flow).
//
// Errors: NotPositive.
//
// Source: the power law of Prandtl and Nikuradse (1932), integrated.
func PowerFactor(n float64) (float64, error) {
	if !(n > 0) || math.IsInf(n, 1) {
		return 0, NotPositive.At("n", n)
	}
	return 2 * n / (2*n + 1), nil
}

// Factor is the profile factor of a flow, the mean velocity over the section over that
// along a diameter, with the friction factor that it rests on. What is zero is not known.
type Factor struct {
	Regime              Regime
	Friction            float64 // Darcy
	Value               float64
	StandardUncertainty float64 // of Value; 0 in laminar flow, where it is exact
}

// FactorOf returns the profile factor at a Reynolds number in a pipe of relative roughness
// k/d (0: smooth), given the limits of the transition as in RegimeOf: LaminarFactor, in
// turbulent flow LogFactor with a standard uncertainty of FactorHalfWidth/√3. In the
// transition there is none: the profile changes between two forms, from 0.75 to about
// 0.92, and results are for information.
//
// It is of a developed profile, and of a beam through the middle. A reference applies its
// own factor: this one serves to see how large it is and what a rough wall changes.
//
// Errors: as RegimeOf, LaminarFriction, TurbulentFriction.
func FactorOf(reynolds, roughness, lower, upper float64) (Factor, error) {
	regime, err := RegimeOf(reynolds, lower, upper)
	if err != nil {
		return Factor{}, err
	}
	f := Factor{Regime: regime}
	switch regime {
	case Laminar:
		f.Value = LaminarFactor
		if reynolds > 0 {
			f.Friction, err = LaminarFriction(reynolds)
		}
	case Turbulent:
		f.StandardUncertainty = FactorHalfWidth / math.Sqrt(3)
		if f.Friction, err = TurbulentFriction(reynolds, roughness); err == nil {
			f.Value, err = LogFactor(f.Friction)
		}
	}
	return f, err
}
