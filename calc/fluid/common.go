package fluid

import (
	"math"
	"sort"

	"rillmark/calc/num"
)

// common is a pure liquid of which single values and their slopes are known.
type common struct {
	density, densitySlope float64 // kg/m³ at 25 °C, and its change, kg/(m³·K)
	sound, soundSlope     float64 // m/s at 25 °C, and its change, m/(s·K)
	least, most           float64 // °C
	viscosity             []node  // empty: not known
	soundU                float64 // relative standard uncertainty
	soundSource           string
}

// node is a dynamic viscosity in mPa·s at a temperature in °C.
type node struct{ celsius, viscosity float64 }

const (
	commonSound     = "CRC Handbook, velocity of sound in various media, 25 °C with its slope, from memory"
	commonDensity   = "handbook values at 20 °C and 25 °C, from memory"
	commonViscosity = "CRC Handbook, viscosity of liquids, from memory; ln μ read over 1/T"
	commonLeastPa   = 90e3
	commonMostPa    = 1.2e6
)

// The ends of each range keep clear of melting and of boiling at one atmosphere. Handbooks
// differ: an older one prints 1207 m/s for ethanol, which measurements since do not bear out.
var commons = map[string]common{
	"acetone": {784.5, -1.12, 1174, -4.5, 0, 50, []node{{0, 0.395}, {25, 0.306}, {50, 0.247}}, 0.01, commonSound},
	"benzene": {873.6, -1.07, 1295, -4.65, 10, 50, []node{{25, 0.604}, {50, 0.436}}, 0.01, commonSound},
	"cyclohexane": {773.9, -0.93, 1256, -4.9, 10, 50, []node{{25, 0.894}, {50, 0.615}}, 0.01,
		"general handbook page, 1280 m/s at 20 °C; slope from memory"},
	"ethanol": {785.1, -0.86, 1144, -3.4, 0, 50, []node{{0, 1.786}, {25, 1.074}, {50, 0.694}}, 0.01,
		"measurements at 20 °C to 30 °C, from memory; handbooks differ by 5 %"},
	"ethylene-glycol": {1110.0, -0.71, 1658, -2.1, 0, 50, []node{{25, 16.1}, {50, 6.554}}, 0.01, commonSound},
	"glycerol":        {1258.0, -0.62, 1904, -2.2, 20, 50, []node{{25, 934}, {50, 152}}, 0.01, commonSound},
	"kerosene":        {810, -0.75, 1324, -3.6, 0, 50, nil, 0.02, commonSound + "; kerosenes differ"},
	"mercury": {13533.6, -2.44, 1450, -0.46, 0, 50, []node{{0, 1.685}, {25, 1.526}, {50, 1.402}}, 0.01,
		"CRC Handbook, velocity of sound in various media, 25 °C; slope from memory"},
	"methanol": {786.6, -0.94, 1103, -3.2, 0, 50, []node{{0, 0.793}, {25, 0.544}, {50, 0.404}}, 0.01, commonSound},
	"toluene": {862.2, -0.93, 1306, -4.3, 0, 50, []node{{0, 0.778}, {25, 0.560}, {50, 0.424}}, 0.01,
		"general handbook page, 25 °C; slope from memory"},
}

// CommonNames returns the names of the liquids that Common knows, sorted.
func CommonNames() []string {
	names := make([]string, 0, len(commons))
	for name := range commons {
		names = append(names, name)
	}
	sort.Strings(names)
	return names
}

// Common returns the properties of a common liquid, "methanol" for one, at the state:
// density in kg/m³, dynamic viscosity in Pa·s where it is known there, speed of sound in m/s.
//
//	ρ = ρ₂₅ + ρ′·(t − 25);  c = c₂₅ + c′·(t − 25), t in °C;  ln μ over 1/T between nodes
//
// Valid from 0 °C (glycerol 20 °C, benzene and cyclohexane 10 °C) to 50 °C and from 0.09 MPa
// to 1.2 MPa; the pressure is not considered, which raises the speed of sound by about
// 0.4 % over the range.
//
// Standard uncertainties: density 0.3 % (kerosene 2 %), viscosity 3 %, speed of sound 1 %
// (kerosene 2 %): open tables differ by that much, in part by more.
//
// Errors: Unknown, TemperatureRange, PressureRange.
//
// Source: as named in the results.
func Common(name string, s State) (Properties, error) {
	liquid, known := commons[name]
	if !known {
		return Properties{}, Unknown.At("fluid", name, joined(CommonNames()))
	}
	valid := Range{iceK + liquid.least, iceK + liquid.most, commonLeastPa, commonMostPa}
	if err := valid.holds(s); err != nil {
		return Properties{}, err
	}
	dt := s.Temperature.SI() - iceK - 25
	density, sound := liquid.density+liquid.densitySlope*dt, liquid.sound+liquid.soundSlope*dt
	densityU := 0.003
	if liquid.soundU > 0.01 { // not one substance
		densityU = liquid.soundU
	}
	p := Properties{
		Density:    Property{density, density * densityU, commonDensity, valid},
		SoundSpeed: Property{sound, sound * liquid.soundU, liquid.soundSource, valid},
	}
	var err error
	p.DynamicViscosity, err = liquid.viscosityAt(s.Temperature.SI(), valid)
	return p, err
}

// viscosityAt is not given outside the nodes.
func (c common) viscosityAt(kelvins float64, valid Range) (Property, error) {
	last := len(c.viscosity) - 1
	if last < 1 || kelvins < iceK+c.viscosity[0].celsius || kelvins > iceK+c.viscosity[last].celsius {
		return Property{}, nil
	}
	xs, ys := make([]float64, last+1), make([]float64, last+1)
	for i, n := range c.viscosity { // 1/T falls, and the curve wants rising values
		xs[last-i], ys[last-i] = 1/(iceK+n.celsius), math.Log(n.viscosity/1000)
	}
	curve, err := num.Shape(xs, ys)
	if err != nil {
		return Property{}, err
	}
	y, err := curve.At(math.Min(math.Max(1/kelvins, xs[0]), xs[last]))
	valid.LeastK, valid.MostK = iceK+c.viscosity[0].celsius, iceK+c.viscosity[last].celsius
	viscosity := math.Exp(y)
	return Property{viscosity, 0.03 * viscosity, commonViscosity, valid}, err
}
