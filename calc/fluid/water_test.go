package fluid

import (
	"math"
	"strings"
	"testing"

	"rillmark/calc/fault"
	"rillmark/calc/num"
	"rillmark/calc/quantity"
)

func TestEveryPropertyCarriesUncertaintyAndSource(t *testing.T) {
	for name, c := range map[string]struct {
		kelvins, pascals          float64
		density, sound, viscosity float64 // relative standard uncertainties
	}{
		"tap water":       {293.15, 3e5, 5e-6, 2.5e-5, 0.005},
		"hot, compressed": {443.15, 2e6, 1e-4, 5e-4, 0.01},
		"hot":             {393.15, 1e6, 5e-6, 5e-4, 0.01},
		"high pressure":   {293.15, 3e7, 1e-4, 5e-4, 0.005},
	} {
		got, err := pure.At(state(t, c.kelvins, c.pascals))
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range []struct {
			property Property
			relative float64
			source   string
		}{
			{got.Density, c.density, "R6-95"}, {got.SoundSpeed, c.sound, "R6-95"}, {got.DynamicViscosity, c.viscosity, "R12-08"},
		} {
			if u := p.property.StandardUncertainty / p.property.Value; math.Abs(u/p.relative-1) > 1e-12 {
				t.Errorf("%s: relative uncertainty %g, want %g", name, u, p.relative)
			}
			if !strings.Contains(p.property.Source, p.source) {
				t.Errorf("%s: source %q", name, p.property.Source)
			}
		}
	}
}

func TestWaterRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		kelvins, pascals float64
		code             *fault.Code
		argument         string
		value, tolerance float64
	}{
		// Boiling point at 101325 Pa by IAPWS-95: 99.974 °C; melting point 0.0025 °C (R14-08).
		"boiling at 1 atm":       {373.15, 101325, Boiling, "saturation_temperature_C", 99.974, 2e-3},
		"boiling, its pressure":  {373.15, 101325, Boiling, "saturation_pressure_Pa", 101418, 5},
		"hot without pressure":   {453, 9e5, Boiling, "saturation_temperature_C", 175.35, 0.02},
		"freezing at 1 atm":      {273.149, 101325, Freezing, "melting_temperature_C", 0.00252, 2e-5},
		"freezing at 10 MPa":     {272, 1e7, Freezing, "melting_temperature_C", -0.7455, 5e-3},
		"freezing near the edge": {272, 611.4, Freezing, "melting_temperature_C", 0.01, 1e-5},
		"too hot":                {453.16, 2e6, TemperatureRange, "upper_C", 180, 1e-9},
		"too high a pressure":    {293.15, 1.0001e8, PressureRange, "upper_Pa", 1e8, 0},
		"near vacuum":            {293.15, 500, PressureRange, "lower_Pa", 611.2, 0.1},
	} {
		_, err := pure.At(state(t, c.kelvins, c.pascals))
		f, _ := fault.Of(err)
		if f.Code != c.code {
			t.Errorf("%s: got %v, want %s", name, err, c.code.Name())
			continue
		}
		if got := f.Value(c.argument).(float64); math.Abs(got-c.value) > c.tolerance {
			t.Errorf("%s: %s = %v, want %v", name, c.argument, got, c.value)
		}
	}
}

