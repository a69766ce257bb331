package beam

import (
	"math"

	"rillmark/calc/fault"
	"rillmark/calc/uncertainty"
)

// Defaults of the set-up check, as fractions of the expected sound speed.
const (
	// DefaultTolerance is the least tolerance where the company states none: 0.5 %, common
	// practice, no source.
	DefaultTolerance = 0.005
	// DefaultMaximum is the tolerance from uncertainty above which the check reveals nothing
	// where the company states none: 2 %, the upper end of "investigate above 1 to 2 %",
	// common practice, no source.
	DefaultMaximum = 0.02
	// AssumedShare is the share of the variance above which assumed inputs rule the check.
	AssumedShare = 0.5
)

// Outcome is what the set-up check comes to. The zero value is none of them.
type Outcome string

// The outcomes of a set-up check.
const (
	Passed       Outcome = "passed"
	Failed       Outcome = "failed"
	Inconclusive Outcome = "inconclusive"
)

// Surveyed is a value with its standard uncertainty (both in the unit of the field that
// holds it) and whether somebody measured it or it was assumed.
type Surveyed struct {
	Value               float64
	StandardUncertainty float64 // ≥ 0; 0 where none is stated
	Assumed             bool
}

// Check is what a set-up check is made of: what the reference shows, what the table says,
// and the survey as entered in the reference. SI units, angles in radians.
type Check struct {
	Measured        Surveyed // m/s, by the reference; the uncertainty is that of its times alone
	Tabulated       Surveyed // m/s, of the table at the entered temperature; the uncertainty is the table's alone
	OutsideDiameter Surveyed // m
	Wall            Surveyed // m
	PipeSoundSpeed  Surveyed // m/s
	PipeWave        Wave
	LinerThickness  Surveyed // m; 0 is no liner
	LinerSoundSpeed Surveyed // m/s; with a thickness of 0, that of the liner or scale there might be
	WedgeSoundSpeed Surveyed // m/s
	WedgeAngle      Surveyed // rad
	ExitOffset      Surveyed // m
	Spacing         Surveyed // m, as set
	Temperature     Surveyed // K, of the fluid
	Traverses       int
	Way             Way // one that measures a sound speed

	// SoundSpeedAt is the fluid's sound speed (m/s) against temperature (K). Only its
	// differences from the entered temperature are used; an error ends its range. Without
	// it the temperature is left out. LinearSoundSpeed makes one from a slope.
	SoundSpeedAt func(temperature float64) (float64, error)

	// Composition is what fixes a mixture besides its name, such as the salinity of sea water
	// or the part of a glycol; nil where there is nothing of the kind.
	Composition *Composition `json:"-"`

	// Correlations are those of the inputs' errors, by the inputs' names; pairs that are not
	// named are uncorrelated. One gauge that read both walls, say, ties wall and liner.
	Correlations []uncertainty.Correlation `json:",omitempty"`

	CompanyTolerance float64 // fraction of the expected sound speed; 0: DefaultTolerance
	MaximumTolerance float64 // fraction of the expected sound speed; 0: DefaultMaximum
}

// Composition is how much of something a mixture holds, and what it does to its sound speed.
type Composition struct {
	Name        string  // of the input, with its unit at the end: "salinity_g_kg", "mass_fraction"
	Unit        string  // of a change: "g/kg", "1"
	Surveyed            // in Unit
	Step        float64 // a typical change, in Unit
	Least, Most float64 // bounds of what can be, in Unit

	// SoundSpeedAt is the mixture's sound speed (m/s) at the entered temperature against its
	// composition. Only its differences from the entered one are used; an error ends its range.
	SoundSpeedAt func(composition float64) (float64, error)
}

// LinearSoundSpeed returns a straight line of sound speed (m/s) against temperature (K)
// through (temperature, speed) with the slope in m/s per kelvin, for a fluid of which no
// more is known. It is good for a few kelvin.
func LinearSoundSpeed(temperature, speed, slope float64) func(float64) (float64, error) {
	return func(t float64) (float64, error) { return speed + slope*(t-temperature), nil }
}

