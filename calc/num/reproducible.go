package num

import "math"

// The functions here give the same bits on every machine: those of package math are
// written in assembly on some, and a multiplication and an addition may be fused on
// others, which the conversions to float64 forbid. Monte Carlo is to repeat digit by digit.

// ln2High and ln2Low are ln 2 in two parts, the first with zeros at its end, so that its
// products with small whole numbers are exact.
const (
	ln2High = 6.93147180369123816490e-01
	ln2Low  = 1.90821492927058770002e-10
)

// ReproducibleLog returns the natural logarithm of a positive finite x, to a few units in
// the last place. Dimensionless.
//
// Source: ln m = 2·artanh((m − 1)/(m + 1)), its power series.
func ReproducibleLog(x float64) float64 {
	fraction, exponent := math.Frexp(x)
	if fraction < math.Sqrt2/2 {
		fraction, exponent = 2*fraction, exponent-1
	}
	// ln m = 2·artanh((m − 1)/(m + 1)), |argument| ≤ 0.172
	s := (fraction - 1) / (fraction + 1)
	square := float64(s * s)
	series := 0.0
	for n := 23; n >= 3; n -= 2 {
		series = float64(series+1/float64(n)) * square
	}
	k := float64(exponent)
	return float64(k*ln2High) + float64(2*s+float64(float64(2*s)*series)+float64(k*ln2Low))
}

// ReproducibleExp returns eˣ for −700 ≤ x ≤ 700, to a few units in the last place.
// Dimensionless.
//
// Source: the power series, after taking off a multiple of ln 2.
func ReproducibleExp(x float64) float64 {
	k := math.Floor(float64(x/math.Ln2) + 0.5)
	r := float64(x-float64(k*ln2High)) - float64(k*ln2Low)
	series := expSeries[0]
	for _, c := range expSeries[1:] {
		series = c + float64(r*series)
	}
	return math.Ldexp(series, int(k))
}

// expSeries are the coefficients 1/n!, from n = 15 to 0.
var expSeries = [16]float64{1.0 / 1307674368000, 1.0 / 87178291200, 1.0 / 6227020800, 1.0 / 479001600, 1.0 / 39916800, 1.0 / 3628800, 1.0 / 362880, 1.0 / 40320, 1.0 / 5040, 1.0 / 720, 1.0 / 120, 1.0 / 24, 1.0 / 6, 1.0 / 2, 1, 1}

// ReproducibleSine returns sin x for |x| ≤ π/2 rad, to a few units in the last place.
//
// Source: the power series.
func ReproducibleSine(x float64) float64 {
	square := float64(x * x)
	series := sineSeries[0]
	for _, c := range sineSeries[1:] {
		series = c + float64(square*series)
	}
	return float64(x * series)
}

// sineSeries are the coefficients ±1/n! of the odd powers, from the 23rd to the first.
var sineSeries = [12]float64{-1.0 / 25852016738884976640000, 1.0 / 51090942171709440000, -1.0 / 121645100408832000,
	1.0 / 355687428096000, -1.0 / 1307674368000, 1.0 / 6227020800, -1.0 / 39916800, 1.0 / 362880, -1.0 / 5040, 1.0 / 120, -1.0 / 6, 1}
