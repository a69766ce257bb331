package conformity_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"rillmark/calc/conformity"
	"rillmark/calc/fault"
)

// ask is a complete question with k = 2 and no agreed threshold.
func ask(value, u float64, l conformity.Limits, rule conformity.Rule, guard float64) conformity.Question {
	return conformity.Question{Value: value, ExpandedUncertainty: u, CoverageFactor: 2, Limits: l,
		Rule: rule, GuardFactor: guard, NoStatementAbove: math.Inf(1)}
}

func decide(t *testing.T, q conformity.Question) conformity.Decision {
	t.Helper()
	d, err := conformity.Decide(q)
	if err != nil {
		t.Fatalf("%+v: %v", q, err)
	}
	return d
}

func TestPublishedDecisions(t *testing.T) {
	for _, row := range readCSV(t, "testdata/decision.csv") {
		rule, err := conformity.ParseRule(row["rule"])
		if err != nil {
			t.Fatal(err)
		}
		d := decide(t, ask(number(t, row["value"]), number(t, row["expanded_uncertainty"]), limits(t, row), rule, number(t, row["guard_factor"])))
		if d.Verdict.String() != row["verdict"] || d.Reason.Code.Name() != row["reason"] {
			t.Errorf("%s: %v because %v, want %s because %s (%s)", row["id"], d.Verdict, d.Reason, row["verdict"], row["reason"], row["source"])
		}
		if d.Verdict.Conforms() != (row["verdict"] == "pass" || row["verdict"] == "conditional-pass") {
			t.Errorf("%s: Conforms() is wrong", row["id"])
		}
	}
}

// One ulp on either side of every end: limits, acceptance limits, and the far end of the
// non-binary guard band, with an uncertainty that has no short binary form.
func TestVerdictsOneUlpAroundEveryEnd(t *testing.T) {
	const u, r = 0.3, 0.7
	w := r * u
	l := conformity.Between(-2, 3)
	const better, worse = conformity.Pass, conformity.Fail
	for _, row := range []struct {
		rule          conformity.Rule
		end           float64
		inside, outer conformity.Verdict
		upper         bool
	}{
		{conformity.Simple, l.Upper, better, worse, true},
		{conformity.Simple, l.Lower, better, worse, false},
		{conformity.GuardBand, l.Upper - w, better, worse, true},
		{conformity.GuardBand, l.Lower + w, better, worse, false},
		{conformity.NonBinary, l.Upper - w, better, conformity.ConditionalPass, true},
		{conformity.NonBinary, l.Lower + w, better, conformity.ConditionalPass, false},
		{conformity.NonBinary, l.Upper, conformity.ConditionalPass, conformity.ConditionalFail, true},
		{conformity.NonBinary, l.Lower, conformity.ConditionalPass, conformity.ConditionalFail, false},
		{conformity.NonBinary, l.Upper + w, conformity.ConditionalFail, worse, true},
		{conformity.NonBinary, l.Lower - w, conformity.ConditionalFail, worse, false},
	} {
		outwards := math.Inf(-1)
		if row.upper {
			outwards = math.Inf(1)
		}
		for value, want := range map[float64]conformity.Verdict{
			row.end:                            row.inside,
			math.Nextafter(row.end, -outwards): row.inside,
			math.Nextafter(row.end, outwards):  row.outer,
		} {
			if d := decide(t, ask(value, u, l, row.rule, r)); d.Verdict != want {
				t.Errorf("%v at %.17g (end %.17g): %v, want %v", row.rule, value, row.end, d.Verdict, want)
			}
		}
	}
}

func TestGuardBandAndAcceptance(t *testing.T) {
	for _, row := range []struct {
		rule                 conformity.Rule
		guard, w, lower, top float64
	}{
		{conformity.Simple, 0, 0, -5, 5},
		{conformity.GuardBand, 1, 2, -3, 3},
		{conformity.NonBinary, 0.5, 1, -4, 4},
	} {
		d := decide(t, ask(0, 2, conformity.Between(-5, 5), row.rule, row.guard))
		if d.GuardBand != row.w || d.Acceptance != conformity.Between(row.lower, row.top) {
			t.Errorf("%v: w %v, acceptance %v", row.rule, d.GuardBand, d.Acceptance)
		}
	}
	d := decide(t, ask(0, 2, conformity.AtMost(5), conformity.GuardBand, 1))
	if d.Acceptance != conformity.AtMost(3) {
		t.Errorf("one-sided acceptance %v", d.Acceptance)
	}
}

