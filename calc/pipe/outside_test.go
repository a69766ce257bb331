package pipe_test

import (
	"strings"
	"testing"

	"rillmark/calc/fault"
	"rillmark/calc/pipe"
	"rillmark/calc/quantity"
)

func length(t *testing.T, text string) quantity.Length {
	t.Helper()
	e, err := quantity.Parse(text, quantity.KindLength, quantity.Options{})
	if err != nil {
		t.Fatal(err)
	}
	x, err := quantity.Length{}.From(e)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

func names(sizes []pipe.Size) string {
	var all []string
	for _, s := range sizes {
		all = append(all, s.Name)
	}
	return strings.Join(all, ",")
}

func TestCheckOutside(t *testing.T) {
	for _, c := range []struct {
		entered, size   string
		actual, nominal string
		warning         *fault.Code
	}{
		{"8 in", "", "", "8", pipe.NominalSize},
		{"8 in", "8", "", "8", pipe.NominalSize},
		{"203 mm", "", "", "8", pipe.NominalSize},
		{"200 mm", "", "", "8", pipe.NominalSize},
		{"200 mm", "DN 200", "", "8", pipe.NominalSize},
		{"219.1 mm", "", "8", "", nil},
		{"8.625 in", "8", "8", "", nil},
		{"220.5 mm", "8", "8", "", nil}, // within the mill tolerance
		{"150 mm", "", "", "6", pipe.NominalSize},
		{"1.5 in", "", "", "1 1/2", pipe.NominalSize},
		{"14 in", "", "14", "", nil}, // from NPS 14 up the nominal inch size is the actual one
		{"24 in", "", "24", "", nil},
		{"350 mm", "", "", "14", pipe.NominalSize},
		{"600 mm", "", "", "24", pipe.NominalSize},
		{"2000 mm", "", "", "80", pipe.NominalSize},
		{"4 in", "", "3 1/2", "4", pipe.PerhapsNominalSize},
		{"4 in", "4", "", "4", pipe.NominalSize},
		{"4 in", "3 1/2", "3 1/2", "", nil},
		{"3.5 in", "", "3", "3 1/2", pipe.PerhapsNominalSize},
		{"100 mm", "", "", "4", pipe.NominalSize},
		{"230 mm", "", "", "", nil},
		{"230 mm", "8", "", "", pipe.OtherOutsideDiameter},
		{"21.3 mm", "", "1/2", "", nil},
		{"21.8 mm", "1/2", "", "", pipe.OtherOutsideDiameter},
	} {
		got, err := pipe.CheckOutside(standard, c.size, length(t, c.entered))
		if err != nil || names(got.Actual) != c.actual || names(got.Nominal) != c.nominal {
			t.Errorf("%s as %q: actual %q, nominal %q, %v", c.entered, c.size, names(got.Actual), names(got.Nominal), err)
		}
		if (c.warning == nil) != (len(got.Warnings) == 0) || c.warning != nil && !fault.Has(got.Warnings.Err(), c.warning) {
			t.Errorf("%s as %q: warnings %v", c.entered, c.size, got.Warnings)
		}
		if got.IsNominal() != (c.warning == pipe.NominalSize) {
			t.Errorf("%s as %q: IsNominal is %v", c.entered, c.size, got.IsNominal())
		}
	}
}

func TestTheWarningNamesTheActualSize(t *testing.T) {
	got, err := pipe.CheckOutside(standard, "", length(t, "200 mm"))
	if err != nil || len(got.Warnings) != 1 {
		t.Fatalf("%+v, %v", got, err)
	}
	w := got.Warnings[0]
	if w.Field != "outside_diameter_m" || w.Value("entered_mm") != 200.0 || w.Value("actual_mm") != 219.075 ||
		w.Value("actual_in") != 8.625 || w.Value("size") != "NPS 8 (DN 200)" {
		t.Errorf("got %v", w)
	}
}

// Every actual outside diameter of the standard is known as one, whatever it is close to.
func TestEveryActualDiameterIsActual(t *testing.T) {
	sizes, err := pipe.Sizes(standard)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range sizes {
		got, err := pipe.CheckOutside(standard, s.Name, s.OutsideDiameter)
		if err != nil || names(got.Actual) != s.Name || len(got.Warnings) > 0 {
			t.Errorf("%s: %+v, %v", s.Label(), got, err)
		}
	}
}

func TestCheckOutsideRefuses(t *testing.T) {
	x := length(t, "200 mm")
	if _, err := pipe.CheckOutside("other", "", x); !fault.Has(err, pipe.UnknownStandard) {
		t.Errorf("standard: %v", err)
	}
	if _, err := pipe.CheckOutside(standard, "7", x); !fault.Has(err, pipe.UnknownSize) {
		t.Errorf("size: %v", err)
	}
	if _, err := pipe.CheckOutside(standard, "", length(t, "-1 mm")); !fault.Has(err, pipe.BadOutsideDiameter) {
		t.Errorf("negative: %v", err)
	}
}
