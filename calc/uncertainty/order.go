package uncertainty

import "math"

// sorter sorts many numbers without comparing them: by their bits, eleven at a time. It
// keeps its room from one time to the next.
type sorter struct {
	keys, other []uint64
	sample      []float64
}

const (
	digitBits = 11
	digits    = 1 << digitBits
	passes    = 6 // of 11 bits, to 64
)

// sort puts finite numbers in order, in place.
func (s *sorter) sort(x []float64) {
	if cap(s.keys) < len(x) {
		s.keys, s.other = make([]uint64, len(x)), make([]uint64, len(x))
	}
	from, to := s.keys[:len(x)], s.other[:len(x)]
	var counts [passes][digits]int
	for i, v := range x {
		key := rising(v)
		from[i] = key
		for p := range passes {
			counts[p][key>>(p*digitBits)&(digits-1)]++
		}
	}
	for p := range passes {
		place := &counts[p]
		at := 0
		for d, n := range place {
			place[d] = at
			at += n
		}
		shift := p * digitBits
		for _, key := range from {
			d := key >> shift & (digits - 1)
			to[place[d]] = key
			place[d]++
		}
		from, to = to, from
	}
	for i, key := range from {
		x[i] = falling(key)
	}
}

// rising maps numbers to keys that rise with them: negative ones have their bits turned.
func rising(v float64) uint64 {
	bits := math.Float64bits(v)
	return bits ^ (uint64(int64(bits)>>63) | 1<<63)
}

// falling is the inverse of rising.
func falling(key uint64) float64 {
	return math.Float64frombits(key ^ (^uint64(int64(key)>>63) | 1<<63))
}

// tails puts the smallest and the largest values of x in order, so many at each end; those
// between stay as they are. The ends are all that coverage intervals look at.
func (s *sorter) tails(x []float64, each int) {
	if 4*each > len(x) {
		s.sort(x)
		return
	}
	sample := s.sampled(x)
	// Room for the scatter of the sample's own quantiles: five standard deviations.
	share := float64(each) / float64(len(x))
	n := float64(len(sample))
	rank := int(share*n + 5*math.Sqrt(share*n) + 1)
	low, high := sample[min(rank, len(sample)-1)], sample[max(len(sample)-1-rank, 0)]
	first := partition(x, func(v float64) bool { return v <= low })
	last := first + partition(x[first:], func(v float64) bool { return v < high })
	if first < each || len(x)-last < each { // a sample that misleads
		s.sort(x)
		return
	}
	s.sort(x[:first])
	s.sort(x[last:])
}

// sampled returns values from all over x, in order.
func (s *sorter) sampled(x []float64) []float64 {
	const most = 2000
	step := max(len(x)/most, 1)
	s.sample = s.sample[:0]
	for i := 0; i < len(x); i += step {
		s.sample = append(s.sample, x[i])
	}
	s.sort(s.sample)
	return s.sample
}

// partition moves the values of which it is true to the front and returns how many.
func partition(x []float64, front func(float64) bool) int {
	n := 0
	for i, v := range x {
		if front(v) {
			x[i], x[n] = x[n], v
			n++
		}
	}
	return n
}

// Interval is a coverage interval, in the unit of the result.
type Interval struct{ Lower, Upper float64 }

// span returns how many of n sorted values a coverage interval spans: q = p·n rounded
// to a whole number.
//
// Source: JCGM 101:2008, 7.7.2.
func span(coverage float64, n int) int {
	return min(int(math.Floor(coverage*float64(n)+0.5)), n-1)
}

// ends is how many values at each end a coverage interval may begin or end at.
func ends(coverage float64, n int) int { return n - span(coverage, n) + 1 }

// symmetric returns the probabilistically symmetric coverage interval of values whose tails
// are in order.
//
// Source: JCGM 101:2008, 7.7.2.
func symmetric(sorted []float64, coverage float64) Interval {
	n, q := len(sorted), span(coverage, len(sorted))
	r := (n - q + 1) / 2 // (n − q)/2, or its whole part with a half added
	return Interval{sorted[r-1], sorted[r+q-1]}
}

// shortest returns the shortest coverage interval of values whose tails are in order.
//
// Source: JCGM 101:2008, 7.7.3.
func shortest(sorted []float64, coverage float64) Interval {
	q := span(coverage, len(sorted))
	best := Interval{sorted[0], sorted[q]}
	for r := 1; r+q < len(sorted); r++ {
		if sorted[r+q]-sorted[r] < best.Upper-best.Lower {
			best = Interval{sorted[r], sorted[r+q]}
		}
	}
	return best
}
