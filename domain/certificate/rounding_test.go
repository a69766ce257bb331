package certificate_test

import (
	"fmt"
	"math"
	"math/big"
	"strconv"
	"strings"
	"testing"

	"rillmark/calc/conformity"
	"rillmark/domain/certificate"
)

func TestRound(t *testing.T) {
	tests := []struct {
		name             string
		value, u         float64
		shift            int
		signed           bool
		wantValue, wantU string
		source           string
	}{
		{"a mass", 100.02147, 0.00079, 0, false, "100.02147", "0.00079", "JCGM 100:2008, 7.2.4, from memory: (100.021 47 ± 0.000 79) g"},
		{"an end gauge", 50.0008378, 0.0000926, 0, false, "50.000838", "0.000093", "JCGM 100:2008, H.1.7, from memory: (50.000 838 ± 0.000 093) mm"},
		{"percent", -0.027, 0.0062, 2, true, "−2.70", "0.62", "own"},
		{"percent, decided in decimals", 0.00285, 0.01, 2, true, "+0.3", "1.0", "0.285 % is +0.3 %; halves away from zero, ISO 80000-1, B, rule B, from memory"},
		{"a half goes up", 0.00105, 0.00123, 2, true, "+0.11", "0.12", "0.105 → 0.11 (its float64 is below the half)"},
		{"a half goes down below zero", -0.00105, 0.00123, 2, true, "−0.11", "0.12", "symmetric"},
		{"U carried into one more digit", 1.2345, 0.0996, 0, false, "1.23", "0.10", "0.0996 to two digits is 0.10, not 0.100"},
		{"U just below a power of ten", 12.345, 0.9949, 0, false, "12.35", "0.99", "own"},
		{"U that rounds to a power of ten", 12.345, 0.996, 0, false, "12.3", "1.0", "own"},
		{"tens", 1234, 56, 0, false, "1234", "56", "own"},
		{"hundreds", 12345, 1234, 0, false, "12300", "1200", "own"},
		{"zero has no sign", -0.00001, 0.01, 2, true, "0.0", "1.0", "own"},
		{"no U", 0.012345, math.NaN(), 2, true, "+1.23", "", "three digits"},
		{"U of nought", 0.012345, 0, 2, true, "+1.23", "", "three digits"},
		{"nought without U", 0, math.NaN(), 2, true, "0.00", "", "own"},
		{"small", 1.2345e-7, 3.3e-9, 0, false, "0.0000001235", "0.0000000033", "own"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := certificate.Round(tt.value, tt.u, tt.shift, tt.signed, nil)
			if r.Value != tt.wantValue || r.Expanded != tt.wantU {
				t.Errorf("printed %q ± %q, want %q ± %q (%s)", r.Value, r.Expanded, tt.wantValue, tt.wantU, tt.source)
			}
		})
	}
}

// decide judges by the rule within ±2 %.
func decide(t testing.TB, value, u float64, rule conformity.Rule, guard float64) string {
	t.Helper()
	d, err := conformity.Decide(conformity.Question{Value: value, ExpandedUncertainty: u, CoverageFactor: 2,
		Limits: conformity.Between(-0.02, 0.02), Rule: rule, GuardFactor: guard, NoStatementAbove: math.Inf(1)})
	if err != nil {
		t.Fatal(err)
	}
	return d.Verdict.String()
}

// TestPrintedDigitsNeverSuggestAnotherVerdict: for errors on and beside each limit, by
// each rule, the verdict from the printed digits is the verdict.
func TestPrintedDigitsNeverSuggestAnotherVerdict(t *testing.T) {
	further := 0
	for _, rule := range []conformity.Rule{conformity.Simple, conformity.GuardBand, conformity.NonBinary} {
		guard := 1.0
		if rule == conformity.Simple {
			guard = 0
		}
		for _, u := range []float64{0.0062, 0.00904, 0.00996, 0.0123456, 0.0015} {
			for _, edge := range []float64{0.02, -0.02, 0.02 - u, 0.02 + u, -0.02 + u} {
				for _, off := range []float64{0, 1e-9, -1e-9, 1e-5, -1e-5, 4e-4, -4e-4} {
					further += checkPrinted(t, edge+off, u, rule, guard)
				}
				further += checkPrinted(t, math.Nextafter(edge, 1), u, rule, guard)
				further += checkPrinted(t, math.Nextafter(edge, -1), u, rule, guard)
			}
		}
	}
	if further == 0 {
		t.Error("no case needed a further digit: the test tests nothing")
	}
}

// checkPrinted returns 1 when a further digit was needed.
func checkPrinted(t *testing.T, value, u float64, rule conformity.Rule, guard float64) int {
	t.Helper()
	want := decide(t, value, u, rule, guard)
	r := certificate.Round(value, u, 2, true, agrees(t, want, rule, guard))
	got := byHand(t, r.Value, r.Expanded, rule)
	if nearest := edgeDistance(value, u); got != want && nearest > 1e-8 {
		t.Errorf("%v rule: %v ± %v is %s, printed %s ± %s is %s", rule, value, u, want, r.Value, r.Expanded, got)
	}
	if r != certificate.Round(value, u, 2, true, nil) {
		return 1
	}
	return 0
}

