package method

import (
	"slices"

	"rillmark/calc/beam"
	"rillmark/calc/fault"
)

// Material is what sound needs to know of a pipe or liner. A speed of zero is not known.
type Material struct {
	Name         string  `json:"name"`
	Shear        float64 `json:"shear_m_s,omitempty"`
	Longitudinal float64 `json:"longitudinal_m_s,omitempty"`
	Basis        string  `json:"basis"`
}

// Material returns what the method knows of a material, and whether it knows it.
func (c Content) Material(name string) (Material, bool) {
	i := slices.IndexFunc(c.Materials, func(m Material) bool { return m.Name == name })
	if i < 0 {
		return Material{}, false
	}
	return c.Materials[i], true
}

// PipeSpeed returns the sound speed of the wave in a pipe of the material, m/s, and
// whether the method has one.
func (c Content) PipeSpeed(material string, wave beam.Wave) (float64, bool) {
	m, _ := c.Material(material)
	speed := m.Shear
	if wave == beam.Longitudinal {
		speed = m.Longitudinal
	}
	return speed, speed > 0
}

// LinerSpeed returns the sound speed in a liner of the material behind a pipe that
// carries the wave, m/s, and whether the method has one: that of the same wave; of a
// material for which no shear wave is known, as of rubber, the longitudinal one.
//
// Common practice, no source. A fast liner would reflect a longitudinal wave totally
// where the wedge is made for shear in steel: cement mortar does.
func (c Content) LinerSpeed(material string, wave beam.Wave) (float64, bool) {
	if speed, ok := c.PipeSpeed(material, wave); ok {
		return speed, true
	}
	return c.PipeSpeed(material, beam.Longitudinal)
}

func (c Content) validateMaterials(l *fault.List) {
	var names []string
	for i, m := range c.Materials {
		path := at("materials", i)
		word(l, path+".name", m.Name)
		once(l, path+".name", &names, m.Name)
		notNegative(l, path+".shear_m_s", m.Shear)
		notNegative(l, path+".longitudinal_m_s", m.Longitudinal)
		if m.Shear == 0 && m.Longitudinal == 0 {
			*l = append(*l, NoSpeed.At(path))
		}
		word(l, path+".basis", m.Basis)
	}
}
