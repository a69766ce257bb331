package stat_test

import (
	"math"
	"testing"

	"rillmark/calc/stat"
)

func alternating(n int) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = float64(1 - 2*(i%2))
	}
	return x
}

func TestEffectiveNumberByAveraging(t *testing.T) {
	for _, row := range []struct {
		name                string
		n                   int
		averaging, interval float64
		want                float64
	}{
		{"not averaged", 60, 0, 1, 60},
		{"interval unknown", 60, 0, 0, 60},
		{"averaging shorter than the interval", 60, 0.5, 1, 60},
		{"averaging equals the interval", 60, 1, 1, 60},
		{"a minute of ten-second means", 60, 10, 1, 6},
		{"read twice as often: the same worth", 120, 10, 0.5, 6},
		{"averaging longer than the run", 10, 60, 1, 1},
		{"one reading", 1, 10, 1, 1},
	} {
		got := stat.EffectiveNumber(alternating(row.n), stat.Sampling{Averaging: row.averaging, Interval: row.interval})
		if math.Abs(got.ByAveraging-row.want) > 1e-12 || math.Abs(got.Number-row.want) > 1e-12 {
			t.Errorf("%s: %+v, want %v", row.name, got, row.want)
		}
	}
	if got := stat.EffectiveNumber(nil, stat.Sampling{}); got.Number != 0 {
		t.Errorf("of no readings: %+v", got)
	}
}

func TestEffectiveNumberByAutocorrelation(t *testing.T) {
	for _, row := range []struct {
		name      string
		residuals []float64
		want      float64
	}{
		{"alternating claims no more than n", alternating(8), 8},
		{"constant counts as uncorrelated", []float64{2, 2, 2, 2, 2}, 5},
		// deviations −1 −1 1 1: r(1) = 1/4, r(2) < 0; 4/(1 + 2·(3/4)·(1/4)) = 32/11
		{"one step", []float64{-1, -1, 1, 1}, 32.0 / 11},
		// the same about another mean
		{"one step, shifted", []float64{4, 4, 6, 6}, 32.0 / 11},
		// deviations −2 −1 0 1 2: r(1) = 4/10, r(2) = −1/10; 5/(1 + 2·(4/5)·(4/10)) = 125/41
		{"a drift", []float64{-2, -1, 0, 1, 2}, 125.0 / 41},
	} {
		got := stat.EffectiveNumber(row.residuals, stat.Sampling{})
		if math.Abs(got.ByAutocorrelation-row.want) > 1e-12 || math.Abs(got.Number-row.want) > 1e-12 {
			t.Errorf("%s: %+v, want %v", row.name, got, row.want)
		}
	}
	long := make([]float64, 200)
	for i := range long {
		long[i] = float64(i / 100)
	}
	got := stat.EffectiveNumber(long, stat.Sampling{})
	if got.Number < 1 || got.Number >= stat.EffectiveMinimum {
		t.Errorf("one step in 200 readings is worth %v, want fewer than four", got.Number)
	}
}

func TestTheSmallerOfTheTwoCounts(t *testing.T) {
	residuals := []float64{-2, -1, 0, 1, 2}
	correlated := stat.EffectiveNumber(residuals, stat.Sampling{Averaging: 1, Interval: 1})
	averaged := stat.EffectiveNumber(residuals, stat.Sampling{Averaging: 2.5, Interval: 1})
	if math.Abs(correlated.Number-125.0/41) > 1e-12 || averaged.Number != 2 {
		t.Errorf("got %v and %v, want 125/41 and 2", correlated.Number, averaged.Number)
	}
}
