package calcjson

import (
	"rillmark/calc/fault"
	"rillmark/calc/solid"
)

type solidAnswer struct {
	Material string `json:"material"`

	Shear            *float64 `json:"shear_m_s"`
	ShearLeast       *float64 `json:"shear_m_s_least"`
	ShearMost        *float64 `json:"shear_m_s_most"`
	ShearUncertainty *float64 `json:"shear_m_s_standard_uncertainty"`
	ShearOwn         bool     `json:"shear_own"`

	Longitudinal            *float64 `json:"longitudinal_m_s"`
	LongitudinalLeast       *float64 `json:"longitudinal_m_s_least"`
	LongitudinalMost        *float64 `json:"longitudinal_m_s_most"`
	LongitudinalUncertainty *float64 `json:"longitudinal_m_s_standard_uncertainty"`
	LongitudinalOwn         bool     `json:"longitudinal_own"`

	SoundSource string `json:"sound_source"`

	Expansion            *float64 `json:"expansion_per_K"`
	ExpansionUncertainty *float64 `json:"expansion_per_K_standard_uncertainty"`
	Young                *float64 `json:"young_Pa"`
	YoungUncertainty     *float64 `json:"young_Pa_standard_uncertainty"`
	Poisson              *float64 `json:"poisson"`
	LowerC               *float64 `json:"lower_C"`
	UpperC               *float64 `json:"upper_C"`
	SolidSource          *string  `json:"source"`
}

// solidOf is the kind "solid": solid.Of, with the speeds that a person entered.
func solidOf(o *object, _ func(fault.Fault) string) (any, error) {
	name, shear, longitudinal := o.word("material"), o.numberOr("shear_m_s", 0), o.numberOr("longitudinal_m_s", 0)
	o.done()
	if err := o.err(); err != nil {
		return nil, err
	}
	m, err := solid.Of(name)
	if err != nil {
		return nil, err
	}
	for field, speed := range map[string]float64{"shear_m_s": shear, "longitudinal_m_s": longitudinal} {
		if o.has(field) && speed == 0 {
			return nil, solid.BadOwn.At(field, speed)
		}
	}
	if m, err = m.With(shear, longitudinal); err != nil {
		return nil, err
	}
	a := solidAnswer{Material: m.Name, SoundSource: m.SoundSource, ShearOwn: m.Shear.Own, LongitudinalOwn: m.Longitudinal.Own}
	a.Shear, a.ShearLeast, a.ShearMost, a.ShearUncertainty = tellSpread(m.Shear)
	a.Longitudinal, a.LongitudinalLeast, a.LongitudinalMost, a.LongitudinalUncertainty = tellSpread(m.Longitudinal)
	a.Expansion, _, _, a.ExpansionUncertainty = tellSpread(m.Expansion)
	a.Young, _, _, a.YoungUncertainty = tellSpread(m.Young)
	if m.Expansion.Known() {
		lower, upper := m.LeastK-kelvin, m.MostK-kelvin
		a.Poisson, a.LowerC, a.UpperC, a.SolidSource = &m.Poisson, &lower, &upper, &m.SolidSource
	}
	return a, nil
}

// tellSpread returns nil for what is not known; of an own value no spread is known.
func tellSpread(s solid.Spread) (value, least, most, uncertainty *float64) {
	if !s.Known() {
		return nil, nil, nil, nil
	}
	if s.Own {
		return &s.Value, nil, nil, nil
	}
	u := s.StandardUncertainty()
	return &s.Value, &s.Least, &s.Most, &u
}