// Contribution is one input's part in the uncertainty of the difference.
type Contribution struct {
	Input               string
	Unit                string  // of StandardUncertainty
	StandardUncertainty float64 // in Unit; degrees for the wedge angle
	Sensitivity         float64 // m/s of expected reading per Unit
	Contribution        float64 // m/s, |sensitivity|·standard uncertainty
	Share               float64 // of the variance, 0 to 1
	Assumed             bool
}

// CheckResult is the outcome of a set-up check with its grounds.
type CheckResult struct {
	Outcome             Outcome
	Expected            float64 // m/s: what the reference would show if the survey and the table were right
	Difference          float64 // m/s: measured − expected
	Tolerance           float64 // m/s
	ToleranceFromBudget bool    // the tolerance is 2·u, not the company's
	StandardUncertainty float64 // m/s, of the difference
	Contributions       []Contribution
	Explanations        []Explanation // of a failed check, the most plausible first
	Unable              []string      // inputs that alone cannot explain a failed check
	MeasureFirst        string        // the input to measure again first; empty when passed
	Remarks             fault.List    // why the outcome, and what is unusual about the set-up
}

// CheckSetup compares the sound speed the reference measured with the fluid's table.
//
// The expected reading is what the reference would show if the survey and the table were
// right: the tabulated sound speed, but for a reference that cannot be told that its
// spacing is not the recommended one. The real transit time is that of Transit with the
// true values; the reference turns it into a sound speed with the values entered
// (MeasuredSoundSpeed). With the numeric sensitivities of that one model,
//
//	u² = u²(measured) + ΣΣ (∂expected/∂x_i)·(∂expected/∂x_j)·u(x_i)·u(x_j)·r(x_i, x_j)
//	tolerance = max(company's tolerance · expected, 2·u)
//
// with r = 1 for i = j, the coefficients stated in Correlations, and 0 for other pairs. The
// table is one of the inputs. Measured and expected value rest on the same survey: the
// difference is one model of each input, so what they share is counted once, with its sign.
//
// Failed: |difference| > tolerance, on unrounded numbers. Otherwise inconclusive: 2·u above
// the maximum tolerance, so that errors of the size the check is for pass unseen; or 2·u
// above the company's tolerance with assumed inputs holding more than half of the
// variance, so that the agreement rests on what nobody measured. Otherwise passed.
//
// A failed check lists every single input that would alone explain the difference, see
// Explanation, and proposes the most plausible for measuring again (where there is none,
// the reading itself); an inconclusive one
// proposes the input that contributes most, an assumed one before others where assumed
// inputs are the reason.
//
// Errors: a fault.List with everything wrong (see Setup.Validate; uncertainties carry the
// field of their input with ".standard_uncertainty"; ToleranceRange, TolerancesCrossed,
// TemperatureRelationMissing); NothingMeasured; as MeasuredSoundSpeed; what SoundSpeedAt
// returns at the entered temperature; num.NoSensitivity; those of package uncertainty for
// the correlations.
//
// Source: JCGM 100:2008, 5.1.2 and 5.2.2 for u; the tolerances are common practice, no source.
func CheckSetup(c Check) (CheckResult, error) {
	if err := c.Validate(); err != nil {
		return CheckResult{}, err
	}
	e, err := c.expectation()
	if err != nil {
		return CheckResult{}, err
	}
	r := CheckResult{Remarks: ofTable(c.entered().Warnings())}
	if r.Expected, err = e.Here(); err != nil {
		return CheckResult{}, err
	}
	r.Difference = c.Measured.Value - r.Expected
	if err := c.spread(&r, e); err != nil {
		return CheckResult{}, err
	}
	r.Tolerance = or(c.CompanyTolerance, DefaultTolerance) * r.Expected
	if twice := 2 * r.StandardUncertainty; twice > r.Tolerance {
		r.Tolerance, r.ToleranceFromBudget = twice, true
	}
	c.judge(&r)
	if r.Outcome == Failed {
		return r, c.explain(&r, e)
	}
	return r, nil
}

