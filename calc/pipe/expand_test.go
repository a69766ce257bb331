package pipe

import (
	"math"
	"testing"

	"rillmark/calc/fault"
	"rillmark/calc/quantity"
	"rillmark/calc/solid"
)

func material(t *testing.T, name string) solid.Material {
	t.Helper()
	m, err := solid.Of(name)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func flow(t *testing.T, outside, wall float64, m solid.Material, celsius, gauge float64) (Flowing, error) {
	t.Helper()
	d, err := quantity.Metres(outside)
	if err != nil {
		t.Fatal(err)
	}
	w, err := quantity.Metres(wall)
	if err != nil {
		t.Fatal(err)
	}
	k, err := quantity.Kelvins(celsius + 273.15)
	if err != nil {
		t.Fatal(err)
	}
	return Flow(d, w, m, k, gauge)
}

// One length of a metre of carbon steel at 11.7e-6/K grows by 1.17 mm over 100 K; the
// volume flow that a bore stands for goes with its square.
func TestSteelGrowsWithTemperature(t *testing.T) {
	f, err := flow(t, 0.2191, 0.0082, material(t, "carbon steel"), 120, 0)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(f.Thermal-1.17e-3) > 1e-12 || f.InsidePressure != 0 || f.OutsidePressure != 0 {
		t.Errorf("%+v", f)
	}
	bore := 0.2191 - 2*0.0082
	for what, pair := range map[string][2]float64{
		"inside":  {f.InsideDiameter.SI(), bore * 1.00117},
		"outside": {f.OutsideDiameter.SI(), 0.2191 * 1.00117},
		"wall":    {f.Wall.SI(), 0.0082 * 1.00117},
	} {
		if math.Abs(pair[0]-pair[1]) > 1e-12 {
			t.Errorf("%s: %.9g, want %.9g", what, pair[0], pair[1])
		}
	}
	if cold, _ := flow(t, 0.2191, 0.0082, material(t, "carbon steel"), 20, 0); cold.InsideDiameter.SI() != bore || cold.StandardUncertainty != 0 {
		t.Errorf("at 20 °C: %+v", cold)
	}
}

// A thin tube with closed ends: ε = p·D_m/(2·t·E)·(1 − ν/2) for its mean diameter.
func TestAThinPipeGrowsAsByBarlow(t *testing.T) {
	m := material(t, "PVC")
	const outside, wall, p = 1.0, 0.002, 1e5
	f, err := flow(t, outside, wall, m, 20, p)
	if err != nil {
		t.Fatal(err)
	}
	want := p * (outside - wall) / (2 * wall * m.Young.Value) * (1 - m.Poisson/2)
	for _, got := range []float64{f.InsidePressure, f.OutsidePressure} {
		if math.Abs(got/want-1) > 0.006 {
			t.Errorf("%g, want %g", got, want)
		}
	}
}

// A thick tube worked by hand: D = 2·d, so D² − d² = 3·d²; σ_z = p/3, σ_θ inside = 5·p/3,
// outside = 2·p/3. With E = 1.1 GPa, ν = 0.45, p = 1 MPa: inside (5/3 + 0.45 − 0.15)/1100,
// outside (2/3 − 0.15)/1100.
func TestAThickPipeByHand(t *testing.T) {
	f, err := flow(t, 0.2, 0.05, material(t, "polyethylene"), 20, 1e6)
	if err != nil {
		t.Fatal(err)
	}
	if want := (5.0/3 + 0.45 - 0.15) / 1100; math.Abs(f.InsidePressure-want) > 1e-12 {
		t.Errorf("inside %g, want %g", f.InsidePressure, want)
	}
	if want := (2.0/3 - 0.15) / 1100; math.Abs(f.OutsidePressure-want) > 1e-12 {
		t.Errorf("outside %g, want %g", f.OutsidePressure, want)
	}
	if f.Wall.SI() >= 0.05 { // the volume of the wall stays about as it was
		t.Errorf("the wall grew to %g", f.Wall.SI())
	}
	// u(E)/E = 0.7/1.1/√3: E from 0.4 to 1.2 GPa.
	if want := f.InsidePressure * 0.7 / 1.1 / math.Sqrt(3); math.Abs(f.StandardUncertainty-want) > 1e-12 {
		t.Errorf("uncertainty %g, want %g", f.StandardUncertainty, want)
	}
	vacuum, err := flow(t, 0.2, 0.05, material(t, "polyethylene"), 20, -5e4)
	if err != nil || math.Abs(vacuum.InsidePressure+f.InsidePressure/20) > 1e-15 {
		t.Errorf("vacuum: %+v %v", vacuum, err)
	}
}

func TestFlowRefuses(t *testing.T) {
	steel := material(t, "carbon steel")
	for name, c := range map[string]struct {
		outside, wall, celsius float64
		m                      solid.Material
		want                   *fault.Code
	}{
		"no diameter":  {0, 0.001, 20, steel, BadOutsideDiameter},
		"no wall":      {0.1, 0, 20, steel, BadWall},
		"no bore":      {0.1, 0.05, 20, steel, BadWall},
		"too hot":      {0.1, 0.005, 201, steel, ExpansionRange},
		"plastic, hot": {0.11, 0.01, 61, material(t, "PVC"), ExpansionRange},
		"not known":    {0.1, 0.005, 20, material(t, "rubber"), NoExpansion},
	} {
		if _, err := flow(t, c.outside, c.wall, c.m, c.celsius, 0); !fault.Has(err, c.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := flow(t, 1e308, 1e306, steel, 199, 1e300); err == nil {
		t.Error("a length beyond every number is taken")
	}
}
