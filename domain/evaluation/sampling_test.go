package evaluation_test

import (
	"testing"
)

// TestARunSaysItsOwnSampling: readings of loggers' files have their own interval and
// averaging, in the stead of the plan's and the reference's.
func TestARunSaysItsOwnSampling(t *testing.T) {
	planned := evaluate(t, facts(t))
	own := func(interval, averaging float64) []float64 {
		f := facts(t)
		for i := range f.Sheet.Runs {
			f.Sheet.Runs[i].Interval, f.Sheet.Runs[i].Averaging = &interval, &averaging
		}
		var effective []float64
		for _, r := range evaluate(t, f).Runs {
			effective = append(effective, r.Effective)
		}
		return effective
	}
	free, tied := own(10, 0), own(10, 20)
	for i, r := range planned.Runs {
		if free[i] < r.Effective-1e-9 {
			t.Errorf("run %d: %g readings count without averaging, %g as planned", r.Number, free[i], r.Effective)
		}
		if tied[i] > float64(r.ReadingsTaken)/2+1e-9 {
			t.Errorf("run %d: %g of %d readings count, though each shares half with the next", r.Number, tied[i], r.ReadingsTaken)
		}
	}
}
