package evaluation

import (
	"rillmark/calc/fault"
	"rillmark/calc/pipe"
	"rillmark/calc/quantity"
	"rillmark/calc/solid"
	"rillmark/domain/method"
	"rillmark/domain/sheet"
)

// Carried is a pipe whose dimensions are taken to the temperature and pressure of the fluid.
type Carried struct {
	Outside, Wall float64 // m, as they count at the fluid's temperature
	Percent       float64 // by how much the bore changed, per cent; 0 where nothing was carried
	Refused       fault.List
}

// Dimensions are outside diameter and wall in m.
func (c Carried) Dimensions() (outside, wall float64) { return c.Outside, c.Wall }

// atmosphere, in Pa, is what presses on the pipe from outside.
const atmosphere = 101325.0

// Carry takes the surveyed pipe to the temperature and pressure of its fluid. What was
// measured was measured there: it stays as it is. What comes from a standard, a plate, the
// client or a guess holds at 20 °C and without pressure. Where the material, its expansion or
// the temperature is not known nothing is carried, and Refused says why.
func Carry(s sheet.Survey, c method.Content) Carried {
	outside, from, known := s.Diameter()
	kept := Carried{Outside: outside, Wall: s[sheet.Wall].Number}
	measured := func(n sheet.Name) bool { return s[n].Source == sheet.Measured }
	if !known || !s.Has(sheet.Wall) || !s.Has(sheet.Temperature) || measured(from) && measured(sheet.Wall) {
		return kept
	}
	if !s.Has(sheet.PipeMaterial) { // it is asked for anyway
		return kept
	}
	m, err := solid.Of(s.Text(sheet.PipeMaterial))
	if err != nil {
		return refusing(kept, err)
	}
	state, err := StateOf(s, c, s[sheet.Temperature].Number)
	if err != nil {
		return refusing(kept, err)
	}
	length := func(x float64) quantity.Length { l, _ := quantity.Metres(x); return l } // surveyed: finite
	flowing, err := pipe.Flow(length(kept.Outside), length(kept.Wall), m, state.Temperature, state.Pressure.SI()-atmosphere)
	if err != nil {
		return refusing(kept, err)
	}
	before := kept.Outside - 2*kept.Wall
	if !measured(from) {
		kept.Outside = flowing.OutsideDiameter.SI()
	}
	if !measured(sheet.Wall) {
		kept.Wall = flowing.Wall.SI()
	}
	kept.Percent = ((kept.Outside-2*kept.Wall)/before - 1) * 100
	return kept
}

// refusing keeps the dimensions as they are and says why; a wall that leaves no bore is said
// elsewhere.
func refusing(kept Carried, err error) Carried {
	if !fault.Has(err, pipe.BadWall) {
		kept.Refused = fault.AllOf(err)
	}
	return kept
}