func TestSpecificRisk(t *testing.T) {
	// On a one-sided limit both outcomes are even; a value w = U = 2u inside leaves
	// Φ(−2) = 2.275 % (ILAC-G8:09/2019, Table 1: below 2.5 %).
	const tail = 0.022750131948179207
	for _, row := range []struct {
		name  string
		value float64
		rule  conformity.Rule
		risk  float64
	}{
		{"pass on the limit", 10, conformity.Simple, 0.5},
		{"pass on the acceptance limit", 9, conformity.GuardBand, tail},
		{"fail one U beyond", 11, conformity.GuardBand, tail},
		{"binary fail on the limit", 10, conformity.GuardBand, 0.5},
		{"binary fail inside the limit is mostly wrong", 9.5, conformity.GuardBand, 0.841344746068543},
		{"conditional pass", 9.5, conformity.NonBinary, 1 - 0.841344746068543},
		{"conditional fail", 10.5, conformity.NonBinary, 1 - 0.841344746068543},
	} {
		d := decide(t, ask(row.value, 1, conformity.AtMost(10), row.rule, 1))
		if math.Abs(d.SpecificRisk-row.risk) > 1e-14 {
			t.Errorf("%s: risk %v, want %v", row.name, d.SpecificRisk, row.risk)
		}
	}
}

func TestNoStatement(t *testing.T) {
	q := ask(0, 2, conformity.Between(-5, 5), conformity.Simple, 0)
	q.NoStatementAbove = 2
	if d := decide(t, q); d.Verdict != conformity.Pass {
		t.Errorf("U at the threshold: %v", d.Verdict)
	}
	q.NoStatementAbove = math.Nextafter(2, 0)
	d := decide(t, q)
	if d.Verdict != conformity.NoStatement || d.Reason.Code != conformity.ReasonTooUncertain || !math.IsNaN(d.SpecificRisk) {
		t.Errorf("U one ulp above the threshold: %+v", d)
	}
	if !(d.ProbabilityOfConformity > 0.99) {
		t.Errorf("the probability stands without a statement: %v", d.ProbabilityOfConformity)
	}
}

// Under a guard band more uncertainty never turns a fail into a pass.
func TestMoreUncertaintyNeverHelps(t *testing.T) {
	random := rand.New(rand.NewPCG(17, 23))
	passes := 0
	for range 20000 {
		lower := random.NormFloat64()
		l := conformity.Between(lower, lower+random.ExpFloat64()+1e-3)
		switch random.IntN(3) {
		case 0:
			l = conformity.AtLeast(lower)
		case 1:
			l = conformity.AtMost(lower)
		}
		value, u := lower+random.NormFloat64(), random.ExpFloat64()
		r := random.Float64() * 2
		rule := []conformity.Rule{conformity.GuardBand, conformity.NonBinary}[random.IntN(2)]
		small, large := decide(t, ask(value, u, l, rule, r)), decide(t, ask(value, u*(1+random.ExpFloat64()), l, rule, r))
		if large.Verdict == conformity.Pass {
			passes++
			if small.Verdict != conformity.Pass {
				t.Fatalf("%v with U, pass with more: value %v, %v, U %v, r %v", small.Verdict, value, l, u, r)
			}
		}
	}
	if passes < 1000 {
		t.Errorf("only %d passes were seen", passes)
	}
}

func TestWarnings(t *testing.T) {
	d := decide(t, ask(0, 0, conformity.Between(-5, 5), conformity.Simple, 1))
	if !fault.Has(d.Warnings.Err(), conformity.CodeZeroUncertainty) || !fault.Has(d.Warnings.Err(), conformity.CodeGuardUnused) || d.GuardBand != 0 {
		t.Errorf("%+v", d)
	}
	if d := decide(t, ask(0, 1, conformity.Between(-5, 5), conformity.Simple, 0)); len(d.Warnings) != 0 {
		t.Errorf("warnings %v", d.Warnings)
	}
}

