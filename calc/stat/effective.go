package stat

import (
	"math"

	"rillmark/calc/fault"
)

// Sampling says how the readings of a series were taken.
type Sampling struct {
	// Averaging is the time over which each reading is a moving mean, in seconds.
	// Zero: the readings are not averaged, or it is not known; then the
	// autocorrelation alone speaks.
	Averaging float64
	// Interval is the time from one reading to the next, in seconds. Zero: not known,
	// which is allowed only when Averaging is zero.
	Interval float64
}

// Validate returns every problem of the sampling, in the fields averaging_s and interval_s.
func (s Sampling) Validate() fault.List {
	var faults fault.List
	check := func(field string, seconds float64) {
		switch {
		case math.IsNaN(seconds) || math.IsInf(seconds, 0):
			faults = append(faults, CodeNotFinite.At(field))
		case seconds < 0:
			faults = append(faults, CodeNegativeTime.At(field, seconds))
		}
	}
	check("averaging_s", s.Averaging)
	check("interval_s", s.Interval)
	if s.Averaging > 0 && s.Interval == 0 {
		faults = append(faults, CodeIntervalMissing.At("interval_s", s.Averaging))
	}
	return faults
}

// Effective is the number of independent readings that a series is worth, and where the
// number comes from. The zero value is of no readings.
type Effective struct {
	Number            float64 // the smaller of the two below, between 1 and the number of readings
	ByAveraging       float64 // from the averaging time
	ByAutocorrelation float64 // from the residuals
}

// EffectiveNumber returns how many independent readings n readings are worth, given the
// residuals about their mean (or about their ratio) and how they were taken:
//
//	by averaging:        n·Δt / T           (T averaging time, Δt interval, both s; n when T ≤ Δt)
//	by autocorrelation:  n / (1 + 2·Σ (1 − k/n)·r(k)),  k = 1, 2, … while r(k) > 0
//
// each kept between 1 and n, and the smaller of the two. A moving mean over T leaves
// about T_total/T independent readings however often it is read; the autocorrelation
// sees what is correlated for other reasons (a drift, a slow wave in the flow, a filter
// nobody spoke of). The sum over lags stops at the first lag that is not positive, since
// beyond it the estimate is noise; negative correlation is never used to claim more than
// n. The estimate is rough for few readings and tends to miss correlation that is long
// compared with the series: a run is to be much longer than the averaging.
//
// Residuals may be in any unit; a series that does not vary counts as uncorrelated.
// The sampling must be valid (Sampling.Validate) and the residuals finite.
//
// Sources: the variance of a mean of correlated readings is a textbook formula; ending
// the sum at the first passage through zero is after Zięba and Ramza, Metrology and
// Measurement Systems 18 (2011), from memory. T_total/T: common practice, no source.
func EffectiveNumber(residuals []float64, s Sampling) Effective {
	n := float64(len(residuals))
	e := Effective{
		ByAveraging:       byAveraging(n, s),
		ByAutocorrelation: byAutocorrelation(residuals),
	}
	e.Number = math.Min(e.ByAveraging, e.ByAutocorrelation)
	return e
}

func byAveraging(n float64, s Sampling) float64 {
	if s.Averaging <= s.Interval {
		return n
	}
	return between(n*(s.Interval/s.Averaging), n)
}

func byAutocorrelation(residuals []float64) float64 {
	n := float64(len(residuals))
	mean := Mean(residuals)
	d := make([]float64, len(residuals))
	for i, v := range residuals {
		d[i] = v - mean
	}
	norm := lagged(d, 0, 1)
	inflation := 1.0
	for k := 1; k < len(d); k++ {
		r := lagged(d, k, norm)
		if r <= 0 {
			break
		}
		inflation += 2 * (1 - float64(k)/n) * r
	}
	return between(n/inflation, n)
}

// between keeps an effective number between 1 and n; of no readings it is 0.
func between(number, n float64) float64 {
	return math.Min(math.Max(number, 1), n)
}
