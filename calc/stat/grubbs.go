package stat

import (
	"math"

	"rillmark/calc/num"
)

// GrubbsMinimum is the smallest number of independent readings for which Grubbs' test is
// made; below it a repeatability limit speaks. This program's rule.
const GrubbsMinimum = 6

// GrubbsSignificance is the usual significance of the test, two-sided 1 %.
const GrubbsSignificance = 0.01

// Outlier is the outcome of Grubbs' test for one outlier.
type Outlier struct {
	Index       int     // of the reading farthest from the mean, the first of several
	Statistic   float64 // G, dimensionless; 0 where the readings do not vary
	Critical    float64 // the G that is exceeded by chance with the stated significance
	Significant bool    // G above the critical value
}

// GrubbsCritical returns the critical value of Grubbs' two-sided test for one outlier
// among n independent normal readings,
//
//	G_c = (n − 1)/√n · √( t²/(n − 2 + t²) ),  t = t_(1 − α/2n)(n − 2),
//
// dimensionless, for n ≥ 3 and a significance 0 < α < 1 (0.01 is 1 %).
//
// Errors: CodeTooFew; CodeSignificance.
//
// Source: F. E. Grubbs, Technometrics 11 (1969), from memory; ISO 5725-2 tabulates it.
func GrubbsCritical(n int, significance float64) (float64, error) {
	if n < 3 {
		return 0, CodeTooFew.At("readings", n, 3)
	}
	if !(significance > 0 && significance < 1) {
		return 0, CodeSignificance.At("significance", significance)
	}
	count := float64(n)
	t, err := num.StudentQuantile(significance/(2*count), count-2)
	if err != nil {
		return 0, err
	}
	return (count - 1) / math.Sqrt(count) * math.Sqrt(t*t/(count-2+t*t)), nil
}

// Grubbs tests whether the reading farthest from the mean is an outlier:
//
//	G = max |x − mean| / s,  an outlier where G > G_c(n, α)
//
// two-sided, with the significance α (GrubbsSignificance is usual). The readings, at least
// GrubbsMinimum of them and in any unit, are to be independent: a correlated series is
// thinned first. The test points; it never removes: setting a reading aside needs a
// person and a reason.
//
// Errors: CodeTooFew; CodeNotFinite; CodeSignificance.
//
// Source: as GrubbsCritical.
func Grubbs(x []float64, significance float64) (Outlier, error) {
	if len(x) < GrubbsMinimum {
		return Outlier{}, CodeTooFew.At("readings", len(x), GrubbsMinimum)
	}
	critical, err := GrubbsCritical(len(x), significance)
	if err != nil {
		return Outlier{}, err
	}
	mean, s := Mean(x), StandardDeviation(x)
	if !finite(mean) || !finite(s) {
		return Outlier{}, CodeNotFinite.At("readings")
	}
	o := Outlier{Critical: critical}
	farthest := -1.0
	for i, v := range x {
		if d := math.Abs(v - mean); d > farthest {
			farthest, o.Index = d, i
		}
	}
	if s > 0 {
		o.Statistic = farthest / s
	}
	o.Significant = o.Statistic > critical
	return o, nil
}
