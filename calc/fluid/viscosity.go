package fluid

import "math"

// R12-08, table 2: the coefficients H_ij of ρ̄'s exponential, as i, j, value.
var viscosityTerms = [...]struct {
	i, j int
	h    float64
}{
	{0, 0, 5.20094e-1}, {1, 0, 8.50895e-2}, {2, 0, -1.08374}, {3, 0, -2.89555e-1},
	{0, 1, 2.22531e-1}, {1, 1, 9.99115e-1}, {2, 1, 1.88797}, {3, 1, 1.26613}, {5, 1, 1.20573e-1},
	{0, 2, -2.81378e-1}, {1, 2, -9.06851e-1}, {2, 2, -7.72479e-1}, {3, 2, -4.89837e-1}, {4, 2, -2.57040e-1},
	{0, 3, 1.61913e-1}, {1, 3, 2.57399e-1},
	{0, 4, -3.25372e-2}, {3, 4, 6.98452e-2},
	{4, 5, 8.72102e-3},
	{3, 6, -4.35673e-3}, {5, 6, -5.93264e-4},
}

// waterViscosity returns the dynamic viscosity of water in Pa·s at a temperature in
// kelvin and a density in kg/m³: μ = μ₀(T̄)·μ₁(T̄, ρ̄) × 1 µPa·s. The critical enhancement
// μ₂ is taken as 1; it differs from 1 only near 647 K and 322 kg/m³ (R12-08, 2.8).
//
// Source: IAPWS R12-08, equations 10 to 12, tables 1 and 2.
func waterViscosity(kelvins, density float64) float64 {
	t, d := kelvins/criticalK, density/criticalDensity
	dilute := 100 * math.Sqrt(t) / (1.67752 + 2.20462/t + 0.6366564/(t*t) - 0.241605/(t*t*t))
	var warm, dense [7]float64
	warm[0], dense[0] = 1, 1
	for k := 1; k < len(warm); k++ {
		warm[k], dense[k] = warm[k-1]*(1/t-1), dense[k-1]*(d-1)
	}
	sum := 0.0
	for _, term := range viscosityTerms {
		sum += term.h * warm[term.i] * dense[term.j]
	}
	return 1e-6 * dilute * math.Exp(d*sum)
}