// agrees asks whether the page leads to the verdict, within ±2 %.
func agrees(t *testing.T, want string, rule conformity.Rule, guard float64) func(certificate.Page) bool {
	return func(p certificate.Page) bool {
		d, err := conformity.Decide(conformity.Question{Value: p.Value, ExpandedUncertainty: p.Expanded, CoverageFactor: 2,
			Limits: conformity.Between(p.Whole(-0.02), p.Whole(0.02)), Rule: rule, GuardFactor: guard, NoStatementAbove: math.Inf(1)})
		if err != nil {
			t.Fatal(err)
		}
		return d.Verdict.String() == want
	}
}

// edgeDistance is how near the value is to any edge of a verdict.
func edgeDistance(value, u float64) float64 {
	near := math.Inf(1)
	for _, edge := range []float64{0.02, 0.02 - u, 0.02 + u} {
		near = math.Min(near, math.Abs(math.Abs(value)-edge))
	}
	return near
}

// byHand judges printed digits as a reader does, in exact decimals: a second way.
func byHand(t *testing.T, value, expanded string, rule conformity.Rule) string {
	t.Helper()
	v, u := exact(t, value), exact(t, expanded)
	v.Abs(v)
	limit := big.NewRat(2, 1)
	inner, outer := new(big.Rat).Sub(limit, u), new(big.Rat).Add(limit, u)
	switch {
	case rule == conformity.Simple && v.Cmp(limit) <= 0, rule != conformity.Simple && v.Cmp(inner) <= 0:
		return "pass"
	case rule == conformity.NonBinary && v.Cmp(limit) <= 0:
		return "conditional-pass"
	case rule == conformity.NonBinary && v.Cmp(outer) <= 0:
		return "conditional-fail"
	}
	return "fail"
}

func exact(t *testing.T, text string) *big.Rat {
	t.Helper()
	r, ok := new(big.Rat).SetString(strings.NewReplacer("−", "-", "+", "").Replace(text))
	if !ok {
		t.Fatalf("%q is no number", text)
	}
	return r
}

func read(t *testing.T, text string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(strings.NewReplacer("−", "-", "+", "").Replace(text), 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

func TestOneMoreDigitWhereItIsNeeded(t *testing.T) {
	for _, tt := range []struct {
		name             string
		value, u         float64
		rule             conformity.Rule
		wantValue, wantU string
	}{
		{"beyond, prints as at the limit", 0.02004, 0.0062, conformity.Simple, "+2.004", "0.62"},
		{"within, and needs no more", 0.01996, 0.0062, conformity.Simple, "+2.00", "0.62"},
		{"within by the guard band of U with more digits", 0.010958, 0.00904, conformity.GuardBand, "+1.10", "0.90"},
		{"beyond it, and U must tell", 0.0109999, 0.009049, conformity.GuardBand, "+1.100", "0.905"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			guard := 1.0
			if tt.rule == conformity.Simple {
				guard = 0
			}
			want := decide(t, tt.value, tt.u, tt.rule, guard)
			r := certificate.Round(tt.value, tt.u, 2, true, agrees(t, want, tt.rule, guard))
			if r.Value != tt.wantValue || r.Expanded != tt.wantU {
				t.Errorf("%s, printed %s ± %s, want %s ± %s", want, r.Value, r.Expanded, tt.wantValue, tt.wantU)
			}
		})
	}
}

func TestExactAndSignificant(t *testing.T) {
	for _, tt := range []struct{ got, want string }{
		{certificate.Exact(0.02, 2, true), "+2"}, {certificate.Exact(-0.015, 2, true), "−1.5"}, {certificate.Exact(0.29, 2, false), "29"},
		{certificate.Exact(0, 2, true), "0"}, {certificate.Exact(1.0/3, 0, false), "0.3333333333333333"},
		{certificate.Significant(123456, 2, 0, false), "120000"}, {certificate.Significant(0.0099951, 3, 0, false), "0.0100"},
		{certificate.Significant(0, 3, 0, false), "0"}, {certificate.Significant(-1.005, 3, 0, true), "−1.01"},
	} {
		if tt.got != tt.want {
			t.Errorf("printed %q, want %q", tt.got, tt.want)
		}
	}
}

func TestShortestReadsBack(t *testing.T) {
	for _, x := range []float64{0, 0.1, -1.0 / 3, 5e-324, math.MaxFloat64, 0.0430916666666667, 1e21} {
		text := certificate.Shortest(x)
		back, err := strconv.ParseFloat(text, 64)
		if err != nil || back != x || strings.ContainsAny(text, "eE") {
			t.Errorf("%v prints as %q and reads back as %v", x, text, back)
		}
	}
}

func ExampleRound() {
	r := certificate.Round(-0.02704, 0.00618, 2, true, nil)
	fmt.Println(r.Value, "±", r.Expanded, "%")
	// Output: −2.70 ± 0.62 %
}
