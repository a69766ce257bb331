package plot

import (
	"math"
	"sort"
	"strconv"
	"time"
)

// Traces are two logged channels of one flow on one clock, with the error between them
// below and the stretches picked. Times are seconds since 1970, flows in the unit of the
// label, errors in percent.
//
// The reference is a broad pale line and the meter a thin dark one upon it: they are told
// apart without colour, and where both show the same the thin one lies in the broad one.
type Traces struct {
	Reference, Meter []Span
	Error            []Span
	Stretches        []Stretch
	From, To         float64 // what is drawn; both 0: everything
	Zone             *time.Location
	Flow, Percent    string // what the scales show, with the unit
	ReferenceText    string // the key's words for the two lines
	MeterText        string
	Label            string // the drawing in words
}

// Span is a channel over one short time: its first and last moment, its least, greatest
// and mean value. A single sample is a span without length.
type Span struct{ From, To, Low, High, Mean float64 }

// Stretch is a time that was picked, with what stands beside its bracket.
type Stretch struct {
	From, To float64
	Text     string
	Open     bool // not taken: the bracket is broken
}

// Measures of the traces in units of the text size.
const (
	tracesLeft   = 3.8
	tracesRight  = 0.6
	tracesTop    = 2.0
	tracesGap    = 2.9 // between the flows and the error, for the brackets
	tracesBottom = 1.8
	errorShare   = 0.28 // of the height is the error's
	broadWide    = 0.5
	bracketHigh  = 0.45
	timeRoom     = 5.4 // least distance of the ticks of time
)

// gapSteps is how many usual steps may lie between two spans before the line is broken.
const gapSteps = 4

// Draw lays the traces out: width, height and text size are in the same unit, line is the
// width of its lines.
func (c Traces) Draw(width, height, textSize, line float64) Scene {
	s := Scene{Width: width, Height: height, TextSize: textSize, Line: line, Label: c.Label}
	t := textSize
	x := Scale{From: tracesLeft * t, To: width - tracesRight*t}
	x.Lo, x.Hi = c.window()
	floor := height - tracesBottom*t
	flows := Scale{From: floor, To: tracesTop * t}
	errors := Scale{From: floor}
	if len(c.Error) > 0 {
		errors.To = floor - errorShare*(floor-flows.To)
		flows.From = errors.To - tracesGap*t
	} else {
		flows.From -= tracesGap * t / 2
	}
	flows.Lo, flows.Hi = c.flowRange(x)
	c.tracesAxes(&s, x, flows, floor)
	c.brackets(&s, x, flows.From+0.5*t, floor)
	s.trace(Broad, x, flows, c.Reference, broadWide*t)
	s.trace(Thread, x, flows, c.Meter, 0)
	c.key(&s, x)
	if len(c.Error) > 0 {
		errors.Lo, errors.Hi = errorRange(c.Error, x)
		c.errorAxis(&s, x, errors)
		s.trace(Thread, x, errors, c.Error, 0)
	}
	return s
}

func (c Traces) window() (lo, hi float64) {
	lo, hi = c.From, c.To
	if lo == 0 && hi == 0 {
		lo, hi = math.Inf(1), math.Inf(-1)
		for _, spans := range [][]Span{c.Reference, c.Meter} {
			if n := len(spans); n > 0 {
				lo, hi = math.Min(lo, spans[0].From), math.Max(hi, spans[n-1].To)
			}
		}
	}
	if !(hi > lo) || math.IsInf(lo, 0) || math.IsInf(hi, 0) {
		if math.IsInf(lo, 0) {
			lo = 0
		}
		return lo, lo + 1
	}
	return lo, hi
}

func (c Traces) flowRange(x Scale) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, spans := range [][]Span{c.Reference, c.Meter} {
		for _, p := range spans {
			if p.To >= x.Lo && p.From <= x.Hi {
				lo, hi = math.Min(lo, p.Low), math.Max(hi, p.High)
			}
		}
	}
	if math.IsInf(lo, 0) {
		return 0, 1
	}
	room := (hi - lo) * 0.06
	if room == 0 {
		room = math.Max(math.Abs(hi)*0.05, 1e-9)
	}
	return lo - room, hi + room
}

// errorRange shows zero and the errors about their median, four times as far as half of them
// reach; what is beyond, as while the flow changes, runs into the edge.
func errorRange(spans []Span, x Scale) (lo, hi float64) {
	var all []float64
	for _, p := range spans {
		if p.To >= x.Lo && p.From <= x.Hi && !math.IsNaN(p.Mean) {
			all = append(all, p.Mean)
		}
	}
	if len(all) == 0 {
		return -1, 1
	}
	centre := median(all)
	for i, e := range all {
		all[i] = math.Abs(e - centre)
	}
	reach := errorReach * median(all)
	lo, hi = math.Min(0, centre-reach), math.Max(0, centre+reach)
	room := math.Max((hi-lo)*0.1, 0.1)
	return lo - room, hi + room
}

// errorReach is how many median deviations of the errors are shown.
const errorReach = 4

// median sorts the values and returns the middle one.
func median(values []float64) float64 {
	sort.Float64s(values)
	return values[len(values)/2]
}

