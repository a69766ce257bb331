package fluid

import (
	"math"
	"strings"

	"rillmark/calc/fault"
	"rillmark/calc/num"
	"rillmark/calc/quantity"
)

// NoSoundSpeed: the fluid's speed of sound is not known, or not there.
var NoSoundSpeed = fault.Define("fluid.no-sound-speed", fault.T("fluid"))

// Liquid is a fluid with what fixes it. The zero value is unknown.
type Liquid struct {
	Name       string  // "water", "seawater", "crude-oil", "refined-product", "lubricating-oil"; free with a table
	Salinity   float64 // absolute, g/kg, of sea water
	APIGravity float64 // at 60 °F, of oils
	Group      Group   // of a refined product; empty: by its density
	Table      *Table  // where it is there, it is the fluid
}

// LiquidNames returns the names that Liquid knows without a table, sorted.
func LiquidNames() []string {
	return []string{"crude-oil", "lubricating-oil", "refined-product", "seawater", "water"}
}

// At returns the liquid's properties at the state. A property that is not known has an
// empty source.
//
// Errors: Unknown, and those of the liquid's own function.
func (l Liquid) At(s State) (Properties, error) {
	if l.Table != nil {
		return l.Table.At(s.Temperature.SI())
	}
	switch l.Name {
	case "water":
		return Water(s.Temperature, s.Pressure)
	case "seawater":
		return Seawater(l.Salinity, s)
	}
	if _, oil := l.group(); oil {
		p, _, err := l.Base(s)
		return p, err
	}
	return Properties{}, Unknown.At("fluid", l.Name, strings.Join(LiquidNames(), ", "))
}

// group returns the product group of an oil, and whether the liquid is one.
func (l Liquid) group() (Group, bool) {
	switch l.Name {
	case "crude-oil":
		return Crude, true
	case "lubricating-oil":
		return Lubricating, true
	case "refined-product":
		return l.Group, true
	}
	return "", false
}

// Base returns an oil's properties at the state and its factors to base conditions; of
// another liquid there are none, and the error is Unknown.
//
// Errors: Unknown, and those of Oil.
func (l Liquid) Base(s State) (Properties, Base, error) {
	group, oil := l.group()
	if !oil || l.Table != nil {
		return Properties{}, Base{}, Unknown.At("fluid", l.Name, "crude-oil, lubricating-oil, refined-product")
	}
	return Oil(group, l.APIGravity, s)
}

// Temperatures returns every temperature at which the liquid has the given speed of sound
// under the absolute pressure p, rising; none is an empty list.
//
// Errors: NoSoundSpeed, and those of At.
//
// Source: At, solved for the temperature between the ends of its range.
func (l Liquid) Temperatures(speed quantity.Velocity, p quantity.Pressure) ([]quantity.Temperature, error) {
	if l.Name == "water" && l.Table == nil {
		return Temperatures(l.Name, speed, p)
	}
	above := func(kelvins float64) (float64, error) {
		t, err := quantity.Kelvins(kelvins)
		if err != nil {
			return 0, err
		}
		properties, err := l.At(State{t, p})
		if err == nil && properties.SoundSpeed.Source == "" {
			err = NoSoundSpeed.At("fluid", l.Name)
		}
		return properties.SoundSpeed.Value - speed.SI(), err
	}
	lower, upper := l.soundRange()
	if _, err := above(lower); err != nil {
		return nil, err
	}
	roots, err := num.Roots(above, lower, upper, soundCells, num.Search{Tolerance: 1e-6})
	if err != nil {
		return nil, err
	}
	temperatures := make([]quantity.Temperature, len(roots))
	for i, kelvins := range roots {
		temperatures[i], _ = quantity.Kelvins(kelvins) // inside the range: valid
	}
	return temperatures, nil
}

// soundRange returns the ends, in kelvin, of the temperatures with a speed of sound.
func (l Liquid) soundRange() (lower, upper float64) {
	switch {
	case l.Table != nil && len(l.Table.Rows) > 0:
		return l.Table.Rows[0].Kelvins, l.Table.Rows[len(l.Table.Rows)-1].Kelvins
	case l.Name == "seawater":
		return iceK, math.Nextafter(seaSoundMostK, 0)
	}
	return oilLeastK, oilMostK
}
