package calcjson

import (
	"rillmark/calc/fault"
	"rillmark/calc/total"
)

type totalAnswer struct {
	Seconds         float64          `json:"duration_s"`
	ReferenceVolume float64          `json:"reference_volume_m3"`
	MeterVolume     float64          `json:"meter_volume_m3"`
	ReferenceFlow   float64          `json:"reference_flow_m3_s"`
	MeterFlow       float64          `json:"meter_flow_m3_s"`
	RelativeError   float64          `json:"relative_error"`
	ErrorPercent    float64          `json:"error_percent"`
	Standard        float64          `json:"standard_uncertainty_percent"`
	Components      []totalComponent `json:"components"`
	LongEnough      *float64         `json:"long_enough_s"`
	Warnings        []problem        `json:"warnings"`
}

type totalComponent struct {
	Name         string  `json:"name"`
	Contribution float64 `json:"contribution_percent"`
}

// totalOf is the kind "total": total.Comparison.Compare and total.LongEnough.
func totalOf(o *object, say func(fault.Fault) string) (any, error) {
	c := total.Comparison{Clock: total.Clock{Seconds: o.number("duration_s"), Error: o.numberOr("clock_error_percent", 0) / 100,
		Standard: o.numberOr("clock_standard_uncertainty_percent", 0) / 100, Ends: o.numberOr("start_stop_standard_uncertainty_s", 0)}}
	o.need("meter")
	o.need("reference")
	if m := o.inside("meter"); m != nil {
		c.Meter = m.counter()
		m.done()
	}
	if r := o.inside("reference"); r != nil {
		c.Standard = r.numberOr("standard_uncertainty_percent", 0) / 100
		if r.has("flow_m3_s") {
			c.Flow = r.number("flow_m3_s")
		} else {
			counter := r.counter()
			c.Reference = &counter
		}
		r.done()
	}
	wanted := o.numberOr("wanted_standard_uncertainty_percent", 0) / 100
	sought := o.has("wanted_standard_uncertainty_percent")
	o.done()
	if err := o.err(); err != nil {
		return nil, err
	}
	r, err := c.Compare()
	if err != nil {
		return nil, err
	}
	a := totalAnswer{Seconds: r.Seconds, ReferenceVolume: r.Reference, MeterVolume: r.Meter, ReferenceFlow: r.Reference / r.Seconds, MeterFlow: r.Meter / r.Seconds,
		RelativeError: r.Error, ErrorPercent: 100 * r.Error, Standard: 100 * r.Standard, Components: []totalComponent{}, Warnings: toldAll(r.Warnings, say)}
	for _, one := range r.Components {
		a.Components = append(a.Components, totalComponent{one.Name, 100 * one.Contribution})
	}
	if sought {
		seconds, err := total.LongEnough(c.Meter, r.Reference/r.Seconds, c.Clock.Ends, wanted)
		if err != nil {
			return nil, err
		}
		a.LongEnough = &seconds
	}
	return a, nil
}

// counter reads a totaliser, or pulses with the volume of one.
func (o *object) counter() total.Counter {
	c := total.Counter{Update: o.numberOr("update_interval_s", 0)}
	if o.has("pulses") {
		c.Resolution = o.number("pulse_volume_m3")
		c.End = float64(o.count("pulses")) * c.Resolution
		return c
	}
	c.Start, c.End = o.number("start_m3"), o.number("end_m3")
	c.Resolution, c.Modulus = o.numberOr("resolution_m3", 0), o.numberOr("modulus_m3", 0)
	return c
}

// inside returns the object in a field, nil where there is none.
func (o *object) inside(name string) *object {
	n := o.find(name, isObject)
	if n == nil {
		return nil
	}
	return &object{path: o.at(name), node: *n, faults: o.faults}
}