func or(x, otherwise float64) float64 {
	if x == 0 {
		return otherwise
	}
	return x
}

// rounding is the relative size below which a change of the expected reading over an
// input's typical change is the model's rounding and no sensitivity.
const rounding = 1e-12

// spread fills in the contributions and the combined standard uncertainty.
func (c Check) spread(r *CheckResult, e expectation) error {
	slopes, err := e.Slopes()
	if err != nil {
		return err
	}
	all := []Contribution{{Input: MeasuredName, Unit: "m/s", StandardUncertainty: c.Measured.StandardUncertainty,
		Sensitivity: -1, Assumed: c.Measured.Assumed}}
	for i, x := range e.inputs {
		slope := slopes[i].Value
		if math.Abs(slope)*x.step < rounding*r.Expected {
			slope = 0 // as of the wedge at the recommended spacing, where the ray is the quickest
		}
		all = append(all, Contribution{Input: x.name, Unit: x.unit, StandardUncertainty: x.uncertainty,
			Sensitivity: slope, Assumed: x.assumed})
	}
	combined, err := uncertainty.Combine(budget(all, c.Correlations))
	if err != nil {
		return err
	}
	for i, one := range combined.Contributions {
		all[i].Contribution, all[i].Share = one.Contribution, one.Share+0 // no minus zero
	}
	all[0].Sensitivity = 1 // told as the others are, of the value itself
	r.Contributions, r.StandardUncertainty = all, combined.StandardUncertainty
	return nil
}

// budget is the difference's: the measured value has the opposite sign of the inputs, which
// matters where one of them is correlated with it.
func budget(all []Contribution, correlated []uncertainty.Correlation) uncertainty.Budget {
	b := uncertainty.Budget{Correlations: correlated, Coverage: uncertainty.CoverageDefault}
	for _, one := range all {
		b.Components = append(b.Components, uncertainty.Component{Name: one.Input, Value: one.StandardUncertainty,
			Distribution: uncertainty.Standard, Sensitivity: one.Sensitivity, DegreesOfFreedom: uncertainty.Infinite})
	}
	return b
}

// judge sets the outcome, its reason and, unless it failed, what to measure first.
func (c Check) judge(r *CheckResult) {
	assumed, largest, largestAssumed := 0.0, 0, -1
	for i, one := range r.Contributions {
		if one.Contribution > r.Contributions[largest].Contribution {
			largest = i
		}
		if one.Assumed {
			assumed += one.Share
			if largestAssumed < 0 || one.Contribution > r.Contributions[largestAssumed].Contribution {
				largestAssumed = i
			}
		}
	}
	twice, maximum := 2*r.StandardUncertainty, or(c.MaximumTolerance, DefaultMaximum)
	switch {
	case math.Abs(r.Difference) > r.Tolerance:
		r.Outcome = Failed
		r.Remarks = append(r.Remarks, CheckFailed.At(MeasuredName, r.Difference, r.Tolerance))
	case twice > maximum*r.Expected:
		r.Outcome, r.MeasureFirst = Inconclusive, r.Contributions[largest].Input
		r.Remarks = append(r.Remarks, CheckTooUncertain.At(r.MeasureFirst, twice/r.Expected*100, maximum*100))
	case r.ToleranceFromBudget && assumed > AssumedShare:
		r.Outcome, r.MeasureFirst = Inconclusive, r.Contributions[largestAssumed].Input
		r.Remarks = append(r.Remarks, CheckRestsOnAssumed.At(r.MeasureFirst, assumed*100))
	default:
		r.Outcome = Passed
	}
}
