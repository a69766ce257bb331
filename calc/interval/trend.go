package interval

import (
	"math"

	"rillmark/calc/uncertainty"
	"rillmark/calc/verification"
)

// Trend is the drift of the intervals that count, together. Relative, a year.
type Trend struct {
	Intervals   int
	Rate        float64
	Standard    float64
	K           float64
	Expanded    float64 // K·Standard
	Basis       Basis
	Significant bool // |rate| > Expanded
}

// Basis says what the uncertainty of a trend rests on.
type Basis string

// The bases.
const (
	FromScatter     Basis = "scatter"     // the intervals differ by more than the measuring explains
	FromMeasurement Basis = "measurement" // the uncertainty of the errors at both ends
)

// TrendOf returns the mean rate of drift over the intervals that count,
//
//	rate      = Σ drift / Σ years
//	u_scatter = √( Σ (drift − rate·years)²/years / (m − 1) / Σ years )
//	u_measure = u(Σ drift) / Σ years       with all that the errors share
//
// a random walk with a drift, of which the scatter grows with the square root of time. The
// larger of the two counts, never both: the scatter holds what of the measuring differs
// from visit to visit. k is that of 95.45 % for m − 1 degrees of freedom where the scatter
// counts, 2 where the measuring does.
//
// Errors: TooFew below LeastIntervals.
//
// Source: a Brownian motion with drift; JCGM 100:2008, 5.2.2 and Table G.2.
func TrendOf(intervals []Interval) (Trend, error) {
	var counted []Interval
	years := 0.0
	for _, one := range intervals {
		if one.Counts {
			counted = append(counted, one)
			years += one.Years
		}
	}
	t := Trend{Intervals: len(counted), Basis: FromMeasurement, K: bandFactor}
	if len(counted) < LeastIntervals {
		return t, TooFew.At("verifications", len(counted), LeastIntervals)
	}
	weights, drifts := make([]float64, len(counted)), make([]verification.Estimate, len(counted))
	for i, one := range counted {
		weights[i], drifts[i] = 1/years, one.estimate
	}
	rate := verification.Linear(weights, drifts)
	u, err := rate.Uncertainty(uncertainty.CoverageDefault)
	if err != nil {
		return t, err
	}
	t.Rate, t.Standard = rate.Value, u.Standard
	squares := 0.0
	for _, one := range counted {
		off := one.Drift - t.Rate*one.Years
		squares += off * off / one.Years
	}
	freedom := float64(len(counted) - 1)
	if scatter := math.Sqrt(squares / freedom / years); scatter > t.Standard {
		t.Standard, t.Basis = scatter, FromScatter
		if t.K, err = uncertainty.CoverageFactor(uncertainty.CoverageDefault, freedom); err != nil {
			return t, err
		}
	}
	t.Expanded = t.K * t.Standard
	t.Significant = verification.Significant(t.Rate, t.Expanded)
	return t, nil
}
