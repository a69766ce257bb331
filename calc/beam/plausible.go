package beam

import "rillmark/calc/fault"

// What is usual. Outside it a result is still computed, with a warning.
const (
	leastFluidSpeed, mostFluidSpeed = 500.0, 2500.0 // m/s: liquefied gases to concentrated brines; common practice, no source
	leastShear, mostShear           = 500.0, 4500.0 // m/s: polyethylene 540, glass 3420; open tables of solids
	leastLong, mostLong             = 1200.0, 7000.0
	leastWedge, mostWedge           = 1000.0, 4000.0 // m/s: plastics 2200–2800; common practice, no source
	leastDiameter, mostDiameter     = 0.01, 6.5      // m: common practice, no source
	usualTraverses                  = 6              // common practice, no source
)

// Warnings returns what is unusual about the set-up: sound speeds outside what liquids,
// walls, liners and wedges have, a diameter that looks like a slip in the unit, very many
// traverses. It expects a valid set-up; an empty list says nothing stands out.
//
// The bounds are 500–2500 m/s for the fluid, 500–4500 m/s for shear and 1200–7000 m/s for
// longitudinal waves in the wall, 500–7000 m/s for a liner (its wave is not stated),
// 1000–4000 m/s for the wedge, 10 mm to 6.5 m outside diameter, six traverses: common
// practice and open tables of solids, no single source.
func (s Setup) Warnings() fault.List {
	var l fault.List
	if d := s.OutsideDiameter; d < leastDiameter || d > mostDiameter {
		l = append(l, UnusualDiameter.At(OutsideDiameterName, d, leastDiameter, mostDiameter))
	}
	speed := func(field string, c, lower, upper float64) {
		if c < lower || c > upper {
			l = append(l, UnusualSoundSpeed.At(field, c, lower, upper))
		}
	}
	if s.PipeWave == Shear {
		speed(PipeSoundSpeedName, s.PipeSoundSpeed, leastShear, mostShear)
	} else {
		speed(PipeSoundSpeedName, s.PipeSoundSpeed, leastLong, mostLong)
	}
	if s.LinerThickness > 0 {
		speed(LinerSoundSpeedName, s.LinerSoundSpeed, leastShear, mostLong)
	}
	speed(FluidSoundSpeedName, s.FluidSoundSpeed, leastFluidSpeed, mostFluidSpeed)
	speed(WedgeSoundSpeedName, s.WedgeSoundSpeed, leastWedge, mostWedge)
	if s.Traverses > usualTraverses {
		l = append(l, ManyTraverses.At(TraversesName, s.Traverses, usualTraverses))
	}
	return l
}
