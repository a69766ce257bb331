// Package uncertainty combines the components of a budget into a standard and an
// expanded uncertainty: distributions, sensitivities, correlations, degrees of freedom,
// coverage factor, and the share of each component.
//
// Not here: the evaluation of type A components from readings (package stat), the
// numeric sensitivities of a model (package num), and the decision on a limit (package
// conformity). The package follows JCGM 100:2008 (GUM); where correlated inputs meet
// degrees of freedom, which the GUM leaves open, EffectiveDegreesOfFreedom of Result
// says what is done.
package uncertainty

import (
	"math"

	"rillmark/calc/fault"
)

// Budget is what is known about the inputs of one result.
type Budget struct {
	Components   []Component
	Correlations []Correlation
	Coverage     float64 // coverage probability, CoverageLeast ≤ p < 1; CoverageDefault is usual
}

// Contribution is what one component adds to the result.
type Contribution struct {
	Name                string
	StandardUncertainty float64 // of the input, in the unit of the input
	Sensitivity         float64 // as given
	Contribution        float64 // |c|·u, in the unit of the result
	// Share is the part of the combined variance that the component carries:
	// c·u·Σ r·c·u / u_c², the sum over all components (itself with r = 1). Without
	// correlation it is (c·u/u_c)². With correlation each covariance is divided evenly
	// between its two components, so a share may be negative, where a component
	// cancels others. The shares sum to 1; all are 0 when u_c is 0.
	Share float64
}

// Result is the outcome of a budget.
type Result struct {
	StandardUncertainty float64 // combined, in the unit of the result
	// EffectiveDegreesOfFreedom is ν_eff, not rounded; +Inf where nothing limits it.
	EffectiveDegreesOfFreedom float64
	// DegreesOfFreedomUsed is ν_eff rounded down: the one the coverage factor is for.
	DegreesOfFreedomUsed float64
	Coverage             float64 // coverage probability
	CoverageFactor       float64 // k, not rounded
	ExpandedUncertainty  float64 // k·u_c, in the unit of the result
	Contributions        []Contribution
	Warnings             fault.List
}

// Combine evaluates a budget:
//
//	u_c² = Σ (c·u)² + 2·ΣΣ r·c·u·c'·u'
//	ν_eff = u_c⁴ / Σ u_g⁴/ν_g      over the groups g of components tied by correlation
//	k     = t_(1+p)/2 (ν_eff rounded down),  U = k·u_c
//
// u_g is the combined standard uncertainty of a group, and ν_g the smallest degrees of
// freedom of its members that contribute. A component without correlation is a group of
// its own, which gives the Welch–Satterthwaite formula as it stands. For inputs observed
// together, and for parts of one calibration, the rule is exact; where the members'
// degrees of freedom differ it is on the safe side.
//
// Values, sensitivities and degrees of freedom as Component says. Errors, all at once: no
// component; a name missing or taken; a number that is not finite or negative; an unknown
// distribution; a normal component without k; degrees of freedom below 1; correlations
// that name no component, one twice, a value outside −1 to 1, or values that cannot be
// true together; a coverage out of range; an overflow. Warnings: a k that is not used; a
// budget in which nothing contributes.
//
// Sources: JCGM 100:2008, 5.1.2 equation (10), 5.2.2 equation (16), G.4.1 equation (G.2b)
// and its rounding down, G.6.4; groups under correlation: this program's rule.
func Combine(b Budget) (Result, error) {
	faults := validateComponents(b.Components)
	correlated, problems := newCorrelations(b.Components, b.Correlations)
	faults = append(faults, problems...)
	faults = append(faults, validateCoverage(b.Coverage)...)
	if len(faults) > 0 {
		return Result{}, faults
	}
	s := sum{parts: make([]float64, len(b.Components)), correlated: correlated}
	for i, c := range b.Components {
		s.parts[i] = c.Sensitivity * c.StandardUncertainty()
	}
	if !s.normalise() {
		return Result{}, CodeTooLarge.At("components")
	}
	return s.result(b)
}

// sum is the law of propagation at work: the signed parts c·u, divided by the largest of
// them so that squares neither overflow nor vanish.
type sum struct {
	parts      []float64
	scale      float64
	correlated correlations
}

// normalise reports whether every part is finite.
func (s *sum) normalise() bool {
	for _, p := range s.parts {
		s.scale = math.Max(s.scale, math.Abs(p))
	}
	if s.scale > 0 {
		for i := range s.parts {
			s.parts[i] /= s.scale
		}
	}
	return finite(s.scale)
}

// along returns part i times all that is correlated with it: its part of the variance.
func (s *sum) along(i int, group []int) float64 {
	v := 0.0
	for _, j := range group {
		v += s.correlated.between(i, j) * s.parts[j]
	}
	return s.parts[i] * v
}

func (s *sum) result(b Budget) (Result, error) {
	variances := make([]float64, len(s.correlated.groups))
	carried := make([]float64, len(b.Components))
	total := 0.0
	for g, group := range s.correlated.groups {
		for _, i := range group {
			carried[i] = s.along(i, group)
			variances[g] += carried[i]
		}
		// Full cancellation leaves a rounding of either sign.
		variances[g] = math.Max(variances[g], 0)
		total += variances[g]
	}
	r := Result{Coverage: b.Coverage, StandardUncertainty: s.scale * math.Sqrt(total)}
	r.EffectiveDegreesOfFreedom = s.freedom(b.Components, variances, total)
	r.DegreesOfFreedomUsed = roundDown(r.EffectiveDegreesOfFreedom)
	var err error
	if r.CoverageFactor, err = CoverageFactor(b.Coverage, r.EffectiveDegreesOfFreedom); err != nil {
		return Result{}, err
	}
	r.ExpandedUncertainty = r.CoverageFactor * r.StandardUncertainty
	if !finite(r.ExpandedUncertainty) {
		return Result{}, CodeTooLarge.At("components")
	}
	r.Contributions = s.contributions(b.Components, carried, total)
	r.Warnings = unusedFactors(b.Components)
	if total == 0 {
		r.Warnings = append(r.Warnings, CodeZero.At("components"))
	}
	return r, nil
}

func (s *sum) contributions(components []Component, carried []float64, total float64) []Contribution {
	all := make([]Contribution, len(components))
	for i, c := range components {
		u := c.StandardUncertainty()
		all[i] = Contribution{Name: c.Name, StandardUncertainty: u, Sensitivity: c.Sensitivity,
			Contribution: math.Abs(c.Sensitivity) * u}
		if total > 0 {
			all[i].Share = carried[i] / total
		}
	}
	return all
}
