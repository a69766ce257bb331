package uncertainty_test

import (
	"errors"
	"math"
	"testing"

	"rillmark/calc/fault"
	"rillmark/calc/uncertainty"
)

func combine(t *testing.T, correlations []uncertainty.Correlation, components ...uncertainty.Component) uncertainty.Result {
	t.Helper()
	r, err := uncertainty.Combine(uncertainty.Budget{Components: components, Correlations: correlations, Coverage: uncertainty.CoverageDefault})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func near(a, b float64) bool { return math.Abs(a-b) <= 1e-13*math.Max(1, math.Abs(b)) }

func TestCorrelationAddsAndCancels(t *testing.T) {
	for _, row := range []struct {
		name       string
		r          float64
		cA, cB     float64
		want       float64
		shareA     float64
		wantFactor float64
	}{
		{"independent", 0, 1, 1, 5, 9.0 / 25, 2},
		{"fully shared adds linearly", 1, 1, 1, 7, 3.0 / 7, 2},
		{"fully opposed", -1, 1, 1, 1, -3, 2},
		{"shared, opposite sensitivities: cancels", 1, 1, -1, 1, -3, 2},
		// 9·4 + 16 + 2·0.5·6·4 = 76; share (36 + 12)/76... of A = 6·(6 + 0.5·4)/76
		{"half", 0.5, 2, 1, math.Sqrt(76), 48.0 / 76, 2},
	} {
		r := combine(t, []uncertainty.Correlation{{A: "A", B: "B", R: row.r}}, line("A", 3, row.cA, infinite), line("B", 4, row.cB, infinite))
		if !near(r.StandardUncertainty, row.want) || !near(r.Contributions[0].Share, row.shareA) || r.CoverageFactor != row.wantFactor {
			t.Errorf("%s: u = %v, share %v, k %v; want %v, %v, %v", row.name, r.StandardUncertainty, r.Contributions[0].Share, r.CoverageFactor, row.want, row.shareA, row.wantFactor)
		}
		if sum := r.Contributions[0].Share + r.Contributions[1].Share; !near(sum, 1) {
			t.Errorf("%s: shares sum to %v", row.name, sum)
		}
	}
}

func TestSharesSumToOne(t *testing.T) {
	for name, budget := range published() {
		r, err := uncertainty.Combine(budget)
		if err != nil {
			t.Fatal(err)
		}
		sum := 0.0
		for _, c := range r.Contributions {
			sum += c.Share
		}
		if !near(sum, 1) {
			t.Errorf("%s: shares sum to %v", name, sum)
		}
	}
}

func TestNothingContributes(t *testing.T) {
	r := combine(t, nil, line("A", 0, 1, 3), line("B", 4, 0, 2))
	if r.StandardUncertainty != 0 || r.ExpandedUncertainty != 0 || r.CoverageFactor != 2 || !math.IsInf(r.EffectiveDegreesOfFreedom, 1) {
		t.Errorf("%+v", r)
	}
	if !fault.Has(r.Warnings.Err(), uncertainty.CodeZero) || r.Contributions[1].Share != 0 {
		t.Errorf("warnings %v, shares %+v", r.Warnings, r.Contributions)
	}
	// Full cancellation of two equal shared parts, whatever the rounding.
	r = combine(t, []uncertainty.Correlation{{A: "A", B: "B", R: -1}}, line("A", 0.1, 3, 5), line("B", 0.3, 1, 5))
	if r.StandardUncertainty > 1e-8 {
		t.Errorf("u = %v, want 0", r.StandardUncertainty)
	}
}

func TestDegreesOfFreedom(t *testing.T) {
	shared := func(r float64) []uncertainty.Correlation { return []uncertainty.Correlation{{A: "A", B: "B", R: r}} }
	for _, row := range []struct {
		name         string
		correlations []uncertainty.Correlation
		components   []uncertainty.Component
		want, used   float64
	}{
		{"one of 5 stays 5", nil, []uncertainty.Component{line("A", 0.1, 3, 5)}, 5, 5},
		{"two alike of 4: (1+1)²/(1/4+1/4)", nil, []uncertainty.Component{line("A", 1, 1, 4), line("B", 1, 1, 4)}, 8, 8},
		{"negative sensitivity counts alike", nil, []uncertainty.Component{line("A", 1, 1, 4), line("B", 1, -1, 4)}, 8, 8},
		{"one known exactly: (1+1)²/(1/4)", nil, []uncertainty.Component{line("A", 1, 1, 4), line("B", 1, 1, infinite)}, 16, 16},
		{"3² + 4²: 25²/(81/3 + 256/7)", nil, []uncertainty.Component{line("A", 3, 1, 3), line("B", 4, 1, 7)}, 625 / (27 + 256.0/7), 9},
		{"both of one source keep its 4", shared(1), []uncertainty.Component{line("A", 1, 1, 4), line("B", 1, 1, 4)}, 4, 4},
		{"seen together keep their 4", shared(0.3), []uncertainty.Component{line("A", 1, 2, 4), line("B", 5, 1, 4)}, 4, 4},
		{"different: the smaller", shared(0.3), []uncertainty.Component{line("A", 1, 2, 9), line("B", 5, 1, 4)}, 4, 4},
		{"a member without effect does not count", shared(0.3), []uncertainty.Component{line("A", 1, 2, 9), line("B", 5, 0, 4)}, 9, 9},
		{"a coefficient of 0 ties nothing", shared(0), []uncertainty.Component{line("A", 1, 1, 4), line("B", 1, 1, 4)}, 8, 8},
		// group (1+1)² = 4 with 4, alone 1 with 2: 25/(16/4 + 1/2)
		{"a pair and a third", shared(1), []uncertainty.Component{line("A", 1, 1, 4), line("B", 1, 1, 4), line("C", 1, 1, 2)}, 25 / 4.5, 5},
		{"least there is", nil, []uncertainty.Component{line("A", 0.1, 7, 1)}, 1, 1},
	} {
		r := combine(t, row.correlations, row.components...)
		if !near(r.EffectiveDegreesOfFreedom, row.want) || r.DegreesOfFreedomUsed != row.used {
			t.Errorf("%s: ν = %v used as %v, want %v used as %v", row.name, r.EffectiveDegreesOfFreedom, r.DegreesOfFreedomUsed, row.want, row.used)
		}
		k, err := uncertainty.CoverageFactor(uncertainty.CoverageDefault, row.used)
		if err != nil || k != r.CoverageFactor || !near(r.ExpandedUncertainty, k*r.StandardUncertainty) {
			t.Errorf("%s: k = %v, want %v, %v", row.name, r.CoverageFactor, k, err)
		}
	}
}

func TestCoverageFactorAtTheEdges(t *testing.T) {
	for p, want := range map[float64]float64{0.6827: 1, 0.9545: 2, 0.9973: 3} {
		if k, err := uncertainty.CoverageFactor(p, infinite); err != nil || k != want {
			t.Errorf("k(%v, ∞) = %v, %v; want %v exactly", p, k, err, want)
		}
	}
	above, _ := uncertainty.CoverageFactor(0.9545, 17.99)
	below, _ := uncertainty.CoverageFactor(0.9545, 17)
	if above != below {
		t.Errorf("17.99 degrees of freedom are not rounded down to 17: %v, %v", above, below)
	}
	for _, bad := range []struct{ p, freedom float64 }{{0, 5}, {0.05, 5}, {1, 5}, {95, 5}, {math.NaN(), 5}, {0.95, 0}, {0.95, 0.9}, {0.95, math.NaN()}} {
		if _, err := uncertainty.CoverageFactor(bad.p, bad.freedom); err == nil {
			t.Errorf("k(%v, %v) is not refused", bad.p, bad.freedom)
		}
	}
}

func TestScaleDoesNotMatter(t *testing.T) {
	small := combine(t, nil, line("A", 3e-200, 1, 5), line("B", 4e-200, 1, 6))
	large := combine(t, nil, line("A", 3e200, 1, 5), line("B", 4e200, 1, 6))
	if !near(small.StandardUncertainty/5e-200, 1) || !near(large.StandardUncertainty/5e200, 1) ||
		!near(small.EffectiveDegreesOfFreedom, large.EffectiveDegreesOfFreedom) {
		t.Errorf("%+v\n%+v", small, large)
	}
}

func TestUnusedCoverageFactorIsPointedOut(t *testing.T) {
	budget := one(uncertainty.Standard, 1, 2)
	r, err := uncertainty.Combine(budget)
	if err != nil || r.StandardUncertainty != 1 || !fault.Has(r.Warnings.Err(), uncertainty.CodeCoverageFactorUnused) {
		t.Errorf("%+v, %v", r, err)
	}
}

func TestBadBudgetsAreRefused(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	a, b, c := line("A", 1, 1, 4), line("B", 1, 1, 4), line("C", 1, 1, 4)
	with := func(change func(*uncertainty.Component)) []uncertainty.Component {
		x := a
		change(&x)
		return []uncertainty.Component{x, b}
	}
	type list = []uncertainty.Correlation
	for _, row := range []struct {
		name         string
		components   []uncertainty.Component
		correlations list
		coverage     float64
		code         *fault.Code
		field        string
	}{
		{"no components", nil, nil, 0.95, uncertainty.CodeEmpty, "components"},
		{"no name", with(func(x *uncertainty.Component) { x.Name = "" }), nil, 0.95, uncertainty.CodeNameMissing, "components[0].name"},
		{"two of one name", []uncertainty.Component{a, a}, nil, 0.95, uncertainty.CodeNameTaken, "components[1].name"},
		{"negative", with(func(x *uncertainty.Component) { x.Value = -1 }), nil, 0.95, uncertainty.CodeNegative, "components[0].value"},
		{"NaN value", with(func(x *uncertainty.Component) { x.Value = nan }), nil, 0.95, uncertainty.CodeNotFinite, "components[0].value"},
		{"infinite sensitivity", with(func(x *uncertainty.Component) { x.Sensitivity = inf }), nil, 0.95, uncertainty.CodeNotFinite, "components[0].sensitivity"},
		{"no distribution", with(func(x *uncertainty.Component) { x.Distribution = 0 }), nil, 0.95, uncertainty.CodeDistributionUnknown, "components[0].distribution"},
		{"normal without k", with(func(x *uncertainty.Component) { x.Distribution = uncertainty.Normal }), nil, 0.95, uncertainty.CodeCoverageFactorMissing, "components[0].k"},
		{"negative k", with(func(x *uncertainty.Component) { x.Distribution, x.CoverageK = uncertainty.Normal, -2 }), nil, 0.95, uncertainty.CodeCoverageFactorMissing, "components[0].k"},
		{"no degrees of freedom", with(func(x *uncertainty.Component) { x.DegreesOfFreedom = 0 }), nil, 0.95, uncertainty.CodeFreedomTooSmall, "components[0].degrees_of_freedom"},
		{"NaN degrees of freedom", with(func(x *uncertainty.Component) { x.DegreesOfFreedom = nan }), nil, 0.95, uncertainty.CodeFreedomTooSmall, "components[0].degrees_of_freedom"},
		{"unknown a", []uncertainty.Component{a, b}, list{{A: "Z", B: "B", R: 0.1}}, 0.95, uncertainty.CodeCorrelationUnknown, "correlations[0].a"},
		{"unknown b", []uncertainty.Component{a, b}, list{{A: "A", B: "Z", R: 0.1}}, 0.95, uncertainty.CodeCorrelationUnknown, "correlations[0].b"},
		{"with itself", []uncertainty.Component{a, b}, list{{A: "B", B: "B", R: 0.1}}, 0.95, uncertainty.CodeCorrelationSelf, "correlations[0].b"},
		{"twice, turned round", []uncertainty.Component{a, b}, list{{A: "A", B: "B", R: 0.1}, {A: "B", B: "A", R: 0.2}}, 0.95, uncertainty.CodeCorrelationTwice, "correlations[1]"},
		{"above 1", []uncertainty.Component{a, b}, list{{A: "A", B: "B", R: math.Nextafter(1, 2)}}, 0.95, uncertainty.CodeCorrelationRange, "correlations[0].r"},
		{"below −1", []uncertainty.Component{a, b}, list{{A: "A", B: "B", R: -1.5}}, 0.95, uncertainty.CodeCorrelationRange, "correlations[0].r"},
		{"NaN r", []uncertainty.Component{a, b}, list{{A: "A", B: "B", R: nan}}, 0.95, uncertainty.CodeCorrelationRange, "correlations[0].r"},
		{"impossible together", []uncertainty.Component{a, b, c}, list{{A: "A", B: "B", R: 0.9}, {A: "B", B: "C", R: 0.9}, {A: "A", B: "C", R: -0.9}}, 0.95, uncertainty.CodeCorrelationImpossible, "correlations"},
		{"coverage in percent", []uncertainty.Component{a}, nil, 95, uncertainty.CodeCoverageRange, "coverage"},
		{"no coverage", []uncertainty.Component{a}, nil, 0, uncertainty.CodeCoverageRange, "coverage"},
		{"part overflows", []uncertainty.Component{line("A", 1e300, 1e300, 4)}, nil, 0.95, uncertainty.CodeTooLarge, "components"},
		{"expanded overflows", []uncertainty.Component{line("A", 1e308, 1, 4)}, nil, 0.95, uncertainty.CodeTooLarge, "components"},
	} {
		_, err := uncertainty.Combine(uncertainty.Budget{Components: row.components, Correlations: row.correlations, Coverage: row.coverage})
		f, found := fault.Of(err)
		if !found || f.Code != row.code || f.Field != row.field {
			t.Errorf("%s: %v", row.name, err)
		}
	}
	_, err := uncertainty.Combine(uncertainty.Budget{Components: []uncertainty.Component{{Value: -1}}, Correlations: list{{A: "Z", B: "Z", R: 2}}})
	var all fault.List
	if !errors.As(err, &all) || len(all) != 8 {
		t.Errorf("want all eight problems at once, got %d: %v", len(all), err)
	}
}

// The edge of what three quantities can have together: r_AB = r_BC = 0.8 needs
// r_AC ≥ 2·0.64 − 1 = 0.28.
func TestCorrelationAtTheEdgeOfPossible(t *testing.T) {
	for r, possible := range map[float64]bool{0.28: true, 0.2799: false, 1: true, 0.9: true} {
		_, err := uncertainty.Combine(uncertainty.Budget{Coverage: 0.95,
			Components: []uncertainty.Component{line("A", 1, 1, 4), line("B", 1, 1, 4), line("C", 1, 1, 4), line("D", 1, 1, 4)},
			Correlations: []uncertainty.Correlation{
				{A: "A", B: "B", R: 0.8}, {A: "B", B: "C", R: 0.8}, {A: "A", B: "C", R: r}}})
		if (err == nil) != possible {
			t.Errorf("r = %v: %v", r, err)
		}
		if err != nil {
			f, _ := fault.Of(err)
			if f.Value("names") != "A, B, C" {
				t.Errorf("names %v", f.Value("names"))
			}
		}
	}
	full := []uncertainty.Correlation{{A: "A", B: "B", R: 1}, {A: "B", B: "C", R: 1}, {A: "A", B: "C", R: 1}}
	if r := combine(t, full, line("A", 1, 1, 4), line("B", 2, 1, 4), line("C", 3, 1, 4)); !near(r.StandardUncertainty, 6) {
		t.Errorf("three fully shared parts: %v, want 6", r.StandardUncertainty)
	}
}

func TestDistributionNames(t *testing.T) {
	for _, name := range []string{"normal", "rectangular", "triangular", "arcsine", "standard"} {
		d, err := uncertainty.ParseDistribution(name)
		if err != nil || d.String() != name {
			t.Errorf("%s: %v, %v", name, d, err)
		}
	}
	for _, name := range []string{"", "Normal", "uniform", "student"} {
		_, err := uncertainty.ParseDistribution(name)
		if f, _ := fault.Of(err); f.Code != uncertainty.CodeDistributionUnknown || f.Value("given") != name {
			t.Errorf("%q: %v", name, err)
		}
	}
	if uncertainty.Distribution(0).String() != "" || uncertainty.Distribution(99).String() != "" {
		t.Error("an invalid distribution has a name")
	}
}