// trace draws the spans as one line: through the mean of each, and through its least and
// greatest value where it holds more than one. It is broken where a channel has a gap.
func (s *Scene) trace(shape Shape, x, y Scale, spans []Span, wide float64) {
	most := gapSteps * usualStep(spans)
	var points [][2]float64
	end := func() {
		if len(points) == 1 { // a lone sample is a short line
			points = append(points, [2]float64{points[0][0] + s.Line, points[0][1]})
		}
		if len(points) > 1 {
			s.add(Mark{Shape: shape, R: wide, Points: points})
		}
		points = nil
	}
	for i, p := range spans {
		if p.To < x.Lo || p.From > x.Hi || math.IsNaN(p.Mean) {
			continue
		}
		if i > 0 && most > 0 && p.From-spans[i-1].To > most {
			end()
		}
		at := func(t, v float64) {
			points = append(points, [2]float64{x.At(x.Clamp(t)), y.At(y.Clamp(v))})
		}
		if p.Low == p.High {
			at(p.From, p.Mean)
			continue
		}
		middle := (p.From + p.To) / 2
		at(middle, p.Low)
		at(middle, p.High)
		at(middle, p.Mean)
	}
	end()
}

// usualStep is the median time from the end of one span to the beginning of the next, and
// not less than the median length of one.
func usualStep(spans []Span) float64 {
	var steps, lengths []float64
	for i := 1; i < len(spans); i++ {
		steps = append(steps, spans[i].From-spans[i-1].To)
		lengths = append(lengths, spans[i].To-spans[i].From)
	}
	if len(steps) == 0 {
		return 0
	}
	return math.Max(median(steps), median(lengths)/gapSteps)
}

func (c Traces) tracesAxes(s *Scene, x, y Scale, floor float64) {
	t := s.TextSize
	s.line(Rule, x.From, y.From, x.From, y.To)
	s.line(Rule, x.From, floor, x.To, floor)
	for _, tick := range y.Ticks(max(2, min(6, int((y.From-y.To)/(tickRoom*t)))), false) {
		s.line(Rule, x.From-0.3*t, y.At(tick.Value), x.From, y.At(tick.Value))
		s.add(Mark{Shape: Figures, X: x.From - 0.55*t, Y: y.At(tick.Value) + 0.33*t, Text: tick.Text, Anchor: End})
	}
	zone := c.Zone
	if zone == nil {
		zone = time.UTC
	}
	last := math.Inf(-1)
	for _, tick := range x.TimeTicks(max(2, int((x.To-x.From)/(timeRoom*t))), zone) {
		at := x.At(tick.Value)
		s.line(Rule, at, floor, at, floor+0.35*t)
		if at-last < timeRoom*t*0.8 || at < x.From+0.6*t || at > x.To-t {
			continue
		}
		last = at
		s.add(Mark{Shape: Figures, X: at, Y: floor + 1.45*t, Text: tick.Text, Anchor: Middle})
	}
	s.add(Mark{Shape: Words, X: 0, Y: 0.9 * t, Text: c.Flow})
}

func (c Traces) errorAxis(s *Scene, x, y Scale) {
	t := s.TextSize
	s.line(Rule, x.From, y.From, x.From, y.To)
	s.line(Rule, x.From, y.At(0), x.To, y.At(0))
	for _, tick := range y.Ticks(max(2, min(4, int((y.From-y.To)/(tickRoom*t)))), true) {
		s.line(Rule, x.From-0.3*t, y.At(tick.Value), x.From, y.At(tick.Value))
		s.add(Mark{Shape: Figures, X: x.From - 0.55*t, Y: y.At(tick.Value) + 0.33*t, Text: tick.Text, Anchor: End})
	}
	s.add(Mark{Shape: Words, X: 0, Y: y.To - 0.5*t, Text: c.Percent})
}

// brackets mark the stretches below the flows, as dimension lines on a drawing.
func (c Traces) brackets(s *Scene, x Scale, y, floor float64) {
	t := s.TextSize
	for i, p := range c.Stretches {
		if p.To <= x.Lo || p.From >= x.Hi {
			continue
		}
		from, to := x.At(x.Clamp(p.From)), x.At(x.Clamp(p.To))
		s.add(Mark{Shape: Band, X: from, X2: to, Y: tracesTop * t, Y2: floor})
		s.line(Bracket, from, y, from, y+bracketHigh*t)
		s.line(Bracket, to, y, to, y+bracketHigh*t)
		if p.Open {
			s.line(Bracket, from, y+bracketHigh*t, from+(to-from)/5, y+bracketHigh*t)
			s.line(Bracket, to-(to-from)/5, y+bracketHigh*t, to, y+bracketHigh*t)
		} else {
			s.line(Bracket, from, y+bracketHigh*t, to, y+bracketHigh*t)
		}
		text := p.Text
		if text == "" {
			text = strconv.Itoa(i + 1)
		}
		s.add(Mark{Shape: Figures, X: (from + to) / 2, Y: y + (bracketHigh+1.1)*t, Text: text, Anchor: Middle})
	}
}

// key shows the two lines with their words, at the right above the flows.
func (c Traces) key(s *Scene, x Scale) {
	t := s.TextSize
	y, wide := 0.9*t, 1.8*t
	at := x.To
	for _, one := range []struct {
		text  string
		shape Shape
		r     float64
	}{{c.MeterText, Thread, 0}, {c.ReferenceText, Broad, broadWide * t}} {
		if one.text == "" {
			continue
		}
		s.add(Mark{Shape: Words, X: at, Y: y, Text: one.text, Anchor: End})
		at -= keyRoom*t*float64(len([]rune(one.text))) + 0.4*t
		s.add(Mark{Shape: one.shape, R: one.r, Points: [][2]float64{{at - wide, y - 0.3*t}, {at, y - 0.3*t}}})
		at -= wide + 1.2*t
	}
}

// keyRoom is about the width of a letter in units of the text size.
const keyRoom = 0.46
