package domain_test

import (
	"math"
	"testing"

	"rillmark/calc/fault"
	"rillmark/calc/quantity"
	"rillmark/domain"
)

func TestMeasuresAreReadWithTheirText(t *testing.T) {
	for _, row := range []struct {
		text string
		kind quantity.Kind
		sign domain.Sign
		want float64
		code *fault.Code
	}{
		{" 0,4 % ", quantity.KindRatio, domain.AnySign, 0.004, nil},
		{"-0.4 %", quantity.KindRatio, domain.AnySign, -0.004, nil},
		{"-0.4 %", quantity.KindRatio, domain.NotNegative, 0, domain.Negative},
		{"0 mm", quantity.KindLength, domain.Positive, 0, domain.NotPositive},
		{"0 mm", quantity.KindLength, domain.NotNegative, 0, nil},
		{"12", quantity.KindLength, domain.AnySign, 0, quantity.NoUnit},
	} {
		var check domain.Check
		value, text := check.Measure("x", row.text, row.kind, row.sign)
		if row.code != nil {
			if f, ok := fault.Of(check.Err()); !ok || f.Code != row.code || f.Field != "x" {
				t.Errorf("%q: %v", row.text, check.Err())
			}
			continue
		}
		if check.Err() != nil || value == nil || *value != row.want || *text != domain.Line(row.text) {
			t.Errorf("%q: %v %v, %v", row.text, value, text, check.Err())
		}
	}
	var check domain.Check
	if value, text := check.Measure("x", "  ", quantity.KindLength, domain.Positive); value != nil || text != nil || check.Err() != nil {
		t.Errorf("an empty text: %v %v, %v", value, text, check.Err())
	}
	check.Must("x", "", quantity.KindLength, domain.Positive)
	if !fault.Has(check.Err(), domain.Required) {
		t.Errorf("an empty text that must be there: %v", check.Err())
	}
}

func TestShownReadsBack(t *testing.T) {
	for _, row := range []struct {
		si   float64
		kind quantity.Kind
		unit string
		want string
	}{
		{38 * math.Pi / 180, quantity.KindAngle, "°", "38 °"},
		{0.0123, quantity.KindLength, "mm", "12.3 mm"},
		{1e6, quantity.KindFrequency, "MHz", "1 MHz"},
		{0.004, quantity.KindRatio, "%", "0.4 %"}, {-0.02, quantity.KindRatio, "%", "−2 %"},
		{2720, quantity.KindVelocity, "m/s", "2720 m/s"},
		{1e-9, quantity.KindLength, "m", "0.000000001 m"},
	} {
		if got := domain.Shown(row.si, row.kind, row.unit); got != row.want {
			t.Errorf("%g: %q, want %q", row.si, got, row.want)
		}
	}
}

func TestWholeNumbersHaveTheirRange(t *testing.T) {
	for text, want := range map[string]int{"12": 12, " 1 ": 1, "240": 240} {
		var check domain.Check
		if got := check.Whole("n", text, 1, 240); got == nil || *got != want || check.Err() != nil {
			t.Errorf("%q: %v, %v", text, got, check.Err())
		}
	}
	for _, text := range []string{"0", "241", "1.5", "twelve", "-3"} {
		var check domain.Check
		if got := check.Whole("n", text, 1, 240); got != nil || !fault.Has(check.Err(), domain.NotWhole) {
			t.Errorf("%q: %v, %v", text, got, check.Err())
		}
	}
}
