package conformity

import "rillmark/calc/num"

// Probability returns the probability that the true value lies within the limits,
//
//	p_c = Φ((T_U − y)/u) − Φ((T_L − y)/u),
//
// and the probability that it does not, each computed without subtracting from 1, so that
// small ones keep their digits. y is the measured value and u its standard uncertainty, in
// the unit of the limits; u ≥ 0. Nothing is known of the value before the measurement
// (flat prior), and the knowledge after it is normal with y and u. With u = 0 the one is
// 1 within the limits, the limits included, and else 0.
//
// Source: JCGM 106:2012, 7.2 to 7.4.
func Probability(y, u float64, l Limits) (within, without float64) {
	if u == 0 {
		if l.Contains(y) {
			return 1, 0
		}
		return 0, 1
	}
	lower, upper := (l.Lower-y)/u, (l.Upper-y)/u
	without = num.NormalCDF(lower) + num.NormalCDF(-upper)
	// On the far side of the value the difference of two numbers near 1 would lose all
	// digits; the mirrored difference is of two small ones.
	if lower > 0 {
		return num.NormalCDF(-lower) - num.NormalCDF(-upper), without
	}
	return num.NormalCDF(upper) - num.NormalCDF(lower), without
}
