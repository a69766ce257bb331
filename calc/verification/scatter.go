package verification

import (
	"math"

	"rillmark/calc/stat"
	"rillmark/calc/uncertainty"
)

// RunScatter is what one run tells of its own type A uncertainty.
type RunScatter struct {
	Error     float64 // of the run, relative
	Estimable bool
	Standard  float64 // standard uncertainty of the error; with Estimable
	Freedom   float64 // with Estimable
}

// Pooled is the method's type A uncertainty of a run that cannot tell its own.
type Pooled struct {
	Standard float64
	Freedom  float64
}

// Basis says what the type A of a flow point rests on. The zero value is nothing.
type Basis string

// The bases.
const (
	BetweenRuns Basis = "between-runs"
	WithinRuns  Basis = "within-runs"
	PooledRuns  Basis = "pooled" // within runs, one of them with the method's pooled value
	Resolution  Basis = "resolution"
)

// Scatter is the type A evaluation of a flow point.
type Scatter struct {
	Basis    Basis
	Standard float64 // of the mean error
	Freedom  float64
	Between  float64 // s/√m of the runs' errors; 0 where there are too few runs
	Within   float64
}

// ScatterOf returns the type A standard uncertainty of the mean error of a flow point:
//
//	between = s(E_i)/√m, ν = m − 1          from m ≥ betweenFrom runs
//	within  = √(Σ u_i²)/m, ν by Welch–Satterthwaite over the runs
//	u = the largest of between, within and resolution
//
// The larger of the first two, never both: each run's own scatter shows in the scatter of
// the runs already. Runs that are not estimable take the method's pooled value, which is
// one estimate for all of them and so brings its degrees of freedom once. resolution is
// the part of both resolutions in the mean error; readings that do not change hide their
// scatter in it, so the two compete. All relative.
//
// Errors: NoRuns.
//
// Sources: JCGM 100:2008, 4.2.3, 4.2.4 (pooling), G.4.1; that the larger counts and that
// resolution competes is this program's rule.
func ScatterOf(runs []RunScatter, pooled Pooled, resolution float64, betweenFrom int) (Scatter, error) {
	if len(runs) == 0 {
		return Scatter{}, NoRuns.At("runs")
	}
	s := within(runs, pooled)
	if m := float64(len(runs)); len(runs) >= betweenFrom && len(runs) > 1 {
		errors := make([]float64, len(runs))
		for i, r := range runs {
			errors[i] = r.Error
		}
		s.Between = stat.StandardDeviation(errors) / math.Sqrt(m)
		if s.Between > s.Within {
			s.Basis, s.Standard, s.Freedom = BetweenRuns, s.Between, m-1
		}
	}
	if resolution > s.Standard {
		s.Basis, s.Standard, s.Freedom = Resolution, resolution, uncertainty.Infinite
	}
	return s, nil
}

func within(runs []RunScatter, pooled Pooled) Scatter {
	s := Scatter{Basis: WithinRuns}
	own, borrowed, inverse := 0.0, 0.0, 0.0
	for _, r := range runs {
		if !r.Estimable {
			s.Basis = PooledRuns
			borrowed += pooled.Standard * pooled.Standard
			continue
		}
		variance := r.Standard * r.Standard
		own += variance
		inverse += variance * variance / r.Freedom
	}
	if borrowed > 0 {
		inverse += borrowed * borrowed / pooled.Freedom
	}
	total := own + borrowed
	s.Within = math.Sqrt(total) / float64(len(runs))
	s.Standard, s.Freedom = s.Within, uncertainty.Infinite
	if inverse > 0 {
		s.Freedom = math.Max(total*total/inverse, 1)
	}
	return s
}

// ResolutionOf returns the standard uncertainty that a resolution brings to the mean of n
// effective readings: that of one reading where the readings do not change, since the mean
// then knows no more than one of them; that over √n where they do. one is the standard
// uncertainty of one reading, relative or not; the result is in its unit.
//
// Source: JCGM 100:2008, F.2.2.1 for one reading; the rest is this program's rule.
func ResolutionOf(one, effective float64, change bool) float64 {
	if !change || effective < 1 {
		return one
	}
	return one / math.Sqrt(effective)
}
