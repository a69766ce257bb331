// Package stat holds the statistics of readings: mean and standard deviation,
// autocorrelation, the effective number of readings in an averaged or correlated
// series, the error of a run with its type A uncertainty, Grubbs' test for an outlier, and
// the straight line by least squares.
//
// Not here: repeatability over several runs, the pairing of
// logged channels in time, and the combination with other components (package
// uncertainty). The package follows JCGM 100:2008 clause 4.2; for correlated readings,
// which 4.2.7 leaves to other methods, it says which method it takes.
package stat

import "math"

// Mean returns the arithmetic mean of x, (1/n)·Σx, in the unit of x; NaN when x is
// empty. It is summed in two passes, so that readings with many digits in common keep
// their digits. Any finite readings whose sum is finite are valid.
//
// Source: JCGM 100:2008, 4.2.1, equation (3).
func Mean(x []float64) float64 {
	n := float64(len(x))
	first := sum(x) / n
	rest := 0.0
	for _, v := range x {
		rest += v - first
	}
	return first + rest/n
}

func sum(x []float64) float64 {
	s := 0.0
	for _, v := range x {
		s += v
	}
	return s
}

// StandardDeviation returns the experimental standard deviation of x,
// s = √( Σ(x − mean)² / (n − 1) ), in the unit of x; NaN when x holds fewer than two
// readings. It is computed from the deviations with the correction for the rounding of
// the mean, never from the difference of two large sums.
//
// Source: JCGM 100:2008, 4.2.2, equation (4).
func StandardDeviation(x []float64) float64 {
	n := float64(len(x))
	if n < 2 {
		return math.NaN()
	}
	mean := Mean(x)
	squares, drift := 0.0, 0.0
	for _, v := range x {
		d := v - mean
		squares += d * d
		drift += d
	}
	return math.Sqrt((squares - drift*drift/n) / (n - 1))
}
