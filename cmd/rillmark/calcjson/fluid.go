package calcjson

import (
	"rillmark/calc/fault"
	"rillmark/calc/fluid"
	"rillmark/calc/quantity"
)

// kelvin is 0 °C in K (exact: SI Brochure, 2.3.1).
const kelvin = 273.15

type fluidAnswer struct {
	Density            float64 `json:"density_kg_m3"`
	DensitySource      string  `json:"density_kg_m3_source"`
	DensityUncertainty float64 `json:"density_kg_m3_standard_uncertainty"`

	Viscosity            float64 `json:"dynamic_viscosity_Pa_s"`
	ViscositySource      string  `json:"dynamic_viscosity_Pa_s_source"`
	ViscosityUncertainty float64 `json:"dynamic_viscosity_Pa_s_standard_uncertainty"`

	SoundSpeed            float64 `json:"sound_speed_m_s"`
	SoundSpeedSource      string  `json:"sound_speed_m_s_source"`
	SoundSpeedUncertainty float64 `json:"sound_speed_m_s_standard_uncertainty"`
}

// fluidAt is the kind "fluid": fluid.At.
func fluidAt(o *object, _ func(fault.Fault) string) (any, error) {
	name, celsius, pascals := o.word("fluid"), o.number("temperature_C"), o.number("pressure_Pa")
	o.done()
	if err := o.err(); err != nil {
		return nil, err
	}
	p, err := properties(name, celsius+kelvin, pascals)
	if err != nil {
		return nil, err
	}
	return fluidAnswer{
		p.Density.Value, p.Density.Source, p.Density.StandardUncertainty,
		p.DynamicViscosity.Value, p.DynamicViscosity.Source, p.DynamicViscosity.StandardUncertainty,
		p.SoundSpeed.Value, p.SoundSpeed.Source, p.SoundSpeed.StandardUncertainty,
	}, nil
}

// properties asks for a fluid in plain numbers, kelvins and pascals.
func properties(name string, kelvins, pascals float64) (fluid.Properties, error) {
	t, err := quantity.Kelvins(kelvins)
	if err != nil {
		return fluid.Properties{}, renamed(err, map[string]string{"": "temperature_C"})
	}
	p, err := quantity.Pascals(pascals)
	if err != nil {
		return fluid.Properties{}, renamed(err, map[string]string{"": "pressure_Pa"})
	}
	return fluid.At(name, fluid.State{Temperature: t, Pressure: p})
}
