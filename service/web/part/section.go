package part

import "math"

// Section is a pipe cut across, drawn to scale from its outside diameter and wall, both
// in the same unit. The texts beside the drawing are what was entered. Without a wall the
// outline stands alone.
type Section struct {
	OutsideDiameter float64
	Wall            float64 // 0: not known
	OutsideText     string
	WallText        string
	Label           string // says the drawing to those who do not see it
}

// sectionRadius is the outer radius in the drawing, in user units; centre and view box
// are written in the template.
const sectionRadius = 60.0

// Inner returns the inner radius in the drawing; empty when no wall is known, or none
// that leaves a bore.
func (s Section) Inner() string {
	if !finite(s.OutsideDiameter) || !finite(s.Wall) || s.OutsideDiameter <= 0 || s.Wall <= 0 || 2*s.Wall >= s.OutsideDiameter {
		return ""
	}
	return num(sectionRadius * (1 - 2*s.Wall/s.OutsideDiameter))
}

// Leader returns the point in the middle of the wall, up and to the right, from which the
// line to the wall's text starts.
func (s Section) Leader() (at struct{ X, Y string }) {
	middle := sectionRadius * (1 - s.Wall/s.OutsideDiameter) * math.Sqrt2 / 2
	at.X, at.Y = num(76+middle), num(72-middle)
	return at
}
