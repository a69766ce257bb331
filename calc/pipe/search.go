package pipe

import (
	"math"
	"sort"

	"rillmark/calc/quantity"
)

// Measured is what was found at a pipe of unknown standard: its outside diameter without
// coating and, where it was gauged, its wall (0: not), in metres.
type Measured struct {
	OutsideDiameter, Wall quantity.Length
	// Half-widths within which a pipe fits, in metres; 0 takes the default. Outside: the
	// mill tolerance, 1 % from 2 in and 0.4 mm below. Wall: the tolerance of each product
	// standard and 0.1 mm for the gauge.
	OutsideTolerance, WallTolerance quantity.Length
}

// Fit is a standard pipe that fits what was measured.
type Fit struct {
	Pipe
	// OutsideDifference and WallDifference are measured − standard, in metres.
	OutsideDifference, WallDifference float64
	// Distance ranks: the root of the squares of the differences, each over its tolerance,
	// summed. 0 fits exactly.
	Distance float64
}

// gauge is what a thickness gauge may be off, in metres (common practice, no source).
const gauge = 0.0001

// Search returns every pipe of every standard that fits what was measured, best first;
// equal ones in the order of Standards. None is no error: the pipe may follow another
// standard, be worn or coated.
//
// Errors: BadOutsideDiameter, BadWall, BadTolerance.
func Search(m Measured) ([]Fit, error) {
	switch {
	case m.OutsideDiameter.SI() <= 0:
		return nil, BadOutsideDiameter.At("outside_diameter_m", m.OutsideDiameter.SI()*1000)
	case m.Wall.SI() < 0 || 2*m.Wall.SI() >= m.OutsideDiameter.SI():
		return nil, BadWall.At("wall_m", m.Wall.SI()*1000, m.OutsideDiameter.SI()*1000)
	case m.OutsideTolerance.SI() < 0:
		return nil, BadTolerance.At("tolerances.outside_diameter_m", m.OutsideTolerance.SI()*1000)
	case m.WallTolerance.SI() < 0:
		return nil, BadTolerance.At("tolerances.wall_m", m.WallTolerance.SI()*1000)
	}
	var fits []Fit
	for _, t := range tables() {
		for _, e := range t.entries {
			for _, w := range e.walls {
				if f, ok := m.fit(t, e, w); ok {
					fits = append(fits, f)
				}
			}
		}
	}
	sort.SliceStable(fits, func(i, j int) bool { return fits[i].Distance < fits[j].Distance })
	return fits, nil
}

func (m Measured) fit(t *table, e entry, w wall) (Fit, bool) {
	outside := m.OutsideDiameter.SI() - e.size.OutsideDiameter.SI()
	within := m.OutsideTolerance.SI()
	if within == 0 {
		within = e.millTolerance()
	}
	distance := outside / within
	if math.Abs(distance) > 1+1e-9 {
		return Fit{}, false
	}
	name := ""
	if len(w.designations) > 0 {
		name = w.designations[0]
	}
	f := Fit{Pipe: t.pipe(e, w, name), OutsideDifference: outside}
	if m.Wall.SI() == 0 {
		f.Distance = math.Abs(distance)
		return f, true
	}
	f.WallDifference = m.Wall.SI() - w.thickness.SI()
	within = m.WallTolerance.SI()
	if within == 0 {
		share := f.WallOverPercent
		if f.WallDifference < 0 {
			share = f.WallTolerancePercent
		}
		within = gauge + share/100*w.thickness.SI()
	}
	share := f.WallDifference / within
	f.Distance = math.Hypot(distance, share)
	return f, math.Abs(share) <= 1+1e-9
}
