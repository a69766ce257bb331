package fluid

import (
	"math"

	"rillmark/calc/num"
)

// gasConstant is the specific gas constant of R6-95, in J/(kg·K).
const gasConstant = 461.51805

// isotherm is the formulation at one temperature, with the powers of τ = T_c/T that all
// densities share.
//
// The terms 55 and 56 of table 2 are left out: they matter near the critical point only.
// Each carries the factor exp(−D(τ−1)²) with D ≥ 700, below 1e-55 at 180 °C (τ = 1.428)
// and smaller below it.
type isotherm struct {
	kelvins float64
	tau     float64
	first   [len(polynomialTerms)]float64 // n·τ^t of the polynomial terms
	powers  [51]float64                   // τ^k
}

func atTemperature(kelvins float64) *isotherm {
	tau := criticalK / kelvins
	iso := isotherm{kelvins: kelvins, tau: tau}
	for k, term := range polynomialTerms {
		iso.first[k] = term.n * math.Pow(tau, term.t)
	}
	iso.powers[0] = 1
	for k := 1; k < len(iso.powers); k++ {
		iso.powers[k] = iso.powers[k-1] * tau
	}
	return &iso
}

// residual holds the derivatives of the residual part φʳ(δ, τ), each multiplied by the
// variables it was taken by, which leaves them free of dimension and powers.
type residual struct {
	d  float64 // δ·φʳ_δ
	dd float64 // δ²·φʳ_δδ
	dt float64 // δτ·φʳ_δτ
	tt float64 // τ²·φʳ_ττ
}

// add sums one term of size a whose logarithmic slopes are u along ln δ and v along ln τ,
// with their own slopes du and dv along the same.
func (r *residual) add(a, u, v, du, dv float64) {
	r.d += a * u
	r.dd += a * (u*u - u + du)
	r.dt += a * u * v
	r.tt += a * (v*v - v + dv)
}

// residual evaluates table 2 at a density in kg/m³.
//
// Source: IAPWS R6-95(2018), equation 6 and table 5.
func (iso *isotherm) residual(density float64) residual {
	var r residual
	var delta [16]float64
	delta[0] = 1
	for k := 1; k < len(delta); k++ {
		delta[k] = delta[k-1] * density / criticalDensity
	}
	for k, term := range polynomialTerms {
		r.add(iso.first[k]*delta[term.d], float64(term.d), term.t, 0, 0)
	}
	var fade [7]float64
	for _, c := range [...]int{1, 2, 3, 4, 6} {
		fade[c] = math.Exp(-delta[c])
	}
	for _, term := range exponentialTerms {
		a := term.n * delta[term.d] * iso.powers[term.t] * fade[term.c]
		c := float64(term.c)
		r.add(a, float64(term.d)-c*delta[term.c], float64(term.t), -c*c*delta[term.c], 0)
	}
	x, tau := delta[1], iso.tau
	for _, term := range gaussianTerms {
		dx, dt := x-1, tau-term.gamma
		a := term.n * delta[int(term.d)] * iso.powers[int(term.t)] * math.Exp(-term.alpha*dx*dx-term.beta*dt*dt)
		u, v := term.d-2*term.alpha*x*dx, term.t-2*term.beta*tau*dt
		r.add(a, u, v, -2*term.alpha*x*(2*x-1), -2*term.beta*tau*(2*tau-term.gamma))
	}
	return r
}

// ideal returns τ²·φ°_ττ.
func (iso *isotherm) ideal() float64 {
	sum := -idealN3
	for _, term := range idealTerms {
		x := term.gamma * iso.tau
		e := math.Exp(-x)
		sum -= term.n * x * x * e / ((1 - e) * (1 - e))
	}
	return sum
}

// pressure returns p = ρRT(1 + δφʳ_δ) in Pa, and ∂p/∂ρ in Pa per kg/m³.
//
// Source: IAPWS R6-95(2018), table 3.
func (iso *isotherm) pressure(density float64) (pascals, slope float64) {
	r := iso.residual(density)
	rt := gasConstant * iso.kelvins
	return density * rt * (1 + r.d), rt * (1 + 2*r.d + r.dd)
}

// soundSpeed returns the speed of sound in m/s,
//
//	w² = RT·[1 + 2δφʳ_δ + δ²φʳ_δδ − (1 + δφʳ_δ − δτφʳ_δτ)² / (τ²(φ°_ττ + φʳ_ττ))]
//
// Source: IAPWS R6-95(2018), table 3.
func (iso *isotherm) soundSpeed(density float64) float64 {
	r := iso.residual(density)
	mixed := 1 + r.d - r.dt
	return math.Sqrt(gasConstant * iso.kelvins * (1 + 2*r.d + r.dd - mixed*mixed/(iso.ideal()+r.tt)))
}

// Newton's search for the density stops at a step below densityTolerance of the density;
// from the saturated liquid it needs 3 to 5 steps in the range of Water.
const (
	densityTolerance = 1e-13
	densitySteps     = 20
)

// liquidDensity returns the density in kg/m³ of liquid water at kelvins and pascals,
// which must lie in the range of Water.
//
// Errors: num.NotConverged, which no state of the range gives.
func liquidDensity(kelvins, pascals float64) (float64, error) {
	iso := atTemperature(kelvins)
	density := saturatedDensity(kelvins)
	for range densitySteps {
		p, slope := iso.pressure(density)
		step := (pascals - p) / slope
		density += step
		if math.Abs(step) <= densityTolerance*density {
			return density, nil
		}
	}
	return 0, num.NotConverged.At("", densitySteps, densityTolerance)
}
