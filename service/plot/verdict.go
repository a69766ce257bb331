package plot

import "math"

// Verdict is a result drawn between its limits: the error with its expanded uncertainty,
// all in one unit. A limit that is not there is infinite. The word stands beside it.
type Verdict struct {
	Error, U     float64
	Lower, Upper float64
	Before       bool // an open square
	Label        string
}

// Measures of a verdict mark as parts of its height.
const (
	verdictDot  = 0.19
	verdictCap  = 0.2
	verdictHook = 0.18
	verdictOver = 0.8 // share of the limits' half-width shown beyond each limit
)

// Draw lays the mark out in width and height. A result that is not finite draws the limits
// alone, so that a mark never claims a result it has not got.
func (v Verdict) Draw(width, height, line float64) Scene {
	s := Scene{Width: width, Height: height, TextSize: height, Line: line, Label: v.Label}
	lo, hi := v.window()
	x := Scale{Lo: lo, Hi: hi, From: 0.3 * height, To: width - 0.3*height}
	left, right := 0.0, width
	if !math.IsInf(v.Lower, -1) {
		left = x.At(v.Lower)
	}
	if !math.IsInf(v.Upper, 1) {
		right = x.At(v.Upper)
	}
	if !math.IsInf(v.Lower, -1) || !math.IsInf(v.Upper, 1) {
		s.add(Mark{Shape: Band, X: left, Y: 0.18 * height, X2: right, Y2: 0.82 * height})
	}
	s.bracket(v.Lower, x, height, 1)
	s.bracket(v.Upper, x, height, -1)
	if finite(v.Error) {
		v.place(&s, x)
	}
	return s
}

func (s *Scene) bracket(limit float64, x Scale, height, inward float64) {
	if math.IsInf(limit, 0) {
		return
	}
	at, hook := x.At(limit), inward*verdictHook*height
	top, bottom := 0.08*height, 0.92*height
	s.line(Bracket, at, top, at, bottom)
	s.line(Bracket, at, top, at+hook, top)
	s.line(Bracket, at, bottom, at+hook, bottom)
}

func (v Verdict) place(s *Scene, x Scale) {
	mid, r := s.Height/2, verdictDot*s.Height
	switch {
	case v.Error < x.Lo:
		s.add(Mark{Shape: Arrow, X: x.From, Y: mid, X2: -1, R: 1.4 * r})
		return
	case v.Error > x.Hi:
		s.add(Mark{Shape: Arrow, X: x.To, Y: mid, X2: 1, R: 1.4 * r})
		return
	}
	at := x.At(v.Error)
	if v.U > 0 && finite(v.U) {
		a, b := x.At(x.Clamp(v.Error-v.U)), x.At(x.Clamp(v.Error+v.U))
		if a < at-r {
			s.line(Bar, a, mid, at-r, mid)
		}
		if b > at+r {
			s.line(Bar, at+r, mid, b, mid)
		}
		for _, end := range []struct{ value, at float64 }{{v.Error - v.U, a}, {v.Error + v.U, b}} {
			if x.Clamp(end.value) == end.value {
				s.line(Bar, end.at, mid-verdictCap*s.Height, end.at, mid+verdictCap*s.Height)
			}
		}
	}
	shape := Dot
	if v.Before {
		shape = Square
	}
	s.add(Mark{Shape: shape, X: at, Y: mid, R: r, Title: v.Label})
}

// window returns the values at the two ends: the limits and some room beyond, so that one
// mark can be held against another of the same limits.
func (v Verdict) window() (lo, hi float64) {
	low, high := !math.IsInf(v.Lower, -1), !math.IsInf(v.Upper, 1)
	switch {
	case low && high && v.Upper > v.Lower:
		room := (v.Upper - v.Lower) / 2 * verdictOver
		return v.Lower - room, v.Upper + room
	case low && !high:
		reach := v.reach(v.Lower)
		return v.Lower - reach*verdictOver, v.Lower + 2*reach
	case high && !low:
		reach := v.reach(v.Upper)
		return v.Upper - 2*reach, v.Upper + reach*verdictOver
	}
	reach := v.reach(0)
	return -2 * reach, 2 * reach
}

func (v Verdict) reach(limit float64) float64 {
	reach := math.Abs(limit)
	if finite(v.Error) && finite(v.U) {
		reach = math.Max(reach, (math.Abs(v.Error-limit)+v.U)/2)
	}
	if reach == 0 {
		return 1
	}
	return reach
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
