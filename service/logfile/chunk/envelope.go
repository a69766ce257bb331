package chunk

import "math"

// Range is the least, the greatest and the mean value over a time.
type Range struct {
	From, To  int64 // microseconds since 1970, of the first and the last point in it
	Low, High float64
	Mean      float64 // of its points
	Points    int
}

// with returns the range and the one after it as one.
func (r Range) with(next Range) Range {
	n := r.Points + next.Points
	r.Mean += (next.Mean - r.Mean) * float64(next.Points) / float64(n)
	r.To, r.Points = next.To, n
	r.Low, r.High = math.Min(r.Low, next.Low), math.Max(r.High, next.High)
	return r
}

// MostRanges is the most an envelope holds.
const MostRanges = 500

// Envelope gathers the ranges of a series of any length as its points come in, in memory
// that does not grow: when there are twice MostRanges, neighbours are joined and each
// further one takes twice as many points. The zero value is ready for use.
type Envelope struct {
	// Gap is the step, in microseconds, above which no range holds the points on both sides,
	// as long as there is room for that; 0: none.
	Gap int64

	ranges []Range
	each   int // points in a full range
}

// Add takes further points, in the order of their times.
func (e *Envelope) Add(micro []int64, value []float64) {
	if e.each == 0 {
		e.each = 1
	}
	for i, t := range micro {
		one := Range{From: t, To: t, Low: value[i], High: value[i], Mean: value[i], Points: 1}
		if n := len(e.ranges); n > 0 && e.ranges[n-1].Points < e.each && !(e.Gap > 0 && t-e.ranges[n-1].To > e.Gap) {
			e.ranges[n-1] = e.ranges[n-1].with(one)
			continue
		}
		if len(e.ranges) == 2*MostRanges {
			e.halve()
		}
		e.ranges = append(e.ranges, one)
	}
}

func (e *Envelope) halve() {
	e.ranges = fewer(e.ranges, e.Gap, MostRanges*3/2) // room for more, gaps or not
	e.each *= 2
}

// fewer joins neighbours until no more than most are left: a few at a time but those that
// a gap parts, and where that is not enough those as well.
func fewer(all []Range, gap int64, most int) []Range {
	for together := 2; together <= 4; together++ {
		if out := Joined(all, together, gap); len(out) <= most {
			return out
		}
	}
	return Joined(all, 2, 0)
}

// Joined returns the ranges with neighbours joined, so many at a time; a step of more than
// gap microseconds between two parts them, unless it is 0.
func Joined(all []Range, together int, gap int64) []Range {
	var out []Range
	in := 0
	for i, r := range all {
		if in == 0 || in == together || gap > 0 && r.From-all[i-1].To > gap {
			out, in = append(out, r), 1
			continue
		}
		out[len(out)-1], in = out[len(out)-1].with(r), in+1
	}
	return out
}

// Ranges returns at most MostRanges ranges that hold every point added.
func (e *Envelope) Ranges() []Range {
	if len(e.ranges) > MostRanges {
		return fewer(e.ranges, e.Gap, MostRanges)
	}
	return append([]Range(nil), e.ranges...)
}
