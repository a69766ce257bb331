package num

import (
	"math"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// NormalCDF returns the probability that a standard normal variable is at most z
// (dimensionless): Φ(z) = erfc(−z/√2)/2. Every z is valid, infinities included; NaN
// gives NaN.
//
// Source: the definition; JCGM 101:2008, 6.4.7.
func NormalCDF(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }

// NormalQuantile returns the z with Φ(z) = probability (dimensionless), for
// 0 < probability < 1.
//
// Errors: BadProbability.
//
// Source: the inverse of NormalCDF, by a general library.
func NormalQuantile(probability float64) (float64, error) {
	if !(probability > 0 && probability < 1) {
		return 0, BadProbability.At("probability", probability)
	}
	return distuv.UnitNormal.Quantile(probability), nil
}

// StudentCDF returns the probability that a variable of Student's t distribution with
// the given degrees of freedom is at most t (dimensionless). The degrees of freedom may
// be any positive real number, +Inf meaning the normal distribution.
//
// Errors: BadFreedom; NotFinite when t is NaN.
//
// Source: JCGM 100:2008, annex G.3.2; by the regularised incomplete beta function,
// F(t) = 1 − I_w(ν/2, 1/2)/2 with w = ν/(ν+t²) for t > 0.
func StudentCDF(t, freedom float64) (float64, error) {
	if !(freedom > 0) {
		return 0, BadFreedom.At("degrees_of_freedom", freedom)
	}
	if math.IsNaN(t) {
		return 0, NotFinite.At("t", t)
	}
	tail := upperTail(math.Abs(t), freedom)
	if t > 0 {
		return 1 - tail, nil
	}
	return tail, nil
}

// upperTail is P(T > t) for t ≥ 0. Which of the two incomplete beta forms is used
// depends on which of t²/(ν+t²) and its complement is small, so that neither suffers
// cancellation at large or small ν.
func upperTail(t, freedom float64) float64 {
	if freedom >= normalFrom {
		return NormalCDF(-toNormal(t, freedom))
	}
	if t*t < freedom {
		return 0.5 - mathext.RegIncBeta(0.5, freedom/2, t*t/(freedom+t*t))/2
	}
	return mathext.RegIncBeta(freedom/2, 0.5, 1/(1+t/freedom*t)) / 2
}

// normalFrom is the ν above which t is mapped to the normal distribution by series in
// 1/ν; the first term left out is below 1e-13 for |t| < 10 there.
const normalFrom = 20_000

// toNormal maps t to the z of the same probability, by inverting fromNormal.
func toNormal(t, freedom float64) float64 {
	z := t
	for range 6 {
		z -= fromNormal(z, freedom) - t
	}
	return z
}

// fromNormal maps z to the t of the same probability for large ν: Cornish–Fisher series,
// M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, 26.7.5.
func fromNormal(z, freedom float64) float64 {
	s := z * z
	g1 := z * (s + 1) / 4
	g2 := z * ((5*s+16)*s + 3) / 96
	g3 := z * (((3*s+19)*s+17)*s - 15) / 384
	return z + (g1+(g2+g3/freedom)/freedom)/freedom
}

// StudentQuantile returns the t below which a variable of Student's t distribution lies
// with the given probability (dimensionless), 0 < probability < 1. The degrees of
// freedom may be any positive real number, +Inf meaning the normal distribution.
//
// Errors: BadProbability, BadFreedom, NotConverged.
//
// Source: JCGM 100:2008, annex G.3; start value by a general library, then Newton steps
// on StudentCDF's tail.
func StudentQuantile(probability, freedom float64) (float64, error) {
	switch {
	case !(probability > 0 && probability < 1):
		return 0, BadProbability.At("probability", probability)
	case !(freedom > 0):
		return 0, BadFreedom.At("degrees_of_freedom", freedom)
	case probability == 0.5:
		return 0, nil
	case freedom >= normalFrom:
		return fromNormal(distuv.UnitNormal.Quantile(probability), freedom), nil
	case probability > 0.5:
		return tailQuantile(1-probability, freedom)
	}
	t, err := tailQuantile(probability, freedom)
	return -t, err
}

// tailQuantile returns the t ≥ 0 with P(T > t) = tail.
func tailQuantile(tail, freedom float64) (float64, error) {
	w := mathext.InvRegIncBeta(freedom/2, 0.5, 2*tail)
	t := math.Sqrt(freedom * (1 - w) / w)
	d := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: freedom}
	for range 8 {
		step := (upperTail(t, freedom) - tail) / d.Prob(t)
		t += step
		if math.Abs(step) <= 1e-13*t {
			break
		}
	}
	if !finite(t) || !(t >= 0) {
		return 0, NotConverged.At("", 8, 1e-13)
	}
	return t, nil
}

// CoverageFactor returns the k for which ±k standard uncertainties hold the coverage
// probability, k = t_((1+p)/2)(ν) (dimensionless), for 0 < coverage < 1 and any positive
// real ν, +Inf included. At coverage 0.9545 and ν = +Inf it is 2.00. It takes ν as
// given: whether ν_eff is rounded down first is the caller's rule.
//
// Errors: BadProbability, BadFreedom.
//
// Source: JCGM 100:2008, annex G.3 and table G.2.
func CoverageFactor(coverage, freedom float64) (float64, error) {
	if !(coverage > 0 && coverage < 1) {
		return 0, BadProbability.At("coverage", coverage)
	}
	if !(freedom > 0) {
		return 0, BadFreedom.At("degrees_of_freedom", freedom)
	}
	if freedom >= normalFrom {
		return fromNormal(math.Sqrt2*math.Erfinv(coverage), freedom), nil
	}
	return tailQuantile((1-coverage)/2, freedom)
}
