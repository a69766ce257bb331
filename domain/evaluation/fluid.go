package evaluation

import (
	"rillmark/calc/fault"
	"rillmark/calc/fluid"
	"rillmark/calc/quantity"
	"rillmark/domain/method"
	"rillmark/domain/sheet"
)

// FluidOf is the surveyed fluid with what fixes it: one of the company's tables, or one
// known without. What it needs and the survey has not is missing.
func FluidOf(s sheet.Survey, c method.Content) (l fluid.Liquid, missing []sheet.Name) {
	l.Name = s.FluidName()
	if table, own := c.Fluid(l.Name); own {
		l.Table = table
		return l, nil
	}
	for _, name := range s.FluidNeeds() {
		switch v := s[name]; name {
		case sheet.Salinity:
			l.Salinity = v.Number * 1000 // g/kg
		case sheet.MassFraction:
			l.MassFraction = v.Number
		case sheet.APIGravity:
			l.APIGravity = v.Number
		case sheet.ProductGroup:
			l.Group = fluid.Group(v.Text)
			continue // without one the density decides
		}
		if !s.Has(name) {
			missing = append(missing, name)
		}
	}
	return l, missing
}

// FluidProperties are those of the surveyed fluid at a temperature in kelvin, under the
// surveyed pressure or the one that the method assumes. What was surveyed of the fluid
// itself, density, viscosity or sound speed, is taken before its table.
//
// Errors: ValueMissing for what the fluid needs; those of packages quantity and fluid.
func FluidProperties(s sheet.Survey, c method.Content, kelvins float64) (fluid.Properties, error) {
	l, missing := FluidOf(s, c)
	if len(missing) > 0 {
		var list fault.List
		for _, name := range missing {
			list = append(list, ValueMissing.At(string(name), string(name)))
		}
		return fluid.Properties{}, list
	}
	state, err := StateOf(s, c, kelvins)
	if err != nil {
		return fluid.Properties{}, err
	}
	p, err := l.At(state)
	if err != nil && !(s.Has(sheet.Density) && s.Has(sheet.KinematicViscosity) && s.Has(sheet.FluidSoundSpeed)) {
		return fluid.Properties{}, err
	}
	return surveyedFluid(p, s), nil
}

// StateOf is where the fluid's properties are asked for.
func StateOf(s sheet.Survey, c method.Content, kelvins float64) (fluid.State, error) {
	pascals := c.AssumedPressure
	if s.Has(sheet.Pressure) {
		pascals = s[sheet.Pressure].Number
	}
	t, err := quantity.Kelvins(kelvins)
	if err != nil {
		return fluid.State{}, err
	}
	p, err := quantity.Pascals(pascals)
	return fluid.State{Temperature: t, Pressure: p}, err
}

// surveyedFluid puts what was surveyed in place of what a table has.
func surveyedFluid(p fluid.Properties, s sheet.Survey) fluid.Properties {
	take := func(to *fluid.Property, value float64) {
		*to = fluid.Property{Value: value, Source: string(sheet.Measured)}
	}
	if s.Has(sheet.Density) {
		take(&p.Density, s[sheet.Density].Number)
	}
	if s.Has(sheet.KinematicViscosity) && p.Density.Source != "" {
		take(&p.DynamicViscosity, s[sheet.KinematicViscosity].Number*p.Density.Value)
	}
	if s.Has(sheet.FluidSoundSpeed) {
		take(&p.SoundSpeed, s[sheet.FluidSoundSpeed].Number)
	}
	return p
}
