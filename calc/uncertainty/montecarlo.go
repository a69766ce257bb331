package uncertainty

import (
	"math"
	"strconv"

	"rillmark/calc/fault"
)

// Simulation is a measurement model with all that is known of its inputs, to be propagated
// by drawing them many times.
type Simulation struct {
	Quantities []Quantity
	// Correlations of normal quantities; others cannot be drawn together here.
	Correlations []Correlation
	// Model returns the result for one draw of the quantities, in their order. It must not
	// keep x. For digits that repeat on every machine it must forbid fused operations by
	// conversions, as in float64(a*b) + c.
	Model    func(x []float64) float64
	Coverage float64 // as of a Budget
	Seed     uint64  // the same seed gives the same result
	// Digits is how many significant digits of the standard uncertainty count, 1 to 4; it
	// sets the numerical tolerance (NumericalTolerance). DigitsDefault is usual.
	Digits int
	// Tolerance, in the unit of the result, replaces the tolerance by Digits; 0: none.
	Tolerance float64
	// Trials fixes the number of trials; 0: as many as the tolerance needs.
	Trials int
	// Most is the number of trials at which an adaptive run gives up, "not converged".
	Most int
}

const (
	// DigitsDefault is to how many significant digits an uncertainty is given.
	DigitsDefault = 2
	// TrialsDefault is the usual cap of an adaptive run.
	TrialsDefault = 1_000_000
	// TrialsMost is the largest number of trials; their results are kept, 8 bytes each.
	TrialsMost = 10_000_000
	// blockLeast is the smallest block of trials.
	blockLeast = 10_000
	// blocksLeast is how many blocks there must be before an adaptive run may end. The
	// standard asks for two, which agree by chance once in a while: this program's rule.
	blocksLeast = 5
	// validationPart is how much finer than its tolerance a validation wants the trials.
	validationPart = 5
)

// Simulated is the outcome of a simulation, all in the unit of the result.
type Simulated struct {
	Trials              int
	Converged           bool    // the results are stable within Tolerance
	Tolerance           float64 // numerical tolerance asked for
	Precision           float64 // two standard deviations of the least stable result; by the scatter of the blocks
	Mean                float64
	StandardUncertainty float64
	Coverage            float64
	Symmetric           Interval // as much of the probability below as above
	Shortest            Interval
	Warnings            fault.List
}

// Simulate propagates distributions through a model by Monte Carlo, block after block of
//
//	M = max(10 000, 100/(1 − p)) trials, rounded up,
//
// until mean, standard uncertainty and both ends of the symmetric interval are stable: two
// standard deviations of the mean over the blocks, five at least, within the numerical
// tolerance δ. The results are then those of all trials together. At the cap the run ends "not converged":
// Converged is false, with a warning, and the results stand for what they are.
//
// A t distribution needs more than two degrees of freedom, since below its standard
// deviation is infinite: pool the type A evaluation. The draws, and with them the result,
// are the same on every machine for a model that keeps to what Simulation says.
//
// Errors, all at once: no quantity; names missing or taken; a quantity that is none;
// correlations as of a Budget, or of quantities that are not normal; coverage, digits,
// tolerance or trials out of range; a trial without a finite result.
//
// Source: JCGM 101:2008, 7.2 to 7.7 and 7.9.4.
func Simulate(s Simulation) (Simulated, error) {
	faults := append(validateQuantities(s.Quantities), s.validate()...)
	if len(faults) > 0 {
		return Simulated{}, faults
	}
	d, err := newDraws(s.Seed, s.Quantities, s.Correlations)
	if err != nil {
		return Simulated{}, err
	}
	r := &running{Simulation: s, draws: d, coverage: probability(s.Coverage), x: make([]float64, len(s.Quantities))}
	return r.run()
}

