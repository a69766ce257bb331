package calcjson

import (
	"rillmark/calc/fault"
	"rillmark/calc/quantity"
)

type fluidTemperatureAnswer struct {
	Temperatures []float64 `json:"temperatures_C"`
}

// fluidTemperature is the kind "fluid-temperature": fluid.Liquid.Temperatures.
func fluidTemperature(o *object, _ func(fault.Fault) string) (any, error) {
	liquid, speed, pascals := o.liquid(), o.number("sound_speed_m_s"), o.number("pressure_Pa")
	o.done()
	if err := o.err(); err != nil {
		return nil, err
	}
	v, err := quantity.MetresPerSecond(speed)
	if err != nil {
		return nil, renamed(err, map[string]string{"": "sound_speed_m_s"})
	}
	s, err := stateOf(kelvin, pascals)
	if err != nil {
		return nil, err
	}
	found, err := liquid.Temperatures(v, s.Pressure)
	if err != nil {
		return nil, err
	}
	a := fluidTemperatureAnswer{Temperatures: []float64{}}
	for _, t := range found {
		a.Temperatures = append(a.Temperatures, t.SI()-kelvin)
	}
	return a, nil
}
