package trace

import (
	"math"

	"rillmark/calc/fault"
)

// grid is a channel at equal steps, NaN where it has nothing to say.
type grid struct {
	from, step float64
	value      []float64
}

// gridOf puts the series, its averaging's delay removed, on steps from the time: the mean
// of the samples in each step where there are some, else between its neighbours.
func gridOf(s Series, from, step float64, n int) grid {
	g := grid{from: from, step: step, value: make([]float64, n)}
	count := make([]int, n)
	delay, reach := s.Averaging.Delay(), 1.6*math.Max(s.Interval(), step)
	for i, t := range s.Time {
		if k := int(math.Round((t - delay - from) / step)); k >= 0 && k < n {
			g.value[k] += s.Value[i]
			count[k]++
		}
	}
	i := 0
	for k := range g.value {
		if count[k] > 0 {
			g.value[k] /= float64(count[k])
			continue
		}
		t := from + float64(k)*step + delay
		for i < len(s.Time)-1 && s.Time[i+1] < t {
			i++
		}
		g.value[k] = math.NaN()
		if i+1 < len(s.Time) && s.Time[i] <= t && s.Time[i+1]-s.Time[i] <= reach {
			f := (t - s.Time[i]) / (s.Time[i+1] - s.Time[i])
			g.value[k] = s.Value[i] + f*(s.Value[i+1]-s.Value[i])
		}
	}
	return g
}

// likeness is the correlation of the two channels at each lag searched.
type likeness struct {
	step        float64
	first       int       // lag of the first place, in steps
	correlation []float64 // −1 where the channels share too little
}

// coarseWork bounds the products in the first search.
const coarseWork = 6e6

// likenessOf correlates the channels at every lag within the search, on a common grid as
// fine as the coarser of the two and the work allows. The sums are over places where both
// have a value.
func likenessOf(reference, meter Series, search float64) likeness {
	from := math.Min(reference.Time[0], meter.Time[0]-search)
	long := math.Max(reference.span(), meter.span())
	step := math.Max(reference.Interval(), meter.Interval())
	if least := math.Sqrt(long * 2 * search / coarseWork); step < least {
		step = least
	}
	to := math.Max(reference.Time[len(reference.Time)-1], meter.Time[len(meter.Time)-1]+search)
	n := min(int((to-from)/step)+2, 1<<21)
	r, m := gridOf(reference, from, step, n), gridOf(meter, from, step, n)
	half := int(math.Ceil(search / step))
	l := likeness{step: step, first: -half, correlation: make([]float64, 2*half+1)}
	dense, least := m.packed()
	_, other := r.packed()
	least = min(least, other) / 2
	_, varR := r.spread()
	_, varM := m.spread()
	for i := range l.correlation {
		l.correlation[i] = correlate(r.value, dense, i-half, max(least, 4), varR/10, varM/10)
	}
	return l
}

// sample is one place of a grid that has a value.
type sample struct {
	at    int
	value float64
}

func (g grid) packed() (all []sample, n int) {
	for k, v := range g.value {
		if v == v {
			all = append(all, sample{k, v})
		}
	}
	return all, len(all)
}

// spread returns mean and variance of what the grid holds.
func (g grid) spread() (mean, variance float64) {
	all, n := g.packed()
	for _, s := range all {
		mean += s.value / float64(n)
	}
	for _, s := range all {
		variance += square(s.value-mean) / float64(n)
	}
	return mean, variance
}

// correlate returns the correlation of r with m shifted by so many places, −1 where they
// share fewer than least, or where either varies by less than the variance given.
func correlate(r []float64, m []sample, shift, least int, varR, varM float64) float64 {
	var n, sr, sm, srr, smm, srm float64
	if len(m) == 0 {
		return -1
	}
	r0, m0 := 0.0, m[0].value
	for _, s := range m {
		k := s.at + shift
		if k < 0 || k >= len(r) || r[k] != r[k] {
			continue
		}
		if n == 0 {
			r0 = r[k]
		}
		x, y := r[k]-r0, s.value-m0
		n++
		sr, sm = sr+x, sm+y
		srr, smm, srm = srr+x*x, smm+y*y, srm+x*y
	}
	if n < float64(least) {
		return -1
	}
	vr, vm, c := srr/n-square(sr/n), smm/n-square(sm/n), srm/n-sr*sm/n/n
	if vr <= varR || vm <= varM {
		return -1
	}
	return c / math.Sqrt(vr*vm)
}

// The judgement of the first search, this program's rules.
const (
	leastLikeness  = 0.7 // correlation below which the channels do not show one flow
	ambiguousRatio = 2.0 // another lag fits equally when it leaves less than so many times the variance
	valleyRatio    = 1.5 // two lags are two, not one, when between them so many times more is left
)

// best returns the lag of the highest correlation, s, or why there is none.
func (l likeness) best(search float64) (lag float64, why *fault.Fault) {
	top := 0
	for i, c := range l.correlation {
		if c > l.correlation[top] {
			top = i
		}
	}
	no := func(f fault.Fault) (float64, *fault.Fault) { return l.lag(top), &f }
	if l.correlation[top] == -1 {
		return no(CodeNoOverlap.At(""))
	}
	if l.correlation[top] < leastLikeness {
		return no(CodeUnlike.At("", l.correlation[top]))
	}
	if second, found := l.second(top); found {
		return no(CodeAmbiguous.At("", l.lag(top), l.lag(second)))
	}
	if top == 0 || top == len(l.correlation)-1 {
		return no(CodeAtEdge.At("", search))
	}
	return l.lag(top), nil
}

func (l likeness) lag(i int) float64 { return float64(l.first+i) * l.step }

func (l likeness) left(i int) float64 {
	c := l.correlation[i]
	return 1 - math.Max(c, 0)*c
}

// second looks to both sides of the best lag for one that leaves nearly as little, with a
// valley between.
func (l likeness) second(top int) (at int, found bool) {
	floor := math.Max(l.left(top), 1e-4)
	at = -1
	for _, way := range []int{-1, 1} {
		valley := l.left(top)
		for i := top + way; i >= 0 && i < len(l.correlation); i += way {
			left := l.left(i)
			valley = math.Max(valley, left)
			if left < ambiguousRatio*floor && valley > valleyRatio*math.Max(left, floor) && (at < 0 || left < l.left(at)) {
				at = i
			}
		}
	}
	return at, at >= 0
}
