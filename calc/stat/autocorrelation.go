package stat

// Autocorrelation returns the sample autocorrelation coefficient of x at a lag of so
// many readings,
//
//	r(lag) = Σ (x[i] − mean)·(x[i+lag] − mean) / Σ (x[i] − mean)²,
//
// a number between −1 and 1. It is 0 when x does not vary, or when the lag is not
// between 1 and n − 1: readings that tell nothing about correlation claim none.
//
// Source: the definition of the NIST Statistical Reference Datasets, univariate summary
// statistics (certified "lag 1" values).
func Autocorrelation(x []float64, lag int) float64 {
	if lag < 1 || lag >= len(x) {
		return 0
	}
	mean := Mean(x)
	deviations := make([]float64, len(x))
	for i, v := range x {
		deviations[i] = v - mean
	}
	return lagged(deviations, lag, lagged(deviations, 0, 1))
}

// lagged returns Σ d[i]·d[i+lag] / norm for deviations of mean zero; 0 when norm is 0.
func lagged(d []float64, lag int, norm float64) float64 {
	if norm == 0 {
		return 0
	}
	s := 0.0
	for i := 0; i+lag < len(d); i++ {
		s += d[i] * d[i+lag]
	}
	return s / norm
}
