package pipe

import (
	"math"

	"rillmark/calc/fault"
	"rillmark/calc/quantity"
	"rillmark/calc/solid"
)

// The codes of expansion.
var (
	// NoExpansion: how the material expands is not known.
	NoExpansion = fault.Define("pipe.no-expansion", fault.T("material"))
	// ExpansionRange: the temperature is beyond what is known of the material.
	ExpansionRange = fault.Define("pipe.expansion-out-of-range", fault.N("temperature_C"), fault.T("material"), fault.N("lower_C"), fault.N("upper_C"))
)

// reference is the temperature, in kelvin, at which standards give dimensions (ISO 1).
const reference = 293.15

// Flowing is a pipe at the temperature and pressure of its fluid.
type Flowing struct {
	OutsideDiameter, Wall, InsideDiameter quantity.Length
	// Thermal is the strain by temperature; OutsidePressure and InsidePressure are the hoop
	// strains by pressure at the two surfaces. All relative to the dimensions at 20 °C.
	Thermal, OutsidePressure, InsidePressure float64
	// StandardUncertainty is that of the inside diameter by coefficient and modulus alone,
	// relative.
	StandardUncertainty float64
	Source              string
}

// Flow carries the dimensions of a pipe of a material from 20 °C and no pressure to the
// temperature t of its wall and a gauge pressure in pascal (negative: below atmosphere).
//
//	ε_T = α·(t − 20 °C)
//	σ_z = p·d²/(D² − d²);  inside: σ_θ = p·(D² + d²)/(D² − d²), σ_r = −p;  outside: σ_θ = 2·σ_z, σ_r = 0
//	ε_p = (σ_θ − ν·(σ_r + σ_z))/E
//	D′ = D·(1 + ε_T + ε_p,outside);  d′ = d·(1 + ε_T + ε_p,inside)
//
// The strains are those of a tube of any wall with closed ends; a thin one comes to
// p·D/(2·t·E)·(1 − ν/2). Plastics creep: under a pressure that stands for years the strain
// is larger than by the modulus of short loads, which the uncertainty holds in part.
//
// Valid within the temperatures of the material (solid.Material); small strains.
//
// Errors: BadOutsideDiameter, BadWall, NoExpansion, ExpansionRange.
//
// Source: G. Lamé's tube, as in S. Timoshenko, Strength of Materials, part II, thick-walled
// cylinders (from memory); coefficients and moduli as named in package solid.
func Flow(outside, wall quantity.Length, m solid.Material, t quantity.Temperature, gauge float64) (Flowing, error) {
	d1, d2, err := bores(outside.SI(), wall.SI())
	if err != nil {
		return Flowing{}, err
	}
	if !m.Expansion.Known() {
		return Flowing{}, NoExpansion.At("material", m.Name)
	}
	if k := t.SI(); !(k >= m.LeastK && k <= m.MostK) {
		return Flowing{}, ExpansionRange.At("temperature_C", k-273.15, m.Name, m.LeastK-273.15, m.MostK-273.15)
	}
	warmer := t.SI() - reference
	f := Flowing{Thermal: m.Expansion.Value * warmer, Source: m.SolidSource}
	f.OutsidePressure, f.InsidePressure = hoopStrains(d1, d2, gauge, m)
	f.StandardUncertainty = math.Hypot(m.Expansion.StandardUncertainty()*warmer, f.InsidePressure*m.Young.StandardUncertainty()/m.Young.Value)
	outer, inner := d1*(1+f.Thermal+f.OutsidePressure), d2*(1+f.Thermal+f.InsidePressure)
	for _, one := range []struct {
		to     *quantity.Length
		metres float64
	}{{&f.OutsideDiameter, outer}, {&f.InsideDiameter, inner}, {&f.Wall, (outer - inner) / 2}} {
		if *one.to, err = quantity.Metres(one.metres); err != nil {
			return Flowing{}, err
		}
	}
	return f, nil
}

// bores returns outside and inside diameter in metres.
func bores(outside, wall float64) (d1, d2 float64, err error) {
	switch {
	case !(outside > 0):
		return 0, 0, BadOutsideDiameter.At("outside_diameter_m", outside*1000)
	case !(wall > 0) || 2*wall >= outside:
		return 0, 0, BadWall.At("wall_m", wall*1000, outside*1000)
	}
	return outside, outside - 2*wall, nil
}

// hoopStrains returns the strains around the pipe at its two surfaces.
func hoopStrains(d1, d2, gauge float64, m solid.Material) (outside, inside float64) {
	along := gauge * d2 * d2 / (d1*d1 - d2*d2)
	strain := func(hoop, radial float64) float64 { return (hoop - m.Poisson*(radial+along)) / m.Young.Value }
	return strain(2*along, 0), strain(gauge*(d1*d1+d2*d2)/(d1*d1-d2*d2), -gauge)
}
