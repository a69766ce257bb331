package trace

import "math"

// plateau is a stretch of samples [first, end) about one level.
type plateau struct {
	first, end int
	mean       float64
	deviation  float64 // of the samples about the mean
}

// The criterion of a steady level, this program's rule: two neighbouring stretches are
// levels of their own where their means differ by more than splitDeviations times the
// noise, and by more than √splitSquare times the standard uncertainty of the difference.
const (
	splitDeviations = 1.5
	splitSquare     = 30.0
	leastInPlateau  = 3
)

// sums gives means and sums of squares of any range of samples at once.
type sums struct{ one, two []float64 }

func newSums(v []float64) sums {
	s := sums{make([]float64, len(v)+1), make([]float64, len(v)+1)}
	shift := v[0] // keeps digits where the level is large against the scatter
	for i, x := range v {
		s.one[i+1] = s.one[i] + (x - shift)
		s.two[i+1] = s.two[i] + square(x-shift)
	}
	return s
}

// split returns where the samples [a, b) part best into two levels, and by how much the
// sum of squares falls.
func (s sums) split(a, b int) (at int, gain float64) {
	n, whole := float64(b-a), s.one[b]-s.one[a]
	at = -1
	for i := a + leastInPlateau; i <= b-leastInPlateau; i++ {
		left, k := s.one[i]-s.one[a], float64(i-a)
		d := left - whole*k/n
		if g := d * d * n / (k * (n - k)); g > gain {
			at, gain = i, g
		}
	}
	return at, gain
}

// plateaus parts the series into its levels by repeated halving at the place that lowers
// the sum of squares most, joins neighbours that are no levels of their own, and leaves
// out stretches that slope.
func plateaus(s Series, n noise) []plateau {
	sum := newSums(s.Value)
	least := splitSquare * square(n.deviation) * n.inflation
	bounds := []int{0}
	var halve func(a, b, deep int)
	halve = func(a, b, deep int) {
		if at, gain := sum.split(a, b); at > 0 && gain > least && deep < 60 {
			halve(a, at, deep+1)
			halve(at, b, deep+1)
			return
		}
		bounds = append(bounds, b)
	}
	halve(0, len(s.Value), 0)
	var found []plateau
	for i := 1; i < len(bounds); i++ {
		found = append(found, levelOf(s, bounds[i-1], bounds[i]))
	}
	return level(s, join(s, found, n), n)
}

func levelOf(s Series, first, end int) plateau {
	p := plateau{first: first, end: end}
	for _, v := range s.Value[first:end] {
		p.mean += v / float64(end-first)
	}
	for _, v := range s.Value[first:end] {
		p.deviation += square(v - p.mean)
	}
	p.deviation = math.Sqrt(p.deviation / math.Max(1, float64(end-first-1)))
	return p
}

// join merges neighbours whose levels differ by too little.
func join(s Series, all []plateau, n noise) []plateau {
	out := all[:1]
	for _, p := range all[1:] {
		last := &out[len(out)-1]
		if math.Abs(p.mean-last.mean) < splitDeviations*n.deviation {
			*last = levelOf(s, last.first, p.end)
			continue
		}
		out = append(out, p)
	}
	return out
}

// level keeps what does not slope by more than the noise, over at least its length.
func level(s Series, all []plateau, n noise) (out []plateau) {
	for _, p := range all {
		change, u := slope(s, p)
		if p.end-p.first >= leastInPlateau &&
			math.Abs(change) < math.Max(splitDeviations*n.deviation, 4*u*math.Sqrt(n.inflation)) {
			out = append(out, p)
		}
	}
	return out
}

// slope returns by how much a straight line through the samples changes over the
// plateau, and the standard uncertainty of that from the scatter.
func slope(s Series, p plateau) (change, u float64) {
	n := float64(p.end - p.first)
	middle, tt, tv := 0.0, 0.0, 0.0
	for _, t := range s.Time[p.first:p.end] {
		middle += t / n
	}
	for i := p.first; i < p.end; i++ {
		tt += square(s.Time[i] - middle)
		tv += (s.Time[i] - middle) * (s.Value[i] - p.mean)
	}
	long := s.Time[p.end-1] - s.Time[p.first]
	return tv / tt * long, p.deviation / math.Sqrt(tt) * long
}
