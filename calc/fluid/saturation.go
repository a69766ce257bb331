package fluid

import (
	"math"

	"rillmark/calc/num"
)

// The critical point of water and the triple point, IAPWS R2-83(1992) and R6-95(2018).
const (
	criticalK       = 647.096 // K
	criticalDensity = 322.0   // kg/m³
	criticalPa      = 22.064e6
	tripleK         = 273.16
	triplePa        = 611.657
)

// SaturationPressureOfWater returns the pressure in Pa at which pure water boils at the
// given temperature in kelvin:
//
//	ln(p/p_c) = (T_c/T)·(a₁ϑ + a₂ϑ^1.5 + a₃ϑ³ + a₄ϑ^3.5 + a₅ϑ⁴ + a₆ϑ^7.5), ϑ = 1 − T/T_c
//
// Valid from 273.16 K to 647.096 K; used from 273.15 K, where it agrees with the triple
// point's slope. Outside it returns NaN.
//
// Source: IAPWS SR1-86(1992), equation 1.
func SaturationPressureOfWater(kelvins float64) float64 {
	if !(kelvins >= waterLeastK && kelvins <= criticalK) {
		return math.NaN()
	}
	x := 1 - kelvins/criticalK
	root := math.Sqrt(x)
	x3 := x * x * x
	sum := -7.85951783*x + 1.84408259*x*root - 11.7866497*x3 + 22.6807411*x3*root -
		15.9618719*x3*x + 1.80122502*x3*x3*x*root
	return criticalPa * math.Exp(criticalK/kelvins*sum)
}

// saturatedDensity returns the density in kg/m³ of boiling water: where the search for a
// density starts. Source: IAPWS SR1-86(1992), equation 2.
func saturatedDensity(kelvins float64) float64 {
	x := 1 - kelvins/criticalK
	sum := 1.0
	for _, term := range [...]struct{ factor, power float64 }{
		{1.99274064, 1. / 3}, {1.09965342, 2. / 3}, {-0.510839303, 5. / 3},
		{-1.75493479, 16. / 3}, {-45.5170352, 43. / 3}, {-6.74694450e5, 110. / 3},
	} {
		sum += term.factor * math.Pow(x, term.power)
	}
	return criticalDensity * sum
}

// saturationTemperature returns the temperature in kelvin at which water boils under the
// pressure in Pa, from that of 0 °C to the critical one.
func saturationTemperature(pascals float64) (float64, error) {
	above := func(kelvins float64) (float64, error) { return SaturationPressureOfWater(kelvins) - pascals, nil }
	return num.Root(above, waterLeastK, criticalK, num.Search{Tolerance: 1e-6})
}

// meltingTemperature returns the temperature in kelvin at which ice Ih melts under the
// pressure in Pa, from the triple point's to 208.566 MPa.
//
// Source: IAPWS R14-08(2011), equation 6, solved for the temperature.
func meltingTemperature(pascals float64) (float64, error) {
	above := func(kelvins float64) (float64, error) {
		x := kelvins / tripleK
		sum := 1 + 0.119539337e7*(1-math.Pow(x, 3)) + 0.808183159e5*(1-math.Pow(x, 25.75)) +
			0.333826860e4*(1-math.Pow(x, 103.75))
		return sum*triplePa - pascals, nil
	}
	return num.Root(above, 251.165, tripleK, num.Search{Tolerance: 1e-6})
}
