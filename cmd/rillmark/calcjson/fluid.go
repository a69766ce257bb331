package calcjson

import (
	"math"

	"rillmark/calc/fault"
	"rillmark/calc/fluid"
	"rillmark/calc/quantity"
)

// kelvin is 0 °C in K (exact: SI Brochure, 2.3.1).
const kelvin = 273.15

type fluidAnswer struct {
	Density            *float64    `json:"density_kg_m3"`
	DensitySource      *string     `json:"density_kg_m3_source"`
	DensityUncertainty *float64    `json:"density_kg_m3_standard_uncertainty"`
	DensityRange       *validRange `json:"density_kg_m3_range"`

	Viscosity            *float64    `json:"dynamic_viscosity_Pa_s"`
	ViscositySource      *string     `json:"dynamic_viscosity_Pa_s_source"`
	ViscosityUncertainty *float64    `json:"dynamic_viscosity_Pa_s_standard_uncertainty"`
	ViscosityRange       *validRange `json:"dynamic_viscosity_Pa_s_range"`

	SoundSpeed            *float64    `json:"sound_speed_m_s"`
	SoundSpeedSource      *string     `json:"sound_speed_m_s_source"`
	SoundSpeedUncertainty *float64    `json:"sound_speed_m_s_standard_uncertainty"`
	SoundSpeedRange       *validRange `json:"sound_speed_m_s_range"`
	SoundSpeedSlope       *float64    `json:"sound_speed_slope_m_s_K"`

	*oilAnswer
}

// noSlope, in m/s per kelvin, is what is left of a slope of zero by its differences.
const noSlope = 1e-9

// validRange is where a property holds; of a table the pressures are null.
type validRange struct {
	LowerC  float64  `json:"lower_C"`
	UpperC  float64  `json:"upper_C"`
	LowerPa *float64 `json:"lower_Pa"`
	UpperPa *float64 `json:"upper_Pa"`
}

// oilAnswer is what an oil's answer has besides.
type oilAnswer struct {
	Group      string  `json:"product_group"`
	Density60F float64 `json:"density_60F_kg_m3"`
	Density15C float64 `json:"density_15C_kg_m3"`
	CTL        float64 `json:"ctl_60F"`
	CPL        float64 `json:"cpl"`
	To60F      float64 `json:"volume_correction_60F"`
	To15C      float64 `json:"volume_correction_15C"`
	Source     string  `json:"volume_correction_source"`
}

// fluidAt is the kind "fluid": fluid.Liquid.At.
func fluidAt(o *object, _ func(fault.Fault) string) (any, error) {
	liquid, celsius, pascals := o.liquid(), o.number("temperature_C"), o.number("pressure_Pa")
	o.done()
	if err := o.err(); err != nil {
		return nil, err
	}
	s, err := stateOf(celsius+kelvin, pascals)
	if err != nil {
		return nil, err
	}
	p, err := liquid.At(s)
	if err != nil {
		return nil, err
	}
	var a fluidAnswer
	a.Density, a.DensitySource, a.DensityUncertainty, a.DensityRange = tellProperty(p.Density)
	a.Viscosity, a.ViscositySource, a.ViscosityUncertainty, a.ViscosityRange = tellProperty(p.DynamicViscosity)
	a.SoundSpeed, a.SoundSpeedSource, a.SoundSpeedUncertainty, a.SoundSpeedRange = tellProperty(p.SoundSpeed)
	if slope, err := liquid.SoundSpeedSlope(s); err == nil {
		if math.Abs(slope) < noSlope {
			slope = 0
		}
		a.SoundSpeedSlope = &slope
	}
	if _, b, err := liquid.Base(s); err == nil {
		a.oilAnswer = &oilAnswer{string(b.Group), b.Density60F, b.Density15C, b.Temperature, b.Pressure, b.To60F, b.To15C, b.Source}
	}
	return a, nil
}

// tellProperty returns nil for what is not known.
func tellProperty(p fluid.Property) (value *float64, source *string, uncertainty *float64, valid *validRange) {
	if p.Source == "" {
		return nil, nil, nil, nil
	}
	if p.StandardUncertainty > 0 {
		uncertainty = &p.StandardUncertainty
	}
	valid = &validRange{LowerC: p.Valid.LeastK - kelvin, UpperC: p.Valid.MostK - kelvin}
	if !math.IsNaN(p.Valid.LeastPa) {
		valid.LowerPa, valid.UpperPa = &p.Valid.LeastPa, &p.Valid.MostPa
	}
	return &p.Value, &p.Source, uncertainty, valid
}

// The most rows of a table.
const maxTableRows = 10_000

// liquid reads a fluid with what fixes it: by name, or by a table of the caller's.
func (o *object) liquid() fluid.Liquid { return o.liquidBy(o.number) }

// liquidBy is liquid with the composition of a mixture read in another way.
func (o *object) liquidBy(part func(name string) float64) fluid.Liquid {
	l := fluid.Liquid{Name: o.word("fluid")}
	if o.has("table") {
		l.Table = o.fluidTable()
		return l
	}
	for _, need := range fluid.NeedsOf(l.Name) {
		switch need {
		case fluid.NeedSalinity:
			l.Salinity = part("salinity_g_kg")
		case fluid.NeedMassFraction:
			l.MassFraction = part("mass_fraction")
		case fluid.NeedAPIGravity:
			l.APIGravity = o.number("api_gravity")
		case fluid.NeedGroup:
			l.Group = fluid.Group(o.wordOr("product_group", ""))
		}
	}
	return l
}

func (o *object) fluidTable() *fluid.Table {
	t := fluid.Table{Source: o.wordOr("table_source", "own table"), RelativeUncertainty: o.numberOr("table_standard_uncertainty_percent", 0) / 100}
	if t.Source == "" {
		t.Source = "own table"
	}
	for _, row := range o.objects("table", maxTableRows) {
		t.Rows = append(t.Rows, fluid.TableRow{
			Kelvins:          row.number("temperature_C") + kelvin,
			Density:          row.numberOr("density_kg_m3", 0),
			DynamicViscosity: row.numberOr("dynamic_viscosity_Pa_s", 0),
			SoundSpeed:       row.numberOr("sound_speed_m_s", 0),
		})
		row.done()
	}
	return &t
}

// stateOf takes plain kelvins and pascals.
func stateOf(kelvins, pascals float64) (fluid.State, error) {
	t, err := quantity.Kelvins(kelvins)
	if err != nil {
		return fluid.State{}, renamed(err, map[string]string{"": "temperature_C"})
	}
	p, err := quantity.Pascals(pascals)
	if err != nil {
		return fluid.State{}, renamed(err, map[string]string{"": "pressure_Pa"})
	}
	return fluid.State{Temperature: t, Pressure: p}, nil
}

// propertiesOf asks for a fluid in plain numbers, kelvins and pascals; without a speed of
// sound it is refused.
func propertiesOf(l fluid.Liquid, kelvins, pascals float64) (fluid.Properties, error) {
	s, err := stateOf(kelvins, pascals)
	if err != nil {
		return fluid.Properties{}, err
	}
	p, err := l.At(s)
	if err == nil && p.SoundSpeed.Source == "" {
		err = fluid.NoSoundSpeed.At("fluid", l.Name)
	}
	return p, err
}
