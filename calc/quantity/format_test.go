package quantity_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"rillmark/calc/fault"
	"rillmark/calc/quantity"
)

func TestFormat(t *testing.T) {
	gauge := quantity.Options{Pressure: quantity.Gauge}
	for _, r := range []struct {
		si         float64
		kind       quantity.Kind
		unit       string
		resolution float64
		options    quantity.Options
		want       string
	}{
		{0.1683, l, "mm", 0.1, quantity.Options{}, "168.3 mm"},
		{0.1683, l, "mm", 1, quantity.Options{}, "168 mm"},
		{0.1683, l, "mm", 5, quantity.Options{}, "170 mm"},
		{0.1683, l, "mm", 0.05, quantity.Options{}, "168.30 mm"},
		{0.1683, l, "m", 10, quantity.Options{}, "0 m"},
		{-0.0001, l, "mm", 1, quantity.Options{}, "0 mm"},
		{0.00025, l, "mm", 0.1, quantity.Options{}, "0.3 mm"}, // a half goes away from zero
		{-0.00025, l, "mm", 0.1, quantity.Options{}, "-0.3 mm"},
		{0.092075, l, `"`, 0.001, quantity.Options{}, "3.625 in"},
		{0.092075, l, "in", 0.0625, quantity.Options{}, "3.6250 in"},
		{293.15, th, "degC", 0.1, quantity.Options{}, "20.0 °C"},
		{293.15, th, "°F", 0.1, quantity.Options{}, "68.0 °F"},
		{10, td, "°F", 1, quantity.Options{}, "18 °F"},
		{0.25, q, "m3/h", 1, quantity.Options{}, "900 m³/h"},
		{0.07570823568, q, "gpm", 1, quantity.Options{Gallon: quantity.GallonUS}, "1200 US gal/min"},
		{601325, p, "bar", 0.01, quantity.Options{}, "6.01 bar absolute"},
		{601325, p, "bar", 0.01, gauge, "5.00 bar gauge"},
		{601325, p, "bar abs", 0.01, gauge, "6.01 bar absolute"},
		{601325, p, "kPa (g)", 1, quantity.Options{Atmosphere: 91325}, "510 kPa gauge"},
		{0.02, i, "mA", 0.001, quantity.Options{}, "20.000 mA"},
		{1000, quantity.KindPulseFactor, "L/pulse", 0.001, quantity.Options{}, "1.000 L/pulse"},
		{264.17205235814845, quantity.KindPulseFactor, "pulse/US gal", 0.01, quantity.Options{}, "1.00 pulse/US gal"},
		{0.001, quantity.KindDynamicViscosity, "cP", 0.01, quantity.Options{}, "1.00 cP"},
		{1e12, l, "m", 1e-3, quantity.Options{}, "1000000000000.000 m"},
	} {
		got, err := quantity.Format(r.si, r.kind, r.unit, r.resolution, r.options)
		if err != nil || got != r.want {
			t.Errorf("%v %s to %v: %q, %v, want %q", r.si, r.unit, r.resolution, got, err, r.want)
		}
	}
}

func TestFormatRefuses(t *testing.T) {
	for name, r := range map[string]struct {
		si         float64
		kind       quantity.Kind
		unit       string
		resolution float64
		code       *fault.Code
	}{
		"NaN":             {math.NaN(), l, "m", 1, quantity.NotFinite},
		"below zero":      {-1, th, "K", 1, quantity.BelowAbsoluteZero},
		"resolution zero": {1, l, "m", 0, quantity.BadResolution},
		"resolution NaN":  {1, l, "m", math.NaN(), quantity.BadResolution},
		"resolution big":  {1, l, "m", 1e31, quantity.BadResolution},
		"too many digits": {1e6, l, "m", 1e-12, quantity.TooFine},
		"unit":            {1, l, "bar", 1, quantity.UnknownUnit},
		"no unit":         {1, l, " ", 1, quantity.NoUnit},
		"kind":            {1, "weight", "kg", 1, quantity.UnknownKind},
		"no pulses":       {0, quantity.KindPulseFactor, "L/pulse", 1, quantity.NotFinite},
		"gallon":          {1, v, "gal", 1, quantity.AmbiguousGallon},
	} {
		if got, err := quantity.Format(r.si, r.kind, r.unit, r.resolution, quantity.Options{}); !fault.Has(err, r.code) {
			t.Errorf("%s: %q, %v", name, got, err)
		}
	}
}

