package part

import "math"

// Clamp is a mounting drawn along the pipe, from its numbers: walls, liner, the two
// transducers, the beam with its traverses, and the spacing between the facing faces. All
// lengths are in metres.
type Clamp struct {
	OutsideDiameter float64
	Wall            float64
	Liner           float64
	Spacing         float64 // between the facing faces; negative: they overlap
	ExitOffset      float64 // from a face back to where the beam enters the pipe
	WallShift       float64 // along the pipe, in wall and liner on one side
	Traverses       int
	SpacingText     string
	FlowWord        string
	Label           string // says the drawing to those who do not see it
	Act             bool   // the spacing needs a person
}

// Measures of the drawing, in user units of its view box.
const (
	clampWide   = 460.0
	clampShoe   = 58.0 // length of a transducer; its own length is not to scale
	clampShoeUp = 26.0
	clampTop    = 74.0  // of the pipe, below dimension and transducer
	clampHigh   = 150.0 // of the pipe at most
	clampLow    = 84.0  // and at least
	clampEdge   = 34.0
)

// ClampShape is the drawing's geometry, ready for SVG attributes.
type ClampShape struct {
	ViewBox                            string
	Wide                               string
	TopOuter, TopInner, TopClear       string // y of the upper wall's faces and of the liner's inner one
	BottomOuter, BottomInner, BotClear string
	WallHigh                           string
	Lined                              bool
	Axis                               string
	First, Second                      string // paths of the transducers
	Beam                               string
	Dimension                          string
	Arrows                             string
	TextX, TextY                       string
	FlowArrow                          string
	FlowX, FlowY                       string
}

// Shape returns the geometry. Along and across the pipe have scales of their own, so that
// a thin pipe and a long rail both find room; within each the numbers are to scale.
func (c Clamp) Shape() ClampShape {
	entry := c.Spacing + 2*c.ExitOffset
	across := math.Min(clampHigh, math.Max(clampLow, c.OutsideDiameter*700))
	along := (clampWide - 2*clampEdge - 2*clampShoe) / math.Max(math.Max(math.Abs(c.Spacing), entry), c.OutsideDiameter/4)
	wall := math.Max(across*c.Wall/c.OutsideDiameter, 3)
	liner := 0.0
	if c.Liner > 0 {
		liner = math.Max(across*c.Liner/c.OutsideDiameter, 2.5)
	}
	top, bottom := clampTop, clampTop+across
	middle := clampWide / 2
	left, right := middle-along*c.Spacing/2, middle+along*c.Spacing/2 // the facing faces
	s := ClampShape{Wide: num(clampWide), TopOuter: num(top), TopInner: num(top + wall), TopClear: num(top + wall + liner),
		BottomOuter: num(bottom), BottomInner: num(bottom - wall), BotClear: num(bottom - wall - liner), WallHigh: num(wall),
		Lined: c.Liner > 0, Axis: num((top + bottom) / 2)}
	opposite := c.Traverses%2 == 1
	s.First = shoe(left, top, -1, 1)
	s.Second = shoe(right, top, 1, 1)
	high := bottom + 34
	if opposite {
		s.Second = shoe(right, bottom, 1, -1)
		high = bottom + clampShoeUp + 30
	}
	s.Beam = c.beam(left-along*c.ExitOffset, right+along*c.ExitOffset, along*c.WallShift, top, bottom, wall+liner)
	s.dimension(left, right, opposite, bottom)
	y := num((top + bottom) / 2)
	s.FlowArrow = "M6 " + y + "h34m-9 -5l9 5l-9 5"
	s.FlowX, s.FlowY = "6", num(high-8)
	s.ViewBox = "0 0 " + num(clampWide) + " " + num(high)
	return s
}

// shoe is a transducer whose facing face stands at x; away is the side it lies on, up
// is 1 on the upper wall and −1 on the lower.
func shoe(x, y, away, up float64) string {
	return "M" + num(x) + " " + num(y) + "L" + num(x+away*18) + " " + num(y-up*clampShoeUp) +
		"H" + num(x+away*clampShoe) + "V" + num(y) + "z"
}

// beam goes from one entry point to the other through the walls and over the traverses.
func (c Clamp) beam(from, to, shift, top, bottom, wall float64) string {
	upper, lower := top+wall, bottom-wall
	path := "M" + num(from) + " " + num(top)
	start, end := from+shift, to-shift
	up := false
	path += "L" + num(start) + " " + num(upper)
	for i := 1; i <= c.Traverses; i++ {
		x := start + (end-start)*float64(i)/float64(c.Traverses)
		if up {
			path += "L" + num(x) + " " + num(upper)
		} else {
			path += "L" + num(x) + " " + num(lower)
		}
		up = !up
	}
	last := top
	if c.Traverses%2 == 1 {
		last = bottom
	}
	return path + "L" + num(to) + " " + num(last)
}

// dimension draws the line of the spacing above the transducers.
func (s *ClampShape) dimension(left, right float64, opposite bool, bottom float64) {
	const y = 28.0
	down := clampTop
	if opposite {
		down = bottom
	}
	s.Dimension = "M" + num(left) + " " + num(clampTop) + "V" + num(y-6) + "M" + num(right) + " " + num(down) + "V" + num(y-6) +
		"M" + num(left) + " " + num(y) + "H" + num(right)
	way := 1.0
	if right < left {
		way = -1
	}
	s.Arrows = "M" + num(left) + " " + num(y) + "l" + num(9*way) + " -3.4v6.8zM" + num(right) + " " + num(y) + "l" + num(-9*way) + " -3.4v6.8z"
	s.TextX, s.TextY = num((left+right)/2), num(y-9)
}
