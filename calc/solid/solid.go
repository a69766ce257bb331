// Package solid holds what sound and heat need to know of the materials of pipes and
// liners: speeds of shear and longitudinal waves with the spread of open tables, thermal
// expansion, elasticity.
//
// Here: metals, plastics and liners that measured pipes are made of, as facts with their
// sources. Not here: what a technician measured or a maker states, which wins over all of
// this (Own), and any judgement whether a material is fit for its pressure.
package solid

import (
	"math"
	"slices"

	"rillmark/calc/fault"
)

// The codes of this package.
var (
	// Unknown: no material of that name is known.
	Unknown = fault.Define("solid.unknown", fault.T("material"), fault.T("known"))
	// BadOwn: an own speed is not positive.
	BadOwn = fault.Define("solid.bad-own-speed", fault.N("speed_m_s"))
)

// Spread is a value with the least and the most that open tables have for it. The zero
// value is not known.
type Spread struct {
	Value, Least, Most float64
	Own                bool // entered by a person, not from a table
}

// Known reports whether there is a value.
func (s Spread) Known() bool { return s.Value > 0 }

// StandardUncertainty takes the wider side of the spread as the half-width of a
// rectangle: max(value − least, most − value)/√3, in the unit of the value. Of an own value
// none is known here: 0.
//
// Source: JCGM 100:2008, 4.3.7.
func (s Spread) StandardUncertainty() float64 {
	return math.Max(s.Value-s.Least, s.Most-s.Value) / math.Sqrt(3)
}

// Material is what is known of one.
type Material struct {
	Name                string
	Shear, Longitudinal Spread // speeds of sound at room temperature, m/s
	SoundSource         string
	// Expansion is the mean coefficient of linear expansion from 20 °C, 1/K; Young the modulus
	// of elasticity in Pa; Poisson its ratio. 0 where not known.
	Expansion, Young Spread
	Poisson          float64
	SolidSource      string
	// LeastK and MostK are the temperatures between which expansion and modulus hold.
	LeastK, MostK float64
}

// Names returns the materials known, metals first, then plastics, then liners and others.
func Names() []string {
	names := make([]string, len(materials))
	for i, m := range materials {
		names[i] = m.Name
	}
	return names
}

// Of returns what is known of a material; the names are those of Names.
//
// Valid at room temperature for the speeds of sound: in steel they fall by about 0.01 %
// per kelvin, in plastics by 0.1 % and more (common practice), which the spread holds for
// metals only.
//
// Errors: Unknown.
//
// Source: as named in the result.
func Of(name string) (Material, error) {
	i := slices.IndexFunc(materials, func(m Material) bool { return m.Name == name })
	if i < 0 {
		known := ""
		for _, n := range Names() {
			known += ", " + n
		}
		return Material{}, Unknown.At("material", name, known[2:])
	}
	return materials[i], nil
}

// With returns the material with the speeds of sound that a person entered, m/s, each
// marked as its own; 0 keeps that of the table.
//
// Errors: BadOwn.
func (m Material) With(shear, longitudinal float64) (Material, error) {
	for _, own := range []struct {
		field string
		speed float64
		to    *Spread
	}{{"shear_m_s", shear, &m.Shear}, {"longitudinal_m_s", longitudinal, &m.Longitudinal}} {
		if !(own.speed >= 0) || math.IsInf(own.speed, 0) {
			return Material{}, BadOwn.At(own.field, own.speed)
		}
		if own.speed > 0 {
			*own.to = Spread{Value: own.speed, Least: own.speed, Most: own.speed, Own: true}
		}
	}
	return m, nil
}
