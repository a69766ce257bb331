package stat

import (
	"fmt"
	"math"

	"rillmark/calc/fault"
)

// EffectiveMinimum is the smallest effective number of readings from which a run tells
// its own type A uncertainty. Below it the method's pooled value is taken. The number is
// this program's rule: at four, three degrees of freedom still leave 40 % of doubt in
// the standard deviation (JCGM 100:2008, Table E.1: 42 % for n = 4).
const EffectiveMinimum = 4

// countTolerance keeps an effective number that is whole on paper from falling short of
// the minimum by the rounding of a division.
const countTolerance = 1e-9

// roundingResidual is a residual that the rounding of float64 alone can leave.
const roundingResidual = 1e-14

// Pair is one reading of the reference and of the meter under test at the same time, in
// one unit of flow (or of volume, or of mass).
type Pair struct {
	Reference, Indication float64
}

// TypeA is the type A evaluation of one run.
type TypeA struct {
	Estimable           bool
	StandardUncertainty float64     // of the error, a ratio as the error is; 0 when not estimable
	DegreesOfFreedom    float64     // effective number − 1, not rounded; 0 when not estimable
	Reason              fault.Fault // why it is not estimable; without a code when it is
}

// Run is what the readings of one run tell.
type Run struct {
	Readings          int
	MeanReference     float64 // in the unit of the readings
	MeanIndication    float64 // in the unit of the readings
	Error             float64 // ratio; times 100 in % of the reference
	ResidualDeviation float64 // standard deviation of the residuals, ratio; 0 for one reading
	Effective         Effective
	TypeA             TypeA
	Warnings          fault.List
}

// ErrorOfRun computes the error of one run and its type A standard uncertainty:
//
//	E = mean(indication) / mean(reference) − 1
//	residual  e[i] = (indication[i] − (1 + E)·reference[i]) / mean(reference)
//	u_A(E)    = √( Σe² / n / (n_eff − 1) )
//	ν         = n_eff − 1
//
// The ratio of the means, not the mean of the ratios: a change of flow during the run,
// which both see, then neither biases the error nor counts as scatter. n_eff is from
// EffectiveNumber. For independent readings n_eff = n and u_A is s(e)/√n. For correlated
// ones Σe²/(n − 1) falls short of the variance, because the mean follows the readings;
// Σe²·n_eff/(n·(n_eff − 1)) does not, and over n_eff it gives the u_A above: that of n_eff
// independent readings with the same spread. Against s(e)/√n_eff it is 15 % more at
// n_eff = 4 and 5 % more at 10.
//
// Readings are in any one unit, finite; times in seconds. With fewer than
// EffectiveMinimum effective readings the error stands and the type A is not estimable.
//
// Errors: no pair; a reading or time that is not finite; sums that are not finite; a mean
// of the reference of zero; an averaging time or interval that is negative or incomplete.
// Warning: no scatter at all, where the resolution governs.
//
// Sources: JCGM 100:2008, 4.2.3 and 4.2.7; variance of a ratio of means by its residuals:
// Cochran, Sampling Techniques, 3rd ed., 2.11 and 6.4, from memory.
func ErrorOfRun(pairs []Pair, s Sampling) (Run, error) {
	if faults := append(validatePairs(pairs), s.Validate()...); len(faults) > 0 {
		return Run{}, faults
	}
	reference, indication := split(pairs)
	run := Run{Readings: len(pairs), MeanReference: Mean(reference), MeanIndication: Mean(indication)}
	if run.MeanReference == 0 {
		return Run{}, CodeReferenceZero.At("pairs")
	}
	run.Error = (run.MeanIndication - run.MeanReference) / run.MeanReference
	residuals := run.residuals(pairs)
	squares := lagged(residuals, 0, 1)
	if !finite(run.Error) || !finite(squares) {
		return Run{}, CodeTooLarge.At("pairs")
	}
	run.Effective = EffectiveNumber(residuals, s)
	run.evaluate(squares)
	return run, nil
}

func (r *Run) residuals(pairs []Pair) []float64 {
	ratio := r.MeanIndication / r.MeanReference
	e := make([]float64, len(pairs))
	for i, p := range pairs {
		e[i] = (p.Indication - ratio*p.Reference) / r.MeanReference
	}
	return e
}

// evaluate fills the type A from the sum of the squared residuals.
func (r *Run) evaluate(squares float64) {
	n, effective := float64(r.Readings), r.Effective.Number
	if r.Readings > 1 {
		r.ResidualDeviation = math.Sqrt(squares / (n - 1))
	}
	if effective < EffectiveMinimum*(1-countTolerance) {
		r.TypeA.Reason = CodeNotEstimable.At("pairs", effective, r.Readings, EffectiveMinimum)
		return
	}
	if squares <= n*roundingResidual*roundingResidual {
		r.Warnings = append(r.Warnings, CodeNoScatter.At("pairs", r.Readings))
	}
	r.TypeA.Estimable = true
	r.TypeA.StandardUncertainty = math.Sqrt(squares / n / (effective - 1))
	r.TypeA.DegreesOfFreedom = effective - 1
}

func validatePairs(pairs []Pair) fault.List {
	if len(pairs) == 0 {
		return fault.List{CodeEmpty.At("pairs")}
	}
	var faults fault.List
	for i, p := range pairs {
		if !finite(p.Reference) {
			faults = append(faults, CodeNotFinite.At(fmt.Sprintf("pairs[%d].reference", i)))
		}
		if !finite(p.Indication) {
			faults = append(faults, CodeNotFinite.At(fmt.Sprintf("pairs[%d].indication", i)))
		}
	}
	return faults
}

func split(pairs []Pair) (reference, indication []float64) {
	reference = make([]float64, len(pairs))
	indication = make([]float64, len(pairs))
	for i, p := range pairs {
		reference[i], indication[i] = p.Reference, p.Indication
	}
	return reference, indication
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
