package quantity_test

import (
	"math"
	"testing"

	"rillmark/calc/fault"
	"rillmark/calc/quantity"
)

type number interface {
	SI() float64
	Kind() quantity.Kind
}

// made is one constructor, with its result hidden behind number.
func made[T number](f func(float64) (T, error)) func(float64) (number, error) {
	return func(x float64) (number, error) { return f(x) }
}

func TestConstructors(t *testing.T) {
	for k, make := range map[quantity.Kind]func(float64) (number, error){
		l: made(quantity.Metres), th: made(quantity.Kelvins), td: made(quantity.KelvinsDifference),
		q: made(quantity.CubicMetresPerSecond), v: made(quantity.CubicMetres), p: made(quantity.Pascals),
		c: made(quantity.MetresPerSecond), s: made(quantity.Seconds), i: made(quantity.Amperes),
	} {
		got, err := make(2.5)
		if err != nil || got.SI() != 2.5 || got.Kind() != k {
			t.Errorf("%s: %v, %v", k, got, err)
		}
		for _, x := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
			if got, err := make(x); !fault.Has(err, quantity.NotFinite) || got.SI() != 0 {
				t.Errorf("%s of %v: %v, %v", k, x, got, err)
			}
		}
		_, err = make(-1)
		if (k == th || k == p) != (err != nil) {
			t.Errorf("%s of −1: %v", k, err)
		}
	}
}

func TestFromAnEntry(t *testing.T) {
	e, err := quantity.Parse("20 °C", th, quantity.Options{})
	if err != nil {
		t.Fatal(err)
	}
	got, err := quantity.Temperature{}.From(e)
	if err != nil || got.SI() != 293.15 {
		t.Errorf("got %v, %v", got, err)
	}
	if _, err := (quantity.TemperatureDifference{}).From(e); !fault.Has(err, quantity.WrongKind) {
		t.Errorf("a temperature taken for a difference: %v", err)
	}
}