func TestTheEndsOfTheRangeAreInIt(t *testing.T) {
	for _, text := range []string{"0 °C", "180 °C"} {
		e, err := quantity.Parse(text, quantity.KindTemperature, quantity.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := pure.At(state(t, e.SI, 2e6)); err != nil {
			t.Errorf("%s: %v", text, err)
		}
		saturation := SaturationPressureOfWater(e.SI)
		if _, err := pure.At(state(t, e.SI, saturation)); err != nil {
			t.Errorf("%s at saturation: %v", text, err)
		}
		if _, err := pure.At(state(t, e.SI, math.Nextafter(saturation, 0))); err == nil {
			t.Errorf("%s below saturation is taken for a liquid", text)
		}
	}
	if _, err := pure.At(state(t, 293.15, 1e8)); err != nil {
		t.Errorf("100 MPa: %v", err)
	}
}

func TestUnknownFluid(t *testing.T) {
	_, err := Liquid{Name: "brandy"}.At(state(t, 293.15, 1e5))
	f, _ := fault.Of(err)
	if f.Code != Unknown || f.Field != "fluid" || f.Value("known") != strings.Join(LiquidNames(), ", ") {
		t.Errorf("got %v", err)
	}
}

func TestPhaseBoundariesAgainstComputedValues(t *testing.T) {
	for _, r := range read(t, "testdata/saturation.csv") {
		kelvins, pascals := r.number(t, "temperature_K"), r.number(t, "pressure_Pa")
		if r["curve"] == "melting" {
			if got, err := meltingTemperature(pascals); err != nil || math.Abs(got-kelvins) > 2e-6 {
				t.Errorf("ice melts under %v Pa at %v K, %v, want %v (%s)", pascals, got, err, kelvins, r["source"])
			}
			continue
		}
		if got := SaturationPressureOfWater(kelvins); math.Abs(got/pascals-1) > 1e-9 {
			t.Errorf("water boils at %v K under %v Pa, want %v (%s)", kelvins, got, pascals, r["source"])
		}
		if got, err := saturationTemperature(pascals); err != nil || math.Abs(got-kelvins) > 2e-6 {
			t.Errorf("water boils under %v Pa at %v K, %v, want %v (%s)", pascals, got, err, kelvins, r["source"])
		}
	}
}

// SR1-86(1992) prints these saturation pressures as its check values (from memory).
func TestSaturationPressure(t *testing.T) {
	for kelvins, want := range map[float64]float64{273.16: 611.657, 373.1243: 101325, 647.096: 22.064e6} {
		if got := SaturationPressureOfWater(kelvins); math.Abs(got/want-1) > 1e-5 {
			t.Errorf("%v K: %v Pa, want %v", kelvins, got, want)
		}
	}
	for _, kelvins := range []float64{273.14, 647.1, math.NaN()} {
		if got := SaturationPressureOfWater(kelvins); !math.IsNaN(got) {
			t.Errorf("%v K: %v Pa, want NaN", kelvins, got)
		}
	}
}

func TestSearchesOutsideTheirRange(t *testing.T) {
	if _, err := saturationTemperature(1); !fault.Has(err, num.NotBracketed) {
		t.Errorf("saturation at 1 Pa: %v", err)
	}
	if _, err := meltingTemperature(3e8); !fault.Has(err, num.NotBracketed) {
		t.Errorf("melting at 300 MPa: %v", err)
	}
	if got, err := liquidDensity(500, math.NaN()); !fault.Has(err, num.NotConverged) {
		t.Errorf("density at no pressure: %v, %v", got, err)
	}
}

// The release's identity between the derivatives, held numerically: the slope that the
// search uses is the derivative of the pressure.
func TestPressureSlope(t *testing.T) {
	for _, kelvins := range []float64{274, 350, 450} {
		iso := atTemperature(kelvins)
		for _, density := range []float64{0.5, 300, 900, 1000} {
			h := density * 1e-5
			up, _ := iso.pressure(density + h)
			down, _ := iso.pressure(density - h)
			_, slope := iso.pressure(density)
			if want := (up - down) / (2 * h); math.Abs(slope-want) > 1e-6*math.Abs(want)+1e-3 {
				t.Errorf("%v K, %v kg/m³: ∂p/∂ρ = %v, want %v", kelvins, density, slope, want)
			}
		}
	}
}

func BenchmarkWater(b *testing.B) {
	temperature, _ := quantity.Kelvins(293.15)
	pressure, _ := quantity.Pascals(3e5)
	for b.Loop() {
		if _, err := Water(temperature, pressure); err != nil {
			b.Fatal(err)
		}
	}
}
