package calcjson

import (
	"rillmark/calc/pipe"
	"rillmark/calc/quantity"
	"rillmark/calc/solid"
)

// flowing is the material of a pipe, with temperature and pressure of its fluid.
type flowing struct {
	material         string
	celsius, pascals float64
}

// atmosphere is taken off an absolute pressure to find what strains the pipe.
const atmosphere = 101325.0

// flowing reads the three fields, or nil where none is there; the pressure may be left out.
func (o *object) flowing() *flowing {
	if !o.has("material") && !o.has("temperature_C") && !o.has("pressure_Pa") {
		return nil
	}
	return &flowing{o.word("material"), o.number("temperature_C"), o.numberOr("pressure_Pa", atmosphere)}
}

// of carries a pipe's dimensions there: pipe.Flow.
func (f flowing) of(p pipe.Pipe) (*flowingAnswer, error) {
	m, err := solid.Of(f.material)
	if err != nil {
		return nil, err
	}
	t, err := quantity.Kelvins(f.celsius + kelvin)
	if err != nil {
		return nil, renamed(err, map[string]string{"": "temperature_C"})
	}
	pressure, err := quantity.Pascals(f.pascals)
	if err != nil {
		return nil, renamed(err, map[string]string{"": "pressure_Pa"})
	}
	now, err := pipe.Flow(p.Size.OutsideDiameter, p.Wall, m, t, pressure.SI()-atmosphere)
	if err != nil {
		return nil, err
	}
	return &flowingAnswer{
		Outside: now.OutsideDiameter.SI(), Wall: now.Wall.SI(), Inside: now.InsideDiameter.SI(),
		Uncertainty: now.StandardUncertainty * now.InsideDiameter.SI(), Thermal: now.Thermal,
		OutsidePressure: now.OutsidePressure, InsidePressure: now.InsidePressure,
		Source: "closed tube after Lamé, from 20 °C; coefficient and modulus of " + m.Name + ": " + now.Source,
	}, nil
}
