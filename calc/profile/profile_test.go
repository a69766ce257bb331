package profile_test

import (
	"math"
	"testing"

	"rillmark/calc/fault"
	"rillmark/calc/profile"
)

func TestReynolds(t *testing.T) {
	for _, c := range []struct {
		name                                             string
		density, velocity, diameter, viscosity, expected float64
		tolerance                                        float64
		source, basis                                    string
	}{
		{"water 20 °C, 1 m/s, 100 mm", 998.2, 1, 0.1, 1.0016e-3, 99660.5, 0.1, "definition; water by IAPWS at 20 °C", "computed by hand"},
		{"backwards", 998.2, -1, 0.1, 1.0016e-3, 99660.5, 0.1, "definition", "either direction"},
		{"oil", 870, 0.5, 0.2, 0.104, 836.538, 0.001, "White, Fluid Mechanics, SAE 30 oil, from memory", "computed by hand"},
		{"no flow", 1000, 0, 0.1, 1e-3, 0, 0, "definition", "limit"},
	} {
		got, err := profile.Reynolds(c.density, c.velocity, c.diameter, c.viscosity)
		if err != nil || math.Abs(got-c.expected) > c.tolerance {
			t.Errorf("%s: %v, %v, want %v (%s)", c.name, got, err, c.expected, c.source)
		}
	}
}

func TestReynoldsRefuses(t *testing.T) {
	_, err := profile.Reynolds(0, math.Inf(1), -1, math.NaN())
	if got := len(fault.AllOf(err)); got != 4 || !fault.Has(err, profile.NotPositive) {
		t.Errorf("%d faults in %v, want 4", got, err)
	}
}

func TestRegime(t *testing.T) {
	up, down := math.Nextafter(10000, 2e4), math.Nextafter(2300, 0)
	for re, want := range map[float64]profile.Regime{0: profile.Laminar, down: profile.Laminar, 2300: profile.Transition,
		10000: profile.Transition, up: profile.Turbulent, 1e6: profile.Turbulent} {
		if got, err := profile.RegimeOf(re, 2300, 10000); got != want || err != nil {
			t.Errorf("Re %v: %v, %v, want %v", re, got, err, want)
		}
	}
	if _, err := profile.RegimeOf(math.NaN(), 2300, 10000); !fault.Has(err, profile.NotPositive) {
		t.Errorf("NaN: %v", err)
	}
	if _, err := profile.RegimeOf(5000, 4000, 2300); !fault.Has(err, profile.LimitsReversed) {
		t.Errorf("reversed: %v", err)
	}
}
