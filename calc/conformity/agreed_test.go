package conformity_test

import (
	"math"
	"testing"

	"rillmark/calc/conformity"
	"rillmark/calc/fault"
)

// TestAgreedAtAFlow: limits worked out by hand, flows in m³/h.
func TestAgreedAtAFlow(t *testing.T) {
	inf := math.Inf(1)
	reading := func(lower, upper float64) conformity.Agreed {
		return conformity.Agreed{Limits: conformity.Between(lower, upper), Part: conformity.OfReading}
	}
	with := func(a conformity.Agreed, how conformity.Combination, size float64, part conformity.Part, span float64) conformity.Agreed {
		a.Combination, a.Second, a.SecondPart, a.SecondSpan = how, size, part, span
		return a
	}
	spanned := conformity.Agreed{Limits: conformity.Between(-0.01, 0.02), Part: conformity.OfSpan, Span: 200}
	for _, c := range []struct {
		name         string
		agreed       conformity.Agreed
		flow         float64
		lower, upper float64
	}{
		{"± 2 % of reading", reading(-0.02, 0.02), 50, -0.02, 0.02},
		{"−1 % to 2 % of span 200, at 50", spanned, 50, -0.04, 0.08},
		{"± 0.5 m³/h at 20", conformity.Agreed{Limits: conformity.Between(-0.5, 0.5), Part: conformity.OfFlow}, 20, -0.025, 0.025},
		{"0.5 % of reading plus 0.1 % of span 200, at 100", with(reading(-0.005, 0.005), conformity.Sum, 0.001, conformity.OfSpan, 200), 100, -0.007, 0.007},
		{"the same at 10", with(reading(-0.005, 0.005), conformity.Sum, 0.001, conformity.OfSpan, 200), 10, -0.025, 0.025},
		{"1 % of reading or 0.5 m³/h, at 100", with(reading(-0.01, 0.01), conformity.Greater, 0.5, conformity.OfFlow, 0), 100, -0.01, 0.01},
		{"the same at 20", with(reading(-0.01, 0.01), conformity.Greater, 0.5, conformity.OfFlow, 0), 20, -0.025, 0.025},
		{"the same where they meet", with(reading(-0.01, 0.01), conformity.Greater, 0.5, conformity.OfFlow, 0), 50, -0.01, 0.01},
		{"unequal sides, one wider", with(reading(-0.01, 0.04), conformity.Greater, 0.5, conformity.OfFlow, 0), 20, -0.025, 0.04},
		{"one side, sum", with(reading(-inf, 0.01), conformity.Sum, 0.5, conformity.OfFlow, 0), 50, -inf, 0.02},
		{"one side, greater", with(reading(-0.01, inf), conformity.Greater, 0.5, conformity.OfFlow, 0), 20, -0.025, inf},
	} {
		got, err := c.agreed.At(c.flow)
		near := func(x, want float64) bool { return x == want || math.Abs(x-want) < 1e-15 }
		if err != nil || !near(got.Lower, c.lower) || !near(got.Upper, c.upper) {
			t.Errorf("%s: %v, %v; want %v to %v", c.name, got, err, c.lower, c.upper)
		}
	}
}

func TestAgreedRefused(t *testing.T) {
	sound := func() conformity.Agreed {
		return conformity.Agreed{Limits: conformity.Between(-0.01, 0.01), Part: conformity.OfReading,
			Combination: conformity.Sum, Second: 0.001, SecondPart: conformity.OfSpan, SecondSpan: 200}
	}
	for name, c := range map[string]struct {
		spoil func(*conformity.Agreed)
		flow  float64
		field string
		code  *fault.Code
	}{
		"no limit":               {func(a *conformity.Agreed) { a.Limits = conformity.Between(math.Inf(-1), math.Inf(1)) }, 1, "lower_limit", conformity.CodeNoLimit},
		"part":                   {func(a *conformity.Agreed) { a.Part = "weight" }, 1, "kind", conformity.CodePart},
		"span of reading":        {func(a *conformity.Agreed) { a.Span = 2 }, 1, "span", conformity.CodeSpanUnused},
		"span missing":           {func(a *conformity.Agreed) { a.SecondSpan = 0 }, 1, "other_span", conformity.CodeNotPositive},
		"same part":              {func(a *conformity.Agreed) { a.Part, a.Span = conformity.OfSpan, 100 }, 1, "other_kind", conformity.CodeSamePart},
		"combination":            {func(a *conformity.Agreed) { a.Combination = "product" }, 1, "combine", conformity.CodeCombination},
		"second alone":           {func(a *conformity.Agreed) { a.Combination = "" }, 1, "combine", conformity.CodeCombination},
		"second negative":        {func(a *conformity.Agreed) { a.Second = -0.1 }, 1, "other", conformity.CodeNotPositive},
		"second infinite":        {func(a *conformity.Agreed) { a.Second = math.Inf(1) }, 1, "other", conformity.CodeNotPositive},
		"no flow":                {func(*conformity.Agreed) {}, 0, "flow", conformity.CodeNotPositive},
		"no number for a flow":   {func(*conformity.Agreed) {}, math.NaN(), "flow", conformity.CodeNotPositive},
		"second of unknown part": {func(a *conformity.Agreed) { a.SecondPart = "" }, 1, "other_kind", conformity.CodePart},
	} {
		a := sound()
		c.spoil(&a)
		_, err := a.At(c.flow)
		found := false
		for _, f := range fault.AllOf(err) {
			found = found || f.Code == c.code && f.Field == c.field
		}
		if !found {
			t.Errorf("%s: %v; want %s in %s", name, err, c.code.Name(), c.field)
		}
	}
	if l := sound().Validate(); l != nil {
		t.Errorf("a sound one: %v", l)
	}
}
