// Package plot draws error against flow, two logged channels over time, and the verdict
// mark. One scale and one set of
// ticks make a Scene; the scene is written as SVG for pages, as a picture, or by whoever
// can draw lines, dots and words, as the document does.
//
// Before and after adjustment are told apart by shape: an open square and a filled dot,
// never by colour. Nothing depends on the clock, chance or the machine: the same figures
// give the same bytes. Not here: what the figures mean. The package follows no standard.
package plot

// Anchor says which part of a text stands at its place. The zero value is the start.
type Anchor int

// The anchors.
const (
	Start Anchor = iota
	Middle
	End
)

// Shape is what a mark is. The zero value is nothing.
type Shape int

// The shapes of marks.
const (
	_       Shape = iota
	Band          // filled rectangle X, Y to X2, Y2: inside the limits
	Rule          // thin line: axis, grid
	Limit         // line of a limit
	Bar           // line of an uncertainty bar
	Bracket       // line of a limit's bracket in a verdict mark
	Dot           // filled, at X, Y with the radius R: after adjustment
	Square        // open, at X, Y with the half side R: before adjustment
	Arrow         // filled triangle at X, Y of size R; X2 is +1 or −1: it points right or left
	Words         // Text at X, Y (baseline)
	Figures       // the same, of figures
	Broad         // broad pale line through Points, R wide: the reference's trace
	Thread        // thin line through Points: the meter's trace, the error between both
)

// Mark is one thing drawn. Lengths are in the scene's unit, y downwards.
type Mark struct {
	Shape        Shape
	X, Y, X2, Y2 float64
	R            float64
	Text         string
	Anchor       Anchor
	Title        string // what a point says of itself
	Points       [][2]float64
}

// Scene is a drawing. The unit is the caller's: millimetres on paper, pixels on a page.
type Scene struct {
	Width, Height float64
	TextSize      float64
	Line          float64 // width of a bar or limit; a rule is half of it
	Label         string  // the drawing in words
	Marks         []Mark
}

func (s *Scene) add(m Mark) { s.Marks = append(s.Marks, m) }

func (s *Scene) line(shape Shape, x, y, x2, y2 float64) {
	s.add(Mark{Shape: shape, X: x, Y: y, X2: x2, Y2: y2})
}
