package trace

import "math"

// noise is the scatter of a channel about the flow.
type noise struct {
	deviation float64 // of one sample, unit of the value
	inflation float64 // how many times more variance a mean has than one of independent samples
}

// noiseOf estimates the scatter from differences of samples so far apart that the
// channel's averaging does not tie them, taking the lower quartile, which changes of the
// flow do not reach. The inflation is that of a first-order process with the correlation
// between neighbours, (1 + ρ)/(1 − ρ); averaging alone does not inflate, because the
// noise may have come in behind it.
func noiseOf(s Series) noise {
	before, after := s.Averaging.reach()
	if s.Averaging.Kind == Exponential {
		before = 2 * s.Averaging.Seconds
	}
	apart := int(math.Ceil((before + after) / s.Interval()))
	apart = min(max(apart, 1), len(s.Value)/4)
	near, far := difference(s.Value, 1), difference(s.Value, apart)
	floor := s.Resolution / math.Sqrt(12)
	n := noise{deviation: math.Max(math.Max(near, far), floor), inflation: 1}
	if n.deviation == 0 {
		n.deviation = 1e-9 * math.Abs(quantile(append([]float64(nil), s.Value...), 0.5))
	}
	if far > near {
		rho := 1 - square(near/far)
		n.inflation = (1 + rho) / (1 - rho)
	}
	return n
}

// quartile is the lower quartile of |x| for x of a standard normal distribution.
const quartile = 0.31864

func difference(v []float64, apart int) float64 {
	const most = 20000 // samples are enough
	stride := max(1, len(v)/most)
	d := make([]float64, 0, len(v)/stride+1)
	for i := 0; i+apart < len(v); i += stride {
		d = append(d, math.Abs(v[i+apart]-v[i]))
	}
	return quantile(d, 0.25) / (quartile * math.Sqrt2)
}
