package uncertainty

import (
	"math"

	"rillmark/calc/fault"
	"rillmark/calc/num"
)

const (
	// CoverageDefault is the coverage probability of a certificate, "about 95 %".
	CoverageDefault = 0.9545
	// CoverageLeast is the smallest coverage probability taken. Less is a slip of the
	// pen, such as 0.05 for 0.95.
	CoverageLeast = 0.5
	// freedomTolerance keeps a ν_eff that is whole on paper from being rounded down by
	// one for the last bit of a quotient.
	freedomTolerance = 1e-9
)

// sigmas gives the coverage probabilities that the GUM prints for one, two and three
// standard deviations: they mean these, not the four digits.
var sigmas = map[float64]float64{0.6827: 1, 0.9545: 2, 0.9973: 3}

// CoverageFactor returns k = t_(1+p)/2 (ν), dimensionless, for the coverage probability p
// (CoverageLeast ≤ p < 1) and degrees of freedom ν ≥ 1, rounded down to a whole number
// first; Infinite gives the normal distribution. 0.6827, 0.9545 and 0.9973 are read as the
// probability of one, two and three standard deviations, so that k for 95.45 % and
// infinite ν is 2.00 exactly. k is not rounded; a certificate prints two decimals.
//
// Errors: CodeCoverageRange; CodeFreedomTooSmall; those of the quantile.
//
// Source: JCGM 100:2008, G.3.4, G.4.1 and Table G.2 with its note (a).
func CoverageFactor(coverage, freedom float64) (float64, error) {
	if faults := validateCoverage(coverage); len(faults) > 0 {
		return 0, faults
	}
	if !(freedom >= 1-freedomTolerance) {
		return 0, CodeFreedomTooSmall.At("degrees_of_freedom", "", freedom)
	}
	freedom = roundDown(freedom)
	if sigma, printed := sigmas[coverage]; printed {
		if math.IsInf(freedom, 1) {
			return sigma, nil
		}
		coverage = math.Erf(sigma / math.Sqrt2)
	}
	return num.CoverageFactor(coverage, freedom)
}

func validateCoverage(coverage float64) fault.List {
	if coverage >= CoverageLeast && coverage < 1 {
		return nil
	}
	return fault.List{CodeCoverageRange.At("coverage", coverage, CoverageLeast)}
}

func roundDown(freedom float64) float64 {
	return math.Floor(freedom * (1 + freedomTolerance))
}

// freedom is Welch–Satterthwaite over the groups; see Combine.
func (s *sum) freedom(components []Component, variances []float64, total float64) float64 {
	inverse := 0.0
	for g, group := range s.correlated.groups {
		least := Infinite
		for _, i := range group {
			if s.parts[i] != 0 {
				least = math.Min(least, components[i].DegreesOfFreedom)
			}
		}
		if total > 0 {
			share := variances[g] / total
			inverse += share * share / least
		}
	}
	return 1 / inverse
}
