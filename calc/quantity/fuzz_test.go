package quantity_test

import (
	"math"
	"strings"
	"testing"

	"rillmark/calc/quantity"
)

// FuzzParse holds what is true of every text: no panic, one of a finite value and an
// error, and a value that is read again after it was printed.
func FuzzParse(f *testing.F) {
	for _, r := range texts {
		f.Add(r.text, string(r.kind), "")
	}
	for _, bad := range []string{"1,234 m3/h", "NaN m", "1e999 m", "1/0 in", "1 2 3 4", "6' 99\"", "½½ in", "\xff m", "5 bar(gg)", strings.Repeat("9", 119)} {
		f.Add(bad, "length", "US")
		f.Add(bad, "pressure", "imperial")
	}
	f.Fuzz(func(t *testing.T, text, kind, gallon string) {
		o := quantity.Options{Gallon: quantity.Gallon(gallon)}
		e, err := quantity.Parse(text, quantity.Kind(kind), o)
		if err != nil {
			if e != (quantity.Entry{}) {
				t.Errorf("%q: error %v beside %+v", text, err, e)
			}
			return
		}
		if math.IsNaN(e.SI) || math.IsInf(e.SI, 0) || e.Unit == "" {
			t.Fatalf("%q: %+v", text, e)
		}
		printed, err := quantity.Format(e.SI, e.Kind, e.Kind.SIUnit(), 0.001, o)
		if err != nil {
			return // more digits than a float64 has
		}
		back, err := quantity.Parse(printed, e.Kind, o)
		if err != nil || math.Abs(back.SI-e.SI) > 0.0005*(1+1e-12)+1e-15*math.Abs(e.SI) {
			t.Errorf("%q: printed %q, read again as %v, %v", text, printed, back.SI, err)
		}
	})
}
