package method

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"rillmark/calc/fault"
	"rillmark/calc/uncertainty"
	"rillmark/domain"
	"rillmark/domain/sheet"
)

// The codes of what is wrong with a content.
var (
	Unreadable    = fault.Define("method.unreadable", fault.T("cause"))
	UnknownWord   = fault.Define("method.unknown-word", fault.T("word"), fault.T("known"))
	NotFinite     = fault.Define("method.not-finite")
	Negative      = fault.Define("method.negative")
	NotPositive   = fault.Define("method.not-positive")
	BelowOne      = fault.Define("method.below-one")
	TooFew        = fault.Define("method.too-few", fault.C("given"), fault.C("least"))
	NotAFraction  = fault.Define("method.not-a-fraction")
	NamedTwice    = fault.Define("method.named-twice", fault.T("name"))
	FactorMissing = fault.Define("method.coverage-factor")
	ValueUnused   = fault.Define("method.value-unused", fault.T("from"))
	InputMismatch = fault.Define("method.input-mismatch")
	PartMismatch  = fault.Define("method.part-mismatch")
	PartTooLarge  = fault.Define("method.part-too-large")
	RowMissing    = fault.Define("method.row-missing", fault.T("from"))
	OneOfTwo      = fault.Define("method.one-of-relative-and-absolute")
	RangeReversed = fault.Define("method.range-reversed")
	SharesOrder   = fault.Define("method.shares-order")
	NoSpeed       = fault.Define("method.material-without-speed")
)

// Validate returns every problem of the content at once, keyed by field as in
// "budget[3].value".
func (c Content) Validate() error {
	var l fault.List
	c.validateRuns(&l)
	c.validateCriteria(&l)
	c.validateChecks(&l)
	c.validateSurvey(&l)
	c.validateBudget(&l)
	c.validateStraight(&l)
	c.validateMaterials(&l)
	c.validateFluids(&l)
	word(&l, "statements.uncertainty", c.Statements.Uncertainty)
	return l.Err()
}

func (c Content) validateRuns(l *fault.List) {
	count(l, "runs.flow_points", c.Runs.FlowPoints, 1)
	count(l, "runs.least_per_point", c.Runs.Least, 1)
	count(l, "runs.per_point", c.Runs.PerPoint, max(c.Runs.Least, 1))
	positive(l, "runs.seconds", c.Runs.Seconds)
	positive(l, "runs.interval_s", c.Runs.Interval)
	notNegative(l, "runs.averaging_s", c.Runs.Averaging)
}

func (c Content) validateCriteria(l *fault.List) {
	positive(l, "criteria.steady_flow", c.Criteria.SteadyFlow)
	positive(l, "criteria.repeatability", c.Criteria.Repeatability)
	positive(l, "criteria.pooled_type_a", c.Criteria.PooledTypeA)
	if !(c.Criteria.PooledFreedom >= 1) {
		*l = append(*l, BelowOne.At("criteria.pooled_freedom"))
	}
	count(l, "criteria.between_runs_from", c.Criteria.BetweenRunsFrom, 3)
	notNegative(l, "transition.lower_reynolds", c.Transition.Lower)
	if notNegative(l, "transition.upper_reynolds", c.Transition.Upper); c.Transition.Upper < c.Transition.Lower {
		*l = append(*l, RangeReversed.At("transition.upper_reynolds"))
	}
	if !(c.Coverage >= uncertainty.CoverageLeast && c.Coverage < 1) {
		*l = append(*l, NotAFraction.At("coverage"))
	}
	notNegative(l, "stated_capability", c.Capability)
	positive(l, "assumed_pressure_pa", c.AssumedPressure)
}

func (c Content) validateChecks(l *fault.List) {
	fraction(l, "setup_check.company_tolerance", c.SetupCheck.CompanyTolerance)
	fraction(l, "setup_check.maximum_tolerance", c.SetupCheck.MaximumTolerance)
	if c.SetupCheck.MaximumTolerance < c.SetupCheck.CompanyTolerance {
		*l = append(*l, RangeReversed.At("setup_check.maximum_tolerance"))
	}
	fraction(l, "setup_check.change", c.SetupCheck.Change)
	notNegative(l, "setup_check.least_snr_db", c.SetupCheck.LeastSNR)
	notNegative(l, "zero_check.least_seconds", c.ZeroCheck.LeastSeconds)
	positive(l, "zero_check.change_m_s", c.ZeroCheck.Change)
	positive(l, "zero_check.achievable_m_s", c.ZeroCheck.Achievable)
}

