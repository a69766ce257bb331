// Package fluid gives density, dynamic viscosity and speed of sound of a liquid at a
// temperature and an absolute pressure, each with its standard uncertainty and source.
//
// Here: pure water from 0 °C to 180 °C and up to 100 MPa, liquid only, by the IAPWS
// formulations R6-95 (thermodynamic properties) and R12-08 (viscosity); sea water by
// R13-08; glycols with water; common liquids; oils with the factors to base conditions by
// API MPMS 11.1; tables of a company. Not here: what is dissolved or carried in a real
// water, and steam. Boiling and freezing are refused, never extrapolated through.
package fluid

import (
	"strings"

	"rillmark/calc/fault"
	"rillmark/calc/quantity"
)

// The codes of this package. The field is the one the command line and the forms use.
var (
	// Unknown: no fluid of that name is known.
	Unknown = fault.Define("fluid.unknown", fault.T("fluid"), fault.T("known"))
	// Freezing: the liquid is below 0 °C, where it can freeze.
	Freezing = fault.Define("fluid.freezing", fault.N("temperature_C"), fault.N("melting_temperature_C"))
	// Boiling: the pressure is below the saturation pressure; the liquid boils.
	Boiling = fault.Define("fluid.boiling", fault.N("temperature_C"), fault.N("pressure_Pa"),
		fault.N("saturation_temperature_C"), fault.N("saturation_pressure_Pa"))
	// TemperatureRange: the temperature is beyond the correlation.
	TemperatureRange = fault.Define("fluid.temperature-out-of-range", fault.N("temperature_C"), fault.N("lower_C"), fault.N("upper_C"))
	// PressureRange: the pressure is beyond the correlation.
	PressureRange = fault.Define("fluid.pressure-out-of-range", fault.N("pressure_Pa"), fault.N("lower_Pa"), fault.N("upper_Pa"))
)

// State is where a fluid's properties are asked for.
type State struct {
	Temperature quantity.Temperature // kelvin
	Pressure    quantity.Pressure    // pascal, absolute
}

// Range is where a property holds.
type Range struct {
	LeastK, MostK   float64 // kelvin
	LeastPa, MostPa float64 // pascal, absolute; NaN where pressure is not considered
}

// holds refuses a state outside.
func (r Range) holds(s State) error {
	if k := s.Temperature.SI(); !(k >= r.LeastK && k <= r.MostK) {
		return TemperatureRange.At("temperature_C", k-iceK, r.LeastK-iceK, r.MostK-iceK)
	}
	if p := s.Pressure.SI(); p < r.LeastPa || p > r.MostPa {
		return PressureRange.At("pressure_Pa", p, r.LeastPa, r.MostPa)
	}
	return nil
}

// Property is one value with what is known about it. Without a source it is not known.
type Property struct {
	Value               float64 // in the SI unit of the property
	StandardUncertainty float64 // same unit; of the formulation for the fluid as named
	Source              string
	Valid               Range
}

// Properties are what a flow measurement needs of a liquid.
type Properties struct {
	Density          Property // kg/m³
	DynamicViscosity Property // Pa·s
	SoundSpeed       Property // m/s
}

func joined(names []string) string { return strings.Join(names, ", ") }
