package evaluation

import (
	"slices"

	"rillmark/calc/beam"
	"rillmark/calc/fluid"
)

// SalinityName is the input of a set-up check that fixes sea water.
const SalinityName = "salinity_g_kg"

// mostSalinity bounds what sea water can hold, in g/kg; the sound speed ends sooner.
const mostSalinity = 120

// CompositionOf is how much of something a mixture holds, as an input of the set-up check
// beside its temperature: of sea water its salinity; nil of other fluids, and of the
// glycols, whose sound speed is not known. at is the sound speed (m/s) of a liquid in the
// state of the check.
func CompositionOf(l fluid.Liquid, surveyed beam.Surveyed, at func(fluid.Liquid) (float64, error)) *beam.Composition {
	if l.Table != nil || !slices.Contains(fluid.NeedsOf(l.Name), fluid.NeedSalinity) {
		return nil
	}
	return &beam.Composition{Name: SalinityName, Unit: "g/kg", Surveyed: surveyed, Step: 0.1, Least: 0, Most: mostSalinity,
		SoundSpeedAt: func(x float64) (float64, error) {
			m := l
			m.Salinity = x
			return at(m)
		}}
}
