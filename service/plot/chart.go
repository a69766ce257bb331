package plot

import (
	"math"
	"slices"
)

// Chart is error against flow, in the units of the labels; with EndDay beyond FirstDay error
// against time, the flow of points and bounds being days.
type Chart struct {
	Before, After []Point
	Limits        []Bound // of the last phase, in order of flow; drawn as a band
	BeforeLimits  []Bound // where they are others
	Flow, Error   string  // what the axes show, with the unit
	LimitText     string  // as "agreed limit ±2 %"
	Label         string  // the drawing in words

	TimeTicks        []Tick  // of the axis across, in place of round flows
	FirstDay, EndDay float64 // what it spans then
}

// Point is a result with its expanded uncertainty (0: none stated).
type Point struct {
	Flow, Error, U float64
	Title          string
}

// Bound is the limits of error at a flow. A side without limit is infinite.
type Bound struct{ Flow, Lower, Upper float64 }

// Measures of a chart in units of its text size, but for the number of ticks.
const (
	chartLeft   = 3.4 // room for the error's figures
	chartRight  = 0.8
	chartTop    = 1.9 // the label of the error
	chartBottom = 2.9 // figures and label of the flow
	pointRadius = 0.36
	capHalf     = 0.42
	sideStep    = 0.5  // before and after at one flow stand this far apart
	logRatio    = 20.0 // flows that differ by more are drawn on a logarithmic scale
	errorTicks  = 6
	flowTicks   = 6
	tickRoom    = 1.9 // least distance of the ticks of error
	roomForBars = 0.1 // of the errors' range
	widerLimits = 2.0 // limits so many times as wide as the rest are drawn beyond the edge
)

// Draw lays the chart out: width, height and text size are in the same unit, line is the
// width of its lines.
func (c Chart) Draw(width, height, textSize, line float64) Scene {
	s := Scene{Width: width, Height: height, TextSize: textSize, Line: line, Label: c.Label}
	c.Limits, c.BeforeLimits = throughout(c.Limits), throughout(c.BeforeLimits)
	x, y := c.scales(s)
	c.band(&s, x, y)
	c.axes(&s, x, y)
	before, after := c.sides(x, textSize)
	c.points(&s, y, c.Before, before, Square)
	c.points(&s, y, c.After, after, Dot)
	return s
}

// overTime reports whether the axis across is one of time.
func (c Chart) overTime() bool { return c.EndDay > c.FirstDay }

func (c Chart) all() []Point { return slices.Concat(c.Before, c.After) }

func (c Chart) scales(s Scene) (x, y Scale) {
	t := s.TextSize
	x = Scale{From: chartLeft * t, To: s.Width - chartRight*t}
	least, most := math.Inf(1), 0.0
	lo, hi := 0.0, 0.0
	for _, p := range c.all() {
		least, most = math.Min(least, p.Flow), math.Max(most, p.Flow)
		lo, hi = math.Min(lo, p.Error-p.U), math.Max(hi, p.Error+p.U)
	}
	x.Lo, x.Hi = 0, most*1.06
	if least > 0 && most/least > logRatio {
		x.Log, x.Lo, x.Hi = true, least/1.3, most*1.3
	}
	if c.overTime() {
		x.Log, x.Lo, x.Hi, least, most = false, c.FirstDay, c.EndDay, c.FirstDay, c.EndDay
	}
	if !(x.Hi > x.Lo) {
		x.Hi = x.Lo + 1
	}
	lo, hi = c.withLimits(lo, hi, least, most)
	room := (hi - lo) * roomForBars
	y = Scale{From: s.Height - chartBottom*t, To: chartTop * t}
	if room == 0 {
		room = 1
	}
	y.Lo, y.Hi = lo-room, hi+room
	return x, y
}

// withLimits makes room for the tightest limits at the flows tested, and for wider ones as
// long as they do not press the errors flat.
func (c Chart) withLimits(lo, hi, least, most float64) (float64, float64) {
	lower, upper := math.Inf(-1), math.Inf(1)
	each := func(do func(Bound)) {
		for _, bounds := range [][]Bound{c.Limits, c.BeforeLimits} {
			for i := 0; i+1 < len(bounds); i++ {
				if bounds[i+1].Flow >= least && bounds[i].Flow <= most {
					do(bounds[i])
				}
			}
		}
	}
	each(func(b Bound) { lower, upper = math.Max(lower, b.Lower), math.Min(upper, b.Upper) })
	if !math.IsInf(lower, 0) {
		lo = math.Min(lo, lower)
	}
	if !math.IsInf(upper, 0) {
		hi = math.Max(hi, upper)
	}
	floor, ceiling := lo*widerLimits, hi*widerLimits
	each(func(b Bound) {
		if b.Lower >= floor {
			lo = math.Min(lo, b.Lower)
		}
		if b.Upper <= ceiling {
			hi = math.Max(hi, b.Upper)
		}
	})
	return lo, hi
}

