package trace

import "math"

// flat is a stretch of time in which the flow itself is steady, on the clock of the
// channel that was searched for it.
type flat struct {
	from, to float64 // s
	seen     plateau // the samples that show it
}

// flatsOf finds where the flow is steady: where the channel is, less the time for which
// earlier and later flow still acts on a sample.
func flatsOf(s Series, n noise) (all []flat) {
	_, after := s.Averaging.reach()
	before, early := s.Averaging.reached()
	// What is shorter is a piece of a change, not a level.
	least := math.Max(math.Max((s.Averaging.Delay()+after), 4*s.Interval()), 10)
	for _, p := range plateaus(s, n) {
		if s.Time[p.end-1]-s.Time[p.first] < least {
			continue
		}
		erode := min(max((p.end-p.first)/20, 1), 10)
		if p.end-p.first > 2*erode+1 {
			p = levelOf(s, p.first+erode, p.end-erode)
		}
		p = trimmed(s, p, n)
		all = append(all, flat{s.Time[p.first] - before, s.Time[p.end-1] + after - early, p})
	}
	return all
}

// trimmed takes off tenths of a plateau at its ends, three at most at each, whose mean is off
// by more than its scatter allows: what is left there of a slow change.
func trimmed(s Series, p plateau, n noise) plateau {
	tenth := (p.end - p.first) / 10
	if tenth < 2 {
		return p
	}
	within := 2.5 * p.scatter(n) * math.Sqrt(n.inflation/float64(tenth))
	middle := levelOf(s, p.first+3*tenth, p.end-3*tenth).mean
	first, end := p.first, p.end
	for i := range 3 {
		if at := p.first + (2-i)*tenth; math.Abs(levelOf(s, at, at+tenth).mean-middle) > within {
			first = max(first, at+tenth)
		}
		if at := p.end - (2-i)*tenth; math.Abs(levelOf(s, at-tenth, at).mean-middle) > within {
			end = min(end, at-tenth)
		}
	}
	if first == p.first && end == p.end {
		return p
	}
	return levelOf(s, first, end)
}

// showing returns the samples of a channel that show a flow steady between two times on
// the channel's own clock; false when there is none.
func (s Series) showing(from, to float64) (plateau, bool) {
	before, after := s.Averaging.reach()
	i, j := s.within(from+before, to-after)
	if j <= i {
		return plateau{}, false
	}
	return levelOf(s, i, j), true
}

// scatter is the standard deviation of a sample in the plateau: its own where it has
// enough samples to tell, else not below that of the channel.
func (p plateau) scatter(n noise) float64 {
	if p.end-p.first >= 10 {
		return math.Max(p.deviation, n.deviation/10)
	}
	return math.Max(p.deviation, n.deviation)
}

// meanVariance is the variance of the plateau's mean.
func (p plateau) meanVariance(n noise) float64 {
	return square(p.scatter(n)) * math.Min(n.inflation/float64(p.end-p.first), 1)
}

// moment is the time of a change from one level to the next on the channel's clock.
type moment struct {
	at        float64 // s, averaging's delay removed
	deviation float64 // standard uncertainty from noise, s
	halfWidth float64 // of the uniform distribution from sampling, s
	width     float64 // standard deviation in time of the change as the channel shows it, s
}

// momentOf returns when the flow changed between two plateaus of the channel. It is the
// centroid of the change,
//
//	T = t_b − ∫(v − v_a)dt/(v_b − v_a) − delay,
//
// with t_a and t_b the last sample of the one level and the first of the next. The
// centroid of a change of any shape is moved by an averaging by exactly the mean delay of
// the averaging, so channels of different averaging compare without a model of the change.
func (s Series) momentOf(a, b plateau, n noise) (moment, bool) {
	if a.end == 0 || b.first < a.end {
		return moment{}, false
	}
	step := b.mean - a.mean
	if square(step) < 36*(a.meanVariance(n)+b.meanVariance(n)) {
		return moment{}, false
	}
	first, last := a.end-1, b.first
	ta, tb := s.Time[first], s.Time[last]
	value := func(i int) float64 {
		switch i {
		case first:
			return 0
		case last:
			return 1
		}
		return (s.Value[i] - a.mean) / step
	}
	area, second, weights, gap := 0.0, 0.0, 0.0, 0.0
	for i := first; i < last; i++ {
		dt := s.Time[i+1] - s.Time[i]
		mean := (value(i) + value(i+1)) / 2
		area += mean * dt
		second += mean * dt * (2*tb - s.Time[i] - s.Time[i+1])
		gap = math.Max(gap, dt)
		if i > first {
			weights += square((s.Time[i+1] - s.Time[i-1]) / 2)
		}
	}
	scatter := math.Max(a.scatter(n), b.scatter(n))
	variance := square(scatter)*n.inflation*weights + a.meanVariance(n)*square(tb-area-ta) + b.meanVariance(n)*square(area)
	return moment{
		at:        tb - area - s.Averaging.Delay(),
		deviation: math.Sqrt(variance) / math.Abs(step),
		halfWidth: s.Averaging.samplingHalfWidth(gap),
		width:     math.Sqrt(math.Max(second-square(area), 0)),
	}, true
}

// change is one change of the flow as both channels show it.
type change struct {
	reference, meter moment
}

// lag is what this change alone says must be added to the meter's clock, s.
func (c change) lag() float64 { return c.reference.at - c.meter.at }

// changesOf finds the changes that both channels show, given the lag to within so many
// seconds. Steady levels are searched in the channel that shows them more sharply.
func changesOf(reference, meter Series, flats []flat, inMeter bool, noises [2]noise, lag, within float64) (all []change) {
	searched, other := reference, meter
	ns, no := noises[0], noises[1]
	if inMeter {
		searched, other, ns, no = meter, reference, noises[1], noises[0]
		lag = -lag
	}
	var a, pa plateau
	for _, f := range flats {
		b := f.seen
		pb, shown := other.showing(f.from-lag+within, f.to-lag-within)
		if !shown {
			continue
		}
		x, okX := searched.momentOf(a, b, ns)
		y, okY := other.momentOf(pa, pb, no)
		if okX && okY && alike(b.mean/a.mean, pb.mean/pa.mean) {
			if inMeter {
				x, y = y, x
			}
			all = append(all, change{x, y})
		}
		a, pa = b, pb
	}
	return all
}

// alike reports whether two ratios of levels are of one change.
func alike(x, y float64) bool {
	return math.Abs(x-y) <= 0.4*math.Max(math.Abs(x-1), math.Abs(y-1))
}
