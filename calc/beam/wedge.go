package beam

import "rillmark/calc/fault"

// Names of the inputs that a wedge's temperature brings.
const (
	WedgeTemperatureName = "wedge_temperature_C"
	WedgeReferenceName   = "wedge_reference_temperature_C"
	WedgeSlopeName       = "wedge_slope_m_s_K"
)

const (
	// DefaultWedgeSlope is the change of a plastic wedge's sound speed with temperature where
	// the transducer's data state none, in m/s per kelvin: the middle of −2.0 to −2.5, common
	// practice, no source.
	DefaultWedgeSlope = -2.25
	// DefaultWedgeReference is the temperature a wedge's sound speed is stated for where its
	// data say none, in °C: common practice, no source.
	DefaultWedgeReference = 20.0
	// mostWedgeShift bounds how far from the stated temperature a straight line is trusted, in
	// kelvin: common practice, no source.
	mostWedgeShift = 200.0
)

// WedgeShiftRange: the wedge's temperature is too far from that of its stated sound speed.
var WedgeShiftRange = fault.Define("beam.wedge-shift-range", fault.N("shift_K"), fault.N("most_K"))

// WedgeSoundSpeedAt returns the sound speed of a wedge at its temperature,
//
//	c = c₀ + slope·(t − t₀)
//
// in m/s: stated is c₀ in m/s, at its temperature reference t₀, slope in m/s per kelvin
// (DefaultWedgeSlope where none is known), temperature t; both temperatures in °C. A wedge
// takes the temperature of the pipe it sits on, not that of the room. Valid within 200 K
// of the stated temperature.
//
// Errors: a fault.List of NotFinite, NotPositive (for the speed stated and for the one that
// comes out), WedgeShiftRange.
//
// Source: a straight line; its slope is common practice, no source.
func WedgeSoundSpeedAt(stated, reference, slope, temperature float64) (float64, error) {
	var l fault.List
	positive(&l, WedgeSoundSpeedName, stated)
	known := true
	for _, one := range []struct {
		field string
		x     float64
	}{{WedgeReferenceName, reference}, {WedgeSlopeName, slope}, {WedgeTemperatureName, temperature}} {
		if !finite(one.x) {
			l = append(l, NotFinite.At(one.field))
			known = false
		}
	}
	if shift := temperature - reference; known && (shift > mostWedgeShift || shift < -mostWedgeShift) {
		l = append(l, WedgeShiftRange.At(WedgeTemperatureName, shift, mostWedgeShift))
	}
	if len(l) > 0 {
		return 0, l
	}
	speed := stated + slope*(temperature-reference)
	if speed <= 0 {
		return 0, NotPositive.At(WedgeSlopeName, speed)
	}
	return speed, nil
}