func (c Content) validateSurvey(l *fault.List) {
	var names []string
	for i, s := range c.Survey {
		path := at("survey", i)
		if about, ok := sheet.About(s.Name); !ok || about.Kind == sheet.KindText || about.Kind == sheet.KindChoice {
			*l = append(*l, UnknownWord.At(path+".name", string(s.Name), "outside-diameter, wall, …"))
		}
		known(l, path+".source", s.Source, sheet.Sources)
		once(l, path+".name", &names, string(s.Name)+" "+string(s.Source))
		spread(l, path, s.Distribution, s.K)
		notNegative(l, path+".relative", s.Relative)
		notNegative(l, path+".absolute", s.Absolute)
		if (s.Relative > 0) == (s.Absolute > 0) {
			*l = append(*l, OneOfTwo.At(path+".relative"))
		}
		word(l, path+".basis", s.Basis)
	}
}

func (c Content) validateBudget(l *fault.List) {
	var names []string
	from := map[From]bool{}
	for i, r := range c.Budget {
		*l = append(*l, r.validate(at("budget", i))...)
		once(l, at("budget", i)+".name", &names, r.Name)
		from[r.From] = true
		if r.From == FromSurvey {
			c.validateSurveyed(l, at("budget", i)+".input", sheet.Name(r.Input))
		}
	}
	// Without these a budget would claim to know what nobody knows.
	for _, must := range []From{FromCalibration, FromScatter, FromSurvey, FromZero, FromStraight, FromResolution} {
		if !from[must] {
			*l = append(*l, RowMissing.At("budget", string(must)))
		}
	}
}

// validateSurveyed asks for a default uncertainty of the value for every source.
func (c Content) validateSurveyed(l *fault.List, field string, name sheet.Name) {
	for _, source := range sheet.Sources {
		if _, ok := c.SurveyOf(name, source); !ok {
			*l = append(*l, RowMissing.At(field, string(name)+", "+string(source)))
		}
	}
}

// SurveyOf returns the default uncertainty of a survey value by its name and source, and
// whether the method has one.
func (c Content) SurveyOf(name sheet.Name, source sheet.Source) (SurveyUncertainty, bool) {
	for _, s := range c.Survey {
		if s.Name == name && s.Source == source {
			return s, true
		}
	}
	return SurveyUncertainty{}, false
}

// Of returns the standard uncertainty of a value, SI, by the row's distribution.
//
// Errors: those of uncertainty.ParseDistribution.
func (s SurveyUncertainty) Of(value float64) (float64, error) {
	return StandardUncertainty(s.Distribution, s.Absolute+s.Relative*math.Abs(value), s.K)
}

func at(list string, i int) string { return fmt.Sprintf("%s[%d]", list, i) }

func froms() []From {
	return []From{FromMethod, FromCalibration, FromInterpolation, FromDrift, FromSurvey, FromZero, FromStraight, FromScatter, FromResolution}
}

func list[T ~string](words []T) string {
	texts := make([]string, len(words))
	for i, w := range words {
		texts[i] = string(w)
	}
	return strings.Join(texts, ", ")
}

func known[T ~string](l *fault.List, field string, word T, words []T) {
	if !slices.Contains(words, word) {
		*l = append(*l, UnknownWord.At(field, string(word), list(words)))
	}
}

func word(l *fault.List, field, text string) {
	if strings.TrimSpace(text) == "" {
		*l = append(*l, domain.Required.At(field))
	}
}

func once(l *fault.List, field string, taken *[]string, name string) {
	if slices.Contains(*taken, name) {
		*l = append(*l, NamedTwice.At(field, name))
	}
	*taken = append(*taken, name)
}

func count(l *fault.List, field string, n, least int) {
	if n < least {
		*l = append(*l, TooFew.At(field, n, least))
	}
}

// spread checks a distribution and its coverage factor.
func spread(l *fault.List, path, distribution string, k float64) {
	d, err := uncertainty.ParseDistribution(distribution)
	if err != nil {
		for _, f := range fault.AllOf(err) {
			*l = append(*l, f.In(path+".distribution"))
		}
		return
	}
	if (d == uncertainty.Normal) != (k > 0) || math.IsInf(k, 0) || math.IsNaN(k) {
		*l = append(*l, FactorMissing.At(path+".k"))
	}
}

func finite(l *fault.List, field string, x float64) bool {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		*l = append(*l, NotFinite.At(field))
		return false
	}
	return true
}

func positive(l *fault.List, field string, x float64) {
	if finite(l, field, x) && x <= 0 {
		*l = append(*l, NotPositive.At(field))
	}
}

func notNegative(l *fault.List, field string, x float64) {
	if finite(l, field, x) && x < 0 {
		*l = append(*l, Negative.At(field))
	}
}

func fraction(l *fault.List, field string, x float64) {
	if !(x > 0 && x < 1) {
		*l = append(*l, NotAFraction.At(field))
	}
}
