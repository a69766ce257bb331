package trace

import "math"

// The prior of the drift and the share of outliers; this program's rules.
const (
	driftDeviation = 50e-6
	outliers       = 1.0 / 30
	coverage       = 0.9545
	lagPlaces      = 401
	driftPlaces    = 15
)

// posterior is the distribution of lag and drift that the changes leave.
type posterior struct {
	changes []change
}

// solve integrates it on a grid of lags and drifts.
func (p posterior) solve(reference Series) Alignment {
	lags := make([]float64, len(p.changes))
	wide := make([]float64, len(p.changes))
	for i, c := range p.changes {
		lags[i] = c.lag()
		wide[i] = c.deviation()
	}
	centre := quantile(lags, 0.5)
	typical := quantile(wide, 0.5)
	a := Alignment{Middle: (reference.Time[0] + reference.Time[len(reference.Time)-1]) / 2, Changes: len(p.changes)}
	spread := 0.0
	for _, l := range lags {
		spread = math.Max(spread, math.Abs(l-centre))
	}
	drifts := []float64{0}
	if reference.span()*driftDeviation > 0.2*typical {
		drifts = drifts[:0]
		for i := range driftPlaces {
			drifts = append(drifts, driftDeviation*(float64(i)/(driftPlaces-1)*5-2.5))
		}
	}
	half := 4*typical + math.Min(spread, 6*typical) + reference.span()*driftDeviation
	for range 3 { // finer about what was found, until the grid tells its width
		weights, sum := p.weigh(centre, half, drifts, &a)
		a.Uncertainty = covering(weights, sum, centre, half, a.Lag)
		if a.Uncertainty > half/20 {
			break
		}
		centre, half = a.Lag, 4*a.Uncertainty+half/100
	}
	a.Found = true
	if off := p.disagreeing(a); 2*off > len(p.changes) {
		a.Found, a.Reason = false, CodeScattered.At("", spread)
	}
	return a
}

// weigh returns the weight of each place of the lag's grid, and sets the mean lag and drift.
func (p posterior) weigh(centre, half float64, drifts []float64, a *Alignment) (weights []float64, sum float64) {
	weights = make([]float64, lagPlaces)
	tables := make([]table, len(p.changes))
	for i, c := range p.changes {
		tables[i] = c.table()
	}
	logs := make([][]float64, len(drifts))
	top := math.Inf(-1)
	for d, drift := range drifts {
		logs[d] = make([]float64, lagPlaces)
		for i := range logs[d] {
			l := -square(drift/driftDeviation) / 2
			for k := range tables {
				t := &tables[k]
				l += t.at(t.lag - place(centre, half, i) - drift*(t.time-a.Middle))
			}
			logs[d][i] = l
			top = math.Max(top, l)
		}
	}
	mean, meanDrift := 0.0, 0.0
	for d, drift := range drifts {
		for i, l := range logs[d] {
			w := math.Exp(l - top)
			weights[i] += w
			sum += w
			mean += w * place(centre, half, i)
			meanDrift += w * drift
		}
	}
	a.Lag, a.Drift = mean/sum, meanDrift/sum
	return weights, sum
}

func place(centre, half float64, i int) float64 {
	return centre + half*(2*float64(i)/(lagPlaces-1)-1)
}

// covering returns half the width of the interval about the mean that holds the coverage.
func covering(weights []float64, sum, centre, half, mean float64) float64 {
	cell := 2 * half / (lagPlaces - 1)
	low, high := 0.0, 2*half
	for range 50 {
		u, held := (low+high)/2, 0.0
		for i, w := range weights {
			// the share of the place's cell that lies within
			x := math.Abs(place(centre, half, i) - mean)
			held += w * math.Min(math.Max((u-x)/cell+0.5, 0), 1)
		}
		if held < coverage*sum {
			low = u
		} else {
			high = u
		}
	}
	return high
}

// disagreeing counts the changes whose lag lies far outside its own distribution.
func (p posterior) disagreeing(a Alignment) (n int) {
	for _, c := range p.changes {
		if math.Abs(c.lag()-a.At(c.reference.at)) > 4*c.deviation()+0.5 {
			n++
		}
	}
	return n
}

// deviation is the standard uncertainty of the change's lag, s.
func (c change) deviation() float64 {
	return math.Sqrt(square(c.reference.deviation) + square(c.meter.deviation) +
		square(c.reference.halfWidth)/3 + square(c.meter.halfWidth)/3)
}

// outlier is the density of a lag that the change does not really tell.
func (c change) outlier() float64 { return 1 / (40 * c.deviation()) }

// tablePlaces for the logarithm of a change's density.
const tablePlaces = 256

// table holds the logarithm of a change's density, outliers allowed for, at equal steps
// of the deviation's size: the search asks for it very often.
type table struct {
	lag, time, step float64
	log             [tablePlaces]float64
	beyond          float64
}

func (c change) table() table {
	reach := c.reference.halfWidth + c.meter.halfWidth + 7*math.Hypot(c.reference.deviation, c.meter.deviation) + 1e-9
	t := table{lag: c.lag(), time: c.reference.at, step: reach / (tablePlaces - 1), beyond: math.Log(outliers * c.outlier())}
	for i := range t.log {
		t.log[i] = math.Log((1-outliers)*c.density(float64(i)*t.step) + outliers*c.outlier())
	}
	return t
}

func (t *table) at(x float64) float64 {
	x = math.Abs(x) / t.step
	if i := int(x); x < tablePlaces-1 {
		return t.log[i] + (x-float64(i))*(t.log[i+1]-t.log[i])
	}
	return t.beyond
}

// density of a deviation x that is the sum of two uniform and one normal deviations:
// (G(x+a+b) − G(x+a−b) − G(x−a+b) + G(x−a−b))/(4ab), with G(x) = x·Φ(x/s) + s·φ(x/s).
func (c change) density(x float64) float64 {
	s := math.Hypot(c.reference.deviation, c.meter.deviation)
	a, b := c.reference.halfWidth, c.meter.halfWidth
	s = math.Max(s, 1e-3*(a+b)+1e-9)
	a, b = math.Max(a, 0.02*s), math.Max(b, 0.02*s)
	g := func(x float64) float64 {
		z := x / s
		return x*math.Erfc(-z/math.Sqrt2)/2 + s*math.Exp(-z*z/2)/math.Sqrt(2*math.Pi)
	}
	x = math.Abs(x) // the tails cancel on the positive side: take the negative one
	d := g(-x+a+b) - g(-x+a-b) - g(-x-a+b) + g(-x-a-b)
	return math.Max(d/(4*a*b), 0)
}
