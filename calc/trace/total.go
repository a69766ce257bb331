package trace

import "math"

// Total is a volume by integration of a flow, with what the moments of start and stop,
// and the sampling, leave open.
type Total struct {
	Volume              float64 // unit of the value times s
	StandardUncertainty float64 // of start, stop and gaps, same unit; the flow's own is not in it
	LongestGap          float64 // longest step between samples inside, s
}

// TotalOf integrates a flow from one time to another by the trapezoidal rule, with the
// flow interpolated linearly at both ends:
//
//	V = Σ (q[i] + q[i+1])/2·(t[i+1] − t[i])
//	u² = (q(from)·u_start)² + (q(to)·u_stop)² + Σ over gaps ((q[i+1] − q[i])·Δt/2)²/3
//
// A gap is a step longer than three intervals; the flow within it lies between its ends,
// so the trapezoid is off by at most half the difference times the gap, taken as
// rectangular. Times and u are in s; u of the ends is the standard uncertainty of their
// moments. Errors: the series' own, and times outside it.
//
// Source: trapezoidal rule, textbook; rectangular: JCGM 100:2008, 4.3.7.
func TotalOf(s Series, from, to, uStart, uStop float64) (Total, error) {
	if faults := s.Validate(); len(faults) > 0 {
		return Total{}, faults
	}
	if !(from >= s.Time[0] && to <= s.Time[len(s.Time)-1] && from < to) {
		return Total{}, CodeOutside.At("from", from, to)
	}
	interval := s.Interval()
	qFrom, qTo := s.valueAt(from), s.valueAt(to)
	total := Total{}
	variance := square(qFrom*uStart) + square(qTo*uStop)
	t, q := from, qFrom
	step := func(t1, q1 float64) {
		total.Volume += (q + q1) / 2 * (t1 - t)
		total.LongestGap = math.Max(total.LongestGap, t1-t)
		if t1-t > 3*interval {
			variance += square((q1-q)*(t1-t)/2) / 3
		}
		t, q = t1, q1
	}
	i, j := s.within(from, to)
	for ; i < j; i++ {
		step(s.Time[i], s.Value[i])
	}
	step(to, qTo)
	total.StandardUncertainty = math.Sqrt(variance)
	return total, nil
}

// valueAt interpolates linearly; t lies inside the series.
func (s Series) valueAt(t float64) float64 {
	i, _ := s.within(t, t)
	if i == 0 {
		return s.Value[0]
	}
	if i == len(s.Time) {
		return s.Value[i-1]
	}
	f := (t - s.Time[i-1]) / (s.Time[i] - s.Time[i-1])
	return s.Value[i-1] + f*(s.Value[i]-s.Value[i-1])
}

func square(x float64) float64 { return x * x }

// CountedTotal is the volume that a counter counted from one time to another, its readings
// interpolated linearly at both ends:
//
//	V  = v(to) − v(from)
//	u² = (q(from)·u_start)² + (q(to)·u_stop)² + resolution²/6
//
// with q the slope of the counter there. The series' values are volumes that run on (see
// Unwrap), its resolution is the counter's smallest step: it is met at both ends,
// rectangular. Errors: the series' own, and times outside it.
//
// Source: JCGM 100:2008, 4.3.7, for the resolution; the rest as for TotalOf.
func CountedTotal(s Series, from, to, uStart, uStop float64) (Total, error) {
	if faults := s.Validate(); len(faults) > 0 {
		return Total{}, faults
	}
	if !(from >= s.Time[0] && to <= s.Time[len(s.Time)-1] && from < to) {
		return Total{}, CodeOutside.At("from", from, to)
	}
	t := Total{Volume: s.valueAt(to) - s.valueAt(from)}
	t.StandardUncertainty = math.Sqrt(square(s.slopeAt(from)*uStart) + square(s.slopeAt(to)*uStop) + square(s.Resolution)/6)
	i, j := s.within(from, to)
	for k := max(i, 1); k <= min(j, len(s.Time)-1); k++ {
		t.LongestGap = math.Max(t.LongestGap, s.Time[k]-s.Time[k-1])
	}
	return t, nil
}

// slopeAt is the change of the value for each second about a time inside the series.
func (s Series) slopeAt(t float64) float64 {
	i, _ := s.within(t, t)
	i = min(max(i, 1), len(s.Time)-1)
	return (s.Value[i] - s.Value[i-1]) / (s.Time[i] - s.Time[i-1])
}