// SimulateBudget simulates a budget as it stands: the sum of its components about zero,
// each times its sensitivity. The fields of the simulation that the budget gives
// (Quantities, Correlations, Model, Coverage) are filled in.
//
// Errors: those of Combine's budget and of Simulate.
func SimulateBudget(b Budget, s Simulation) (Simulated, error) {
	if faults := validateComponents(b.Components); len(faults) > 0 {
		return Simulated{}, faults
	}
	sensitivities := make([]float64, len(b.Components))
	s.Quantities, s.Correlations, s.Coverage = nil, b.Correlations, b.Coverage
	for i, c := range b.Components {
		sensitivities[i] = c.Sensitivity
		s.Quantities = append(s.Quantities, QuantityOf(c))
	}
	s.Model = func(x []float64) float64 {
		sum := 0.0
		for i, c := range sensitivities {
			sum += float64(c * x[i])
		}
		return sum
	}
	return Simulate(s)
}

func (s Simulation) validate() fault.List {
	faults := validateCoverage(s.Coverage)
	if len(faults) > 0 {
		return faults // the number of trials depends on it
	}
	if s.Digits < 1 || s.Digits > 4 {
		faults = append(faults, CodeDigits.At("digits", s.Digits, 1, 4))
	}
	if !(s.Tolerance >= 0) || math.IsInf(s.Tolerance, 1) {
		faults = append(faults, CodeTolerance.At("tolerance", s.Tolerance))
	}
	least := blocksLeast * blockOf(probability(s.Coverage))
	if s.Trials != 0 && (s.Trials < least || s.Trials > TrialsMost) {
		faults = append(faults, CodeTrials.At("trials", s.Trials, least, TrialsMost))
	}
	if s.Trials == 0 && (s.Most < least || s.Most > TrialsMost) {
		faults = append(faults, CodeTrials.At("most_trials", s.Most, least, TrialsMost))
	}
	return faults
}

// probability reads a coverage as CoverageFactor does.
func probability(coverage float64) float64 {
	if sigma, printed := sigmas[coverage]; printed {
		return math.Erf(sigma / math.Sqrt2)
	}
	return coverage
}

// NumericalTolerance returns δ, half a unit in the last of so many significant digits of a
// standard uncertainty u: u = c·10^l with c of that many digits, δ = 10^l / 2; in the unit
// of u. Of u = 0 it is 0.
//
// Source: JCGM 101:2008, 7.9.2.
func NumericalTolerance(u float64, digits int) float64 {
	if u == 0 {
		return 0
	}
	text := strconv.FormatFloat(u, 'e', digits-1, 64)
	exponent, _ := strconv.Atoi(text[len(text)-len(exponentOf(text)):])
	delta, _ := strconv.ParseFloat("5e"+strconv.Itoa(exponent-digits), 64)
	return delta
}

// exponentOf returns what stands behind the e of a formatted number.
func exponentOf(text string) string {
	for i := len(text) - 1; i >= 0; i-- {
		if text[i] == 'e' {
			return text[i+1:]
		}
	}
	return ""
}

// Validation is the comparison of the law of propagation with Monte Carlo.
type Validation struct {
	Tolerance    float64 // δ, in the unit of the result
	Lower, Upper float64 // absolute differences of the ends of the intervals
	Valid        bool    // both within the tolerance
	// Fine reports whether the trials were stable to a fifth of the tolerance, so that
	// their own scatter does not decide.
	Fine bool
}

// Validate compares a result y ± U of the law of propagation with the symmetric interval of
// a simulation of the same model: valid where both ends agree within δ, half a unit in the
// last of so many significant digits of the simulated standard uncertainty.
//
// Source: JCGM 101:2008, 8.1 and 8.2.
func Validate(y, expanded float64, s Simulated, digits int) Validation {
	v := Validation{Tolerance: NumericalTolerance(s.StandardUncertainty, digits),
		Lower: math.Abs(y - expanded - s.Symmetric.Lower), Upper: math.Abs(y + expanded - s.Symmetric.Upper)}
	v.Valid = v.Lower <= v.Tolerance && v.Upper <= v.Tolerance
	v.Fine = s.Precision <= v.Tolerance/validationPart
	return v
}