func TestBadQuestionsAreRefused(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, row := range []struct {
		name   string
		change func(*conformity.Question)
		code   *fault.Code
		field  string
	}{
		{"NaN value", func(q *conformity.Question) { q.Value = nan }, conformity.CodeNotFinite, "value"},
		{"infinite U", func(q *conformity.Question) { q.ExpandedUncertainty = inf }, conformity.CodeNotFinite, "expanded_uncertainty"},
		{"negative U", func(q *conformity.Question) { q.ExpandedUncertainty = -0.1 }, conformity.CodeNegativeUncertainty, "expanded_uncertainty"},
		{"k = 0", func(q *conformity.Question) { q.CoverageFactor = 0 }, conformity.CodeCoverageFactor, "coverage_factor"},
		{"infinite k", func(q *conformity.Question) { q.CoverageFactor = inf }, conformity.CodeCoverageFactor, "coverage_factor"},
		{"no limit", func(q *conformity.Question) { q.Limits = conformity.Between(-inf, inf) }, conformity.CodeNoLimit, "lower_limit"},
		{"NaN lower", func(q *conformity.Question) { q.Limits.Lower = nan }, conformity.CodeNotFinite, "lower_limit"},
		{"upper −∞", func(q *conformity.Question) { q.Limits.Upper = -inf }, conformity.CodeNotFinite, "upper_limit"},
		{"reversed", func(q *conformity.Question) { q.Limits = conformity.Between(5, -5) }, conformity.CodeLimitsReversed, "lower_limit"},
		{"equal", func(q *conformity.Question) { q.Limits = conformity.Limits{} }, conformity.CodeLimitsReversed, "lower_limit"},
		{"no rule", func(q *conformity.Question) { q.Rule = 0 }, conformity.CodeRuleUnknown, "rule"},
		{"negative r", func(q *conformity.Question) { q.GuardFactor = -1 }, conformity.CodeNegativeGuard, "guard_factor"},
		{"NaN r", func(q *conformity.Question) { q.GuardFactor = nan }, conformity.CodeNotFinite, "guard_factor"},
		{"negative threshold", func(q *conformity.Question) { q.NoStatementAbove = -1 }, conformity.CodeNegativeThreshold, "no_statement_above"},
		{"NaN threshold", func(q *conformity.Question) { q.NoStatementAbove = nan }, conformity.CodeNotFinite, "no_statement_above"},
		{"w overflows", func(q *conformity.Question) { q.GuardFactor, q.ExpandedUncertainty = 1e300, 1e300 }, conformity.CodeNotFinite, "expanded_uncertainty"},
		{"u overflows", func(q *conformity.Question) { q.CoverageFactor, q.ExpandedUncertainty = 1e-300, 1e300 }, conformity.CodeNotFinite, "expanded_uncertainty"},
	} {
		q := ask(0, 1, conformity.Between(-5, 5), conformity.GuardBand, 1)
		row.change(&q)
		_, err := conformity.Decide(q)
		f, found := fault.Of(err)
		if !found || f.Code != row.code || f.Field != row.field {
			t.Errorf("%s: %v", row.name, err)
		}
	}
	_, err := conformity.Decide(conformity.Question{ExpandedUncertainty: -1, GuardFactor: -1, NoStatementAbove: -1})
	var all fault.List
	if !errors.As(err, &all) || len(all) != 6 {
		t.Errorf("want all six problems at once, got %v", err)
	}
}

func TestNames(t *testing.T) {
	for _, name := range []string{"simple", "guard-band", "non-binary"} {
		if r, err := conformity.ParseRule(name); err != nil || r.String() != name {
			t.Errorf("%s: %v, %v", name, r, err)
		}
	}
	_, err := conformity.ParseRule("guard band")
	if f, _ := fault.Of(err); f.Code != conformity.CodeRuleUnknown || f.Value("given") != "guard band" {
		t.Errorf("unknown rule: %v", err)
	}
	if conformity.Rule(0).String() != "" || conformity.Verdict(0).String() != "" || conformity.Verdict(9).String() != "" {
		t.Error("an invalid rule or verdict has a name")
	}
}