// band fills the room inside the limits and draws their lines.
func (c Chart) band(s *Scene, x, y Scale) {
	for i := 0; i+1 < len(c.Limits); i++ {
		a, b := c.Limits[i], c.Limits[i+1]
		if !inside(x, a, b) {
			continue
		}
		left, right := x.At(x.Clamp(a.Flow)), x.At(x.Clamp(b.Flow))
		s.add(Mark{Shape: Band, X: left, X2: right, Y: y.At(y.Clamp(a.Upper)), Y2: y.At(y.Clamp(a.Lower))})
	}
	c.limitLines(s, x, y, c.Limits)
	c.limitLines(s, x, y, c.BeforeLimits)
	if c.LimitText != "" && len(c.Limits) > 0 {
		s.add(Mark{Shape: Words, X: x.To, Y: 0.9 * s.TextSize, Text: c.LimitText, Anchor: End})
	}
}

// throughout lets limits of one flow hold over the whole axis: there is nothing else to tell.
func throughout(bounds []Bound) []Bound {
	if len(bounds) != 1 {
		return bounds
	}
	from, to := bounds[0], bounds[0]
	from.Flow, to.Flow = 0, math.Inf(1)
	return []Bound{from, to}
}

func inside(x Scale, a, b Bound) bool { return b.Flow > x.Lo && a.Flow < x.Hi && b.Flow > a.Flow }

func (c Chart) limitLines(s *Scene, x, y Scale, bounds []Bound) {
	for i := 0; i+1 < len(bounds); i++ {
		a, b := bounds[i], bounds[i+1]
		if !inside(x, a, b) {
			continue
		}
		left, right := x.At(x.Clamp(a.Flow)), x.At(x.Clamp(b.Flow))
		for _, of := range []func(Bound) float64{func(b Bound) float64 { return b.Lower }, func(b Bound) float64 { return b.Upper }} {
			if v := of(a); v >= y.Lo && v <= y.Hi {
				s.line(Limit, left, y.At(v), right, y.At(v))
			}
			v, w := y.Clamp(of(a)), y.Clamp(of(b))
			if v != w && i+2 < len(bounds) && !math.IsInf(of(a), 0) && !math.IsInf(of(b), 0) {
				s.line(Limit, right, y.At(v), right, y.At(w))
			}
		}
	}
}

func (c Chart) axes(s *Scene, x, y Scale) {
	t := s.TextSize
	about := min(errorTicks, int((y.From-y.To)/(tickRoom*t)))
	for _, tick := range y.Ticks(max(about, 2), true) {
		if tick.Text == "0" {
			s.line(Rule, x.From, y.At(0), x.To, y.At(0))
		}
		s.line(Rule, x.From-0.3*t, y.At(tick.Value), x.From, y.At(tick.Value))
		s.add(Mark{Shape: Figures, X: x.From - 0.55*t, Y: y.At(tick.Value) + 0.33*t, Text: tick.Text, Anchor: End})
	}
	s.line(Rule, x.From, y.From, x.From, y.To)
	s.line(Rule, x.From, y.From, x.To, y.From)
	across := c.TimeTicks
	if across == nil {
		across = x.Ticks(flowTicks, false)
	}
	for _, tick := range across {
		s.line(Rule, x.At(tick.Value), y.From, x.At(tick.Value), y.From+0.35*t)
		s.add(Mark{Shape: Figures, X: x.At(tick.Value), Y: y.From + 1.35*t, Text: tick.Text, Anchor: Middle})
	}
	s.add(Mark{Shape: Words, X: 0, Y: 0.9 * t, Text: c.Error})
	s.add(Mark{Shape: Words, X: x.To, Y: y.From + 2.6*t, Text: c.Flow, Anchor: End})
}

// sides places the points along the flow; where before and after would lie on each other
// they stand side by side.
func (c Chart) sides(x Scale, t float64) (before, after []float64) {
	for _, p := range c.Before {
		before = append(before, x.At(p.Flow))
	}
	for _, p := range c.After {
		after = append(after, x.At(p.Flow))
	}
	for i := range before {
		for j := range after {
			if gap := after[j] - before[i]; math.Abs(gap) < 2*sideStep*t {
				middle := (before[i] + after[j]) / 2
				before[i], after[j] = middle-sideStep*t, middle+sideStep*t
			}
		}
	}
	return before, after
}

func (c Chart) points(s *Scene, y Scale, points []Point, at []float64, shape Shape) {
	t := s.TextSize
	for i, p := range points {
		e := y.At(y.Clamp(p.Error))
		if p.U > 0 {
			top, bottom := y.At(y.Clamp(p.Error+p.U)), y.At(y.Clamp(p.Error-p.U))
			s.errorBar(at[i], top, e-pointRadius*t, bottom, e+pointRadius*t)
			for _, end := range []float64{top, bottom} {
				s.line(Bar, at[i]-capHalf*t, end, at[i]+capHalf*t, end)
			}
		}
		s.add(Mark{Shape: shape, X: at[i], Y: e, R: pointRadius * t, Title: p.Title})
	}
}

// errorBar draws the bar above and below a point, not through it, so that an open square
// stays open.
func (s *Scene) errorBar(x, top, above, bottom, below float64) {
	if top < above {
		s.line(Bar, x, top, x, above)
	}
	if bottom > below {
		s.line(Bar, x, below, x, bottom)
	}
}