var printable = map[quantity.Kind][]string{
	l: {"m", "mm", "in", "ft", "µm"}, th: {"K", "°C", "°F"}, td: {"K", "°F"},
	q: {"m³/h", "L/s", "US gal/min", "imp gal/min", "bbl/h"}, v: {"m³", "mL", "US gal", "bbl"},
	p: {"Pa", "bar", "bar gauge", "psi", "psi gauge", "kPa"}, c: {"m/s", "ft/s"}, s: {"s", "min", "h", "µs"}, i: {"A", "mA"},
	quantity.KindMass: {"kg", "t", "lb"}, quantity.KindMassFlow: {"kg/h", "t/h", "lb/min"}, quantity.KindDensity: {"kg/m³", "lb/ft³", "lb/US gal"},
	quantity.KindDynamicViscosity: {"mPa·s", "cP", "P"}, quantity.KindKinematicViscosity: {"mm²/s", "cSt", "ft²/h"},
	quantity.KindRatio: {"%", "‰", "ppm", "g/kg"}, quantity.KindAngle: {"rad", "°"}, quantity.KindFrequency: {"Hz", "kHz"}, quantity.KindLevel: {"dB"},
	quantity.KindAPIGravity: {"°API"},
	quantity.KindPulses:     {"pulse"}, quantity.KindPulseFactor: {"pulse/L", "pulse/US gal", "pulse/m³"},
}

// |parse(format(x, r)) − x| ≤ r/2, and format∘parse∘format = format.
func TestFormatAndParseAreInverse(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 11))
	for k, names := range printable {
		for _, unit := range names {
			done := 0
			for range 400 {
				done += roundTrip(t, random, k, unit)
			}
			if done < 200 {
				t.Errorf("%s in %s: only %d of 400 round trips could be made", k, unit, done)
			}
		}
	}
}

func roundTrip(t *testing.T, random *rand.Rand, k quantity.Kind, unit string) (done int) {
	t.Helper()
	r := []float64{1, 2, 2.5, 5}[random.IntN(4)] * math.Pow(10, float64(random.IntN(9)-6))
	x := random.Float64() * math.Pow(10, float64(random.IntN(7)-3))
	switch {
	case k == p:
		x += 2e5 // above a vacuum also after rounding a gauge pressure
	case k != th && random.IntN(2) == 0:
		x = -x
	}
	first, err := quantity.Format(x, k, unit, r, quantity.Options{})
	if fault.Has(err, quantity.TooFine) {
		return 0
	}
	if err != nil {
		t.Fatalf("Format(%v, %s, %v): %v", x, unit, r, err)
	}
	back, err := quantity.Parse(first, k, quantity.Options{})
	if fault.Has(err, quantity.BelowAbsoluteZero) || fault.Has(err, quantity.BelowVacuum) {
		return 0 // rounding to a coarse step went below zero
	}
	if err != nil {
		t.Fatalf("Parse(%q): %v", first, err)
	}
	one := 1.0
	if k != p && k != th {
		e, _ := quantity.Parse("1 "+unit, k, quantity.Options{})
		one = e.SI
	} else {
		low, _ := quantity.Parse("1000 "+unit, k, quantity.Options{})
		high, _ := quantity.Parse("1001 "+unit, k, quantity.Options{})
		one = (high.SI - low.SI) * (1 + 1e-9)
	}
	if off := math.Abs(back.SI - x); off > r*one/2*(1+1e-12)+4e-16*math.Abs(x) {
		t.Errorf("%v as %q comes back %v off, resolution %v %s", x, first, off, r, unit)
	}
	if again, err := quantity.Format(back.SI, k, unit, r, quantity.Options{}); err != nil || again != first {
		t.Errorf("%q is printed again as %q, %v", first, again, err)
	}
	return 1
}

// A value is the same whatever unit it is told in: printed finely in each unit of its kind
// and read again it comes back the same.
func TestUnitsDoNotChangeAValue(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 3))
	if len(printable) != len(quantity.Kinds()) {
		t.Errorf("%d kinds are printed, of %d", len(printable), len(quantity.Kinds()))
	}
	for k, names := range printable {
		for range 50 {
			x := 300 + 700*random.Float64()
			for _, unit := range names {
				one, err := quantity.Parse("1000000 "+unit, k, quantity.Options{})
				if err != nil {
					t.Fatal(err)
				}
				fine := math.Pow(10, math.Floor(math.Log10(x/one.SI*1e6))-11) // eleven digits below the first
				text, err := quantity.Format(x, k, unit, math.Min(fine, 1e-3), quantity.Options{})
				if fault.Has(err, quantity.TooFine) {
					text, err = quantity.Format(x, k, unit, fine, quantity.Options{})
				}
				if err != nil {
					t.Fatalf("%g %s in %s: %v", x, k, unit, err)
				}
				back, err := quantity.Parse(text, k, quantity.Options{})
				if err != nil || math.Abs(back.SI/x-1) > 1e-9 {
					t.Errorf("%g %s told as %q is %g (%v)", x, k, text, back.SI, err)
				}
			}
		}
	}
}
