package fluid

import (
	"math"
	"testing"

	"rillmark/calc/fault"
	"rillmark/calc/quantity"
)

func speedOf(t *testing.T, celsius, pascals float64) quantity.Velocity {
	t.Helper()
	v, err := quantity.MetresPerSecond(ofPressure(t, "sound speed", state(t, celsius+273.15, pascals)))
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func TestTemperaturesOfASoundSpeed(t *testing.T) {
	for name, c := range map[string]struct {
		celsius, pascals float64 // of a state whose speed is asked back
		roots            int
	}{
		"cold":                 {12, 3e5, 1},
		"below the maximum":    {60, 3e5, 2},
		"near the maximum":     {73.5, 3e5, 2},
		"above the maximum":    {95, 3e5, 2},
		"hot, as fast as cold": {170, 2e6, 2},
		"near boiling":         {98, 101325, 2},
		"just above 0 °C":      {0.001, 101325, 1},
	} {
		s := state(t, 300, c.pascals)
		got, err := pure.Temperatures(speedOf(t, c.celsius, c.pascals), s.Pressure)
		if err != nil || len(got) != c.roots {
			t.Errorf("%s: %v, %v, want %d roots", name, got, err, c.roots)
			continue
		}
		found := false
		for i, root := range got {
			found = found || math.Abs(root.SI()-273.15-c.celsius) < 1e-4
			back := speedOf(t, root.SI()-273.15, c.pascals)
			if math.Abs(back.SI()-speedOf(t, c.celsius, c.pascals).SI()) > 1e-5 || i > 0 && root.SI() <= got[i-1].SI() {
				t.Errorf("%s: root %v K has %v m/s", name, root.SI(), back.SI())
			}
		}
		if !found {
			t.Errorf("%s: %v °C is not among %v", name, c.celsius, got)
		}
	}
}

func TestTemperaturesFindsNone(t *testing.T) {
	for _, speed := range []float64{1300, 1600} {
		v, _ := quantity.MetresPerSecond(speed)
		got, err := pure.Temperatures(v, state(t, 300, 3e5).Pressure)
		if err != nil || len(got) != 0 {
			t.Errorf("%v m/s: %v, %v", speed, got, err)
		}
	}
}

func TestTemperaturesRefuses(t *testing.T) {
	v, _ := quantity.MetresPerSecond(1480)
	if _, err := (Liquid{Name: "brandy"}).Temperatures(v, state(t, 300, 3e5).Pressure); !fault.Has(err, Unknown) {
		t.Errorf("unknown fluid: %v", err)
	}
	if _, err := pure.Temperatures(v, state(t, 300, 2e8).Pressure); !fault.Has(err, PressureRange) {
		t.Errorf("200 MPa: %v", err)
	}
}

func TestSoundSpeedSlope(t *testing.T) {
	// The derivative of the polynomial of Marczak, JASA 102 (1997) 2776, coefficients as
	// published; a formula of its own, from measurements at atmospheric pressure.
	marczak := func(c float64) float64 {
		return 5.038813 + c*(-2*5.799136e-2+c*(3*3.287156e-4+c*(-4*1.398845e-6+c*5*2.787860e-9)))
	}
	for _, celsius := range []float64{0, 5, 20, 40, 60, 74.2, 90} {
		got, err := pure.SoundSpeedSlope(state(t, celsius+273.15, 101325))
		if err != nil || math.Abs(got-marczak(celsius)) > 0.01 {
			t.Errorf("%v °C: %v, %v, want %v", celsius, got, err, marczak(celsius))
		}
	}
	if _, err := pure.SoundSpeedSlope(state(t, 373.15, 101325)); !fault.Has(err, Boiling) {
		t.Errorf("boiling: %v", err)
	}
	near := SaturationPressureOfWater(353.15)
	if got, err := pure.SoundSpeedSlope(state(t, 353.15, near)); err != nil || math.Abs(got+0.19) > 0.05 {
		t.Errorf("at boiling: %v, %v", got, err)
	}
}

func TestSoundSpeedAtNoTemperature(t *testing.T) {
	if _, err := pure.soundSpeedAt(-1, state(t, 300, 1e5).Pressure); !fault.Has(err, quantity.BelowAbsoluteZero) {
		t.Errorf("got %v", err)
	}
}
