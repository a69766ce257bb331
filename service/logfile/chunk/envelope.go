package chunk

import "math"

// Range is the least and the greatest value over a time.
type Range struct {
	From, To  int64 // microseconds since 1970, of the first and the last point in it
	Low, High float64
	Points    int
}

// MostRanges is the most an envelope holds.
const MostRanges = 500

// Envelope gathers the ranges of a series of any length as its points come in, in memory
// that does not grow: when there are twice MostRanges, neighbours are joined and each
// further one takes twice as many points. The zero value is ready for use.
type Envelope struct {
	ranges []Range
	each   int // points in a full range
}

// Add takes further points, in the order of their times.
func (e *Envelope) Add(micro []int64, value []float64) {
	if e.each == 0 {
		e.each = 1
	}
	for i, t := range micro {
		if n := len(e.ranges); n > 0 && e.ranges[n-1].Points < e.each {
			r := &e.ranges[n-1]
			r.To, r.Points = t, r.Points+1
			r.Low, r.High = math.Min(r.Low, value[i]), math.Max(r.High, value[i])
			continue
		}
		if len(e.ranges) == 2*MostRanges {
			e.halve()
		}
		e.ranges = append(e.ranges, Range{t, t, value[i], value[i], 1})
	}
}

func (e *Envelope) halve() {
	e.ranges = joined(e.ranges)
	e.each *= 2
}

func joined(all []Range) []Range {
	var out []Range
	for i := 0; i < len(all); i += 2 {
		r := all[i]
		if i+1 < len(all) {
			b := all[i+1]
			r.To, r.Points = b.To, r.Points+b.Points
			r.Low, r.High = math.Min(r.Low, b.Low), math.Max(r.High, b.High)
		}
		out = append(out, r)
	}
	return out
}

// Ranges returns at most MostRanges ranges that hold every point added.
func (e *Envelope) Ranges() []Range {
	if len(e.ranges) > MostRanges {
		return joined(e.ranges)
	}
	return append([]Range(nil), e.ranges...)
}
