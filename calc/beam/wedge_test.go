package beam_test

import (
	"math"
	"testing"

	"rillmark/calc/beam"
	"rillmark/calc/fault"
)

// 2 to 2.5 m/s per kelvin, falling with temperature: common practice, no source.
func TestWedgeSoundSpeedAt(t *testing.T) {
	for _, c := range []struct {
		name                                 string
		stated, reference, slope, at, expect float64
	}{
		{"where it is stated", 2730, 20, beam.DefaultWedgeSlope, 20, 2730},
		{"hot water at 120 °C", 2730, 20, beam.DefaultWedgeSlope, 120, 2505},
		{"cold water at 4 °C", 2730, 20, -2.5, 4, 2770},
		{"a slope of its own, another temperature", 2500, 25, -1, 15, 2510},
	} {
		got, err := beam.WedgeSoundSpeedAt(c.stated, c.reference, c.slope, c.at)
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.name, got, c.expect, 1e-9)
	}
}

// A hotter wedge sends the sound more steeply for the same angle of its face: the ray
// parameter grows, the beam leans over and the transducers move apart, and a reference that
// is not told shows less velocity by about the relative change (v goes with 1/p).
func TestHotWedgeMovesTheTransducersApart(t *testing.T) {
	cold := steel()
	hot := cold
	hot.WedgeSoundSpeed, _ = beam.WedgeSoundSpeedAt(cold.WedgeSoundSpeed, 20, -2.25, 80)
	a, b := place(t, cold), place(t, hot)
	if !(b.Spacing > a.Spacing+0.001) {
		t.Errorf("spacing %g m cold, %g m hot", a.Spacing, b.Spacing)
	}
	close(t, "ray parameter", math.Sin(b.FluidAngle)/math.Sin(a.FluidAngle), 2730/2595.0, 1e-12)
}

func TestWedgeSoundSpeedRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		stated, reference, slope, at float64
		code                         *fault.Code
		field                        string
	}{
		"no speed":        {0, 20, -2, 20, beam.NotPositive, beam.WedgeSoundSpeedName},
		"not a number":    {2730, 20, math.NaN(), 20, beam.NotFinite, beam.WedgeSlopeName},
		"no reference":    {2730, math.Inf(1), -2, 20, beam.NotFinite, beam.WedgeReferenceName},
		"far too hot":     {2730, 20, -2, math.Nextafter(220, 300), beam.WedgeShiftRange, beam.WedgeTemperatureName},
		"far too cold":    {2730, 20, -2, math.Nextafter(-180, -300), beam.WedgeShiftRange, beam.WedgeTemperatureName},
		"nothing is left": {100, 20, -2, 70, beam.NotPositive, beam.WedgeSlopeName},
	} {
		_, err := beam.WedgeSoundSpeedAt(c.stated, c.reference, c.slope, c.at)
		if f, _ := fault.Of(err); f.Code != c.code || f.Field != c.field {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := beam.WedgeSoundSpeedAt(2730, 20, -2, 220); err != nil {
		t.Errorf("on the bound: %v", err)
	}
}
