package part

import (
	"math"
	"strconv"
)

// Drawing measures of a verdict mark, in user units of its viewBox.
const (
	verdictWide = 96.0
	verdictHigh = 22.0
	verdictEdge = 7.0 // room at each end for an arrowhead or half a dot
	verdictOver = 0.8 // share of the limits' width shown beyond each limit
)

// Verdict is a result drawn between its limits: error E with its expanded uncertainty U,
// all four numbers in the same unit. A limit that is not there is infinite (one-sided
// tolerance). The word stands beside the drawing and carries the meaning; Label says the
// numbers to those who do not see the drawing.
type Verdict struct {
	E, U         float64
	Lower, Upper float64
	Word         string
	Label        string
	Before       bool // an open square: before adjustment
	Act          bool // needs a person
	Large        bool
}

// Shape is the drawing's geometry, ready for SVG attributes.
type Shape struct {
	ViewBox      string
	Inside       Box    // the band between the limits
	LowerBracket string // path, empty when there is no lower limit
	UpperBracket string
	Bar          string // path: the uncertainty bar
	Dot          bool   // the result lies on the drawing
	X, Y         string
	SquareX      string
	SquareY      string
	Arrow        string // path: the result lies beyond the drawing, this way
}

// Box is a rectangle.
type Box struct{ X, Y, Width, Height string }

// Shape returns the geometry. Values that are not finite (limits excepted) draw the
// limits alone, so that a mark never claims a result it has not got.
func (v Verdict) Shape() Shape {
	lo, hi := v.window()
	at := func(value float64) float64 {
		share := (math.Max(lo, math.Min(hi, value)) - lo) / (hi - lo)
		return verdictEdge + share*(verdictWide-2*verdictEdge)
	}
	s := Shape{ViewBox: "0 0 " + num(verdictWide) + " " + num(verdictHigh)}
	left, right := at(v.Lower), at(v.Upper)
	if math.IsInf(v.Lower, -1) {
		left = 0
	} else {
		s.LowerBracket = bracket(left, 1)
	}
	if math.IsInf(v.Upper, 1) {
		right = verdictWide
	} else {
		s.UpperBracket = bracket(right, -1)
	}
	s.Inside = Box{num(left), "4", num(right - left), num(verdictHigh - 8)}
	if finite(v.E) && finite(v.U) && v.U >= 0 {
		s.place(v, lo, hi, at)
	}
	return s
}

func (s *Shape) place(v Verdict, lo, hi float64, at func(float64) float64) {
	mid := verdictHigh / 2
	a, b := at(v.E-v.U), at(v.E+v.U)
	s.Bar = "M" + num(a) + " " + num(mid) + "H" + num(b)
	if v.E-v.U >= lo {
		s.Bar += "M" + num(a) + " " + num(mid-4) + "v8"
	}
	if v.E+v.U <= hi {
		s.Bar += "M" + num(b) + " " + num(mid-4) + "v8"
	}
	switch {
	case v.E < lo:
		s.Arrow = arrow(verdictEdge, -1)
	case v.E > hi:
		s.Arrow = arrow(verdictWide-verdictEdge, 1)
	default:
		s.Dot = true
		s.X, s.Y = num(at(v.E)), num(mid)
		s.SquareX, s.SquareY = num(at(v.E)-4), num(mid-4)
	}
}

// window returns the values at the drawing's two ends: the limits and some room beyond.
// With one limit the room within it is twice the larger of its distance from zero and of
// the result, so that the drawing does not depend on the unit.
func (v Verdict) window() (lo, hi float64) {
	low, high := !math.IsInf(v.Lower, -1), !math.IsInf(v.Upper, 1)
	switch {
	case low && high:
		room := (v.Upper - v.Lower) * verdictOver / 2
		if room <= 0 {
			room = math.Max(math.Abs(v.Upper), 1)
		}
		return v.Lower - room, v.Upper + room
	case low:
		width := v.reach(v.Lower)
		return v.Lower - width*verdictOver, v.Lower + 2*width
	case high:
		width := v.reach(v.Upper)
		return v.Upper - 2*width, v.Upper + width*verdictOver
	}
	width := v.reach(0)
	return -2 * width, 2 * width
}

func (v Verdict) reach(limit float64) float64 {
	reach := math.Abs(limit)
	if finite(v.E) && finite(v.U) {
		reach = math.Max(reach, (math.Abs(v.E-limit)+v.U)/2)
	}
	if reach == 0 {
		return 1
	}
	return reach
}

func bracket(x, inward float64) string {
	return "M" + num(x+4*inward) + " 2H" + num(x) + "V" + num(verdictHigh-2) + "H" + num(x+4*inward)
}

func arrow(x, way float64) string {
	mid := verdictHigh / 2
	return "M" + num(x-way*3) + " " + num(mid-5) + "L" + num(x+way*5) + " " + num(mid) + "L" + num(x-way*3) + " " + num(mid+5) + "z"
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

func num(x float64) string { return strconv.FormatFloat(math.Round(x*10)/10, 'f', -1, 64) }
