package stat_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"rillmark/calc/fault"
	"rillmark/calc/stat"
)

func TestErrorIsTheRatioOfMeans(t *testing.T) {
	// The flow doubles during the run and the meter shows 2 % more throughout.
	run, err := stat.ErrorOfRun([]stat.Pair{{10, 10.2}, {20, 20.4}, {15, 15.3}, {12, 12.24}}, stat.Sampling{})
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(run.Error-0.02) > 1e-15 || run.MeanReference != 14.25 || math.Abs(run.MeanIndication-14.535) > 1e-14 {
		t.Errorf("error %v of means %v and %v", run.Error, run.MeanIndication, run.MeanReference)
	}
	if run.TypeA.StandardUncertainty > 1e-16 {
		t.Errorf("a change of flow both see counts as scatter: %v", run.TypeA.StandardUncertainty)
	}
	// A case where the mean of the ratios (0.25) and the ratio of the means (0.1) differ.
	run, err = stat.ErrorOfRun([]stat.Pair{{1, 1.5}, {4, 4}}, stat.Sampling{})
	if err != nil || math.Abs(run.Error-0.1) > 1e-15 {
		t.Errorf("error %v, %v; want 0.1", run.Error, err)
	}
}

func TestTypeAOfIndependentReadings(t *testing.T) {
	// Reference 100 throughout; indications 101 ± 1 alternating: residuals ±0.01, n = 8,
	// s = 0.01·√(8/7), u = s/√8 = 0.01/√7, by hand from JCGM 100:2008, 4.2.3.
	var pairs []stat.Pair
	for _, d := range alternating(8) {
		pairs = append(pairs, stat.Pair{Reference: 100, Indication: 101 + d})
	}
	run, err := stat.ErrorOfRun(pairs, stat.Sampling{Averaging: 1, Interval: 1})
	if err != nil {
		t.Fatal(err)
	}
	if a := run.TypeA; !a.Estimable || math.Abs(a.StandardUncertainty-0.01/math.Sqrt(7)) > 1e-15 || a.DegreesOfFreedom != 7 {
		t.Errorf("type A %+v, want 0.01/√7 with 7", a)
	}
	if math.Abs(run.ResidualDeviation-0.01*math.Sqrt(8.0/7)) > 1e-15 || run.Readings != 8 || len(run.Warnings) != 0 {
		t.Errorf("residuals %v of %d, warnings %v", run.ResidualDeviation, run.Readings, run.Warnings)
	}
	// Averaged over two intervals the same readings are worth 4: Σe²/n = 1e-4 over 3.
	run, err = stat.ErrorOfRun(pairs, stat.Sampling{Averaging: 2, Interval: 1})
	if a := run.TypeA; err != nil || math.Abs(a.StandardUncertainty-0.01/math.Sqrt(3)) > 1e-15 || a.DegreesOfFreedom != 3 {
		t.Errorf("averaged: %+v, %v; want 0.01/√3 with 3", a, err)
	}
}

// A reference that scatters too: the residual is of the ratio, not of the indication.
func TestResidualsCarryBothChannels(t *testing.T) {
	run, err := stat.ErrorOfRun([]stat.Pair{{9, 10}, {11, 10}, {9, 10}, {11, 10}, {9, 10}, {11, 10}}, stat.Sampling{})
	if err != nil {
		t.Fatal(err)
	}
	if want := 0.1 / math.Sqrt(5); run.Error != 0 || math.Abs(run.TypeA.StandardUncertainty-want) > 1e-15 {
		t.Errorf("u = %v, want %v", run.TypeA.StandardUncertainty, want)
	}
}

func TestReverseFlowHasTheSameError(t *testing.T) {
	forward := []stat.Pair{{10, 10.1}, {10, 10.3}, {10, 10.1}, {10, 10.3}, {10, 10.1}}
	var backward []stat.Pair
	for _, p := range forward {
		backward = append(backward, stat.Pair{Reference: -p.Reference, Indication: -p.Indication})
	}
	a, errA := stat.ErrorOfRun(forward, stat.Sampling{})
	b, errB := stat.ErrorOfRun(backward, stat.Sampling{})
	if errA != nil || errB != nil || a.Error != b.Error ||
		a.TypeA.StandardUncertainty != b.TypeA.StandardUncertainty || !a.TypeA.Estimable {
		t.Errorf("forward %+v, backward %+v", a, b)
	}
}

func TestBelowFourEffectiveIsNotEstimable(t *testing.T) {
	flat := func(n int) (pairs []stat.Pair) {
		for _, d := range alternating(n) {
			pairs = append(pairs, stat.Pair{Reference: 50, Indication: 50 + d})
		}
		return pairs
	}
	for _, row := range []struct {
		name      string
		readings  int
		sampling  stat.Sampling
		estimable bool
	}{
		{"one", 1, stat.Sampling{}, false},
		{"three", 3, stat.Sampling{}, false},
		{"four", 4, stat.Sampling{}, true},
		{"40 of ten-second means", 40, stat.Sampling{Averaging: 10, Interval: 1}, true},
		{"39 of ten-second means", 39, stat.Sampling{Averaging: 10, Interval: 1}, false},
		{"28 at 0.1 s of 0.7 s: four on paper", 28, stat.Sampling{Averaging: 0.7, Interval: 0.1}, true},
	} {
		run, err := stat.ErrorOfRun(flat(row.readings), row.sampling)
		if err != nil {
			t.Fatal(err)
		}
		a := run.TypeA
		if a.Estimable != row.estimable {
			t.Errorf("%s: estimable %v with %v effective", row.name, a.Estimable, run.Effective.Number)
		}
		if row.estimable != (a.Reason.Code == nil) || row.estimable != (a.DegreesOfFreedom > 0) || row.estimable != (a.StandardUncertainty > 0) {
			t.Errorf("%s: %+v does not agree with itself", row.name, a)
		}
		if !row.estimable && (a.Reason.Code != stat.CodeNotEstimable || a.Reason.Value("readings") != row.readings) {
			t.Errorf("%s: reason %v", row.name, a.Reason)
		}
	}
}

func TestNoScatterIsPointedOut(t *testing.T) {
	run, err := stat.ErrorOfRun([]stat.Pair{{5, 5}, {5, 5}, {5, 5}, {5, 5}}, stat.Sampling{})
	if err != nil || !fault.Has(run.Warnings.Err(), stat.CodeNoScatter) || !run.TypeA.Estimable {
		t.Errorf("%+v, %v", run, err)
	}
	run, err = stat.ErrorOfRun([]stat.Pair{{0.1, 0.3}, {0.7, 2.1}, {1.1, 3.3}, {0.3, 0.9}}, stat.Sampling{})
	if err != nil || !fault.Has(run.Warnings.Err(), stat.CodeNoScatter) {
		t.Errorf("three times as much throughout: %+v, %v", run, err)
	}
}

func TestBadReadingsAreRefused(t *testing.T) {
	good := []stat.Pair{{1, 1}, {1, 1}}
	for _, row := range []struct {
		name     string
		pairs    []stat.Pair
		sampling stat.Sampling
		code     *fault.Code
		field    string
	}{
		{"no readings", nil, stat.Sampling{}, stat.CodeEmpty, "pairs"},
		{"NaN reference", []stat.Pair{{1, 1}, {math.NaN(), 1}}, stat.Sampling{}, stat.CodeNotFinite, "pairs[1].reference"},
		{"infinite indication", []stat.Pair{{1, math.Inf(1)}}, stat.Sampling{}, stat.CodeNotFinite, "pairs[0].indication"},
		{"sum overflows", []stat.Pair{{1e308, 1e308}, {1e308, 1e308}}, stat.Sampling{}, stat.CodeTooLarge, "pairs"},
		{"ratio overflows", []stat.Pair{{1e-300, 1e300}}, stat.Sampling{}, stat.CodeTooLarge, "pairs"},
		{"mean of the reference is zero", []stat.Pair{{1, 1}, {-1, 1}}, stat.Sampling{}, stat.CodeReferenceZero, "pairs"},
		{"negative averaging", good, stat.Sampling{Averaging: -1, Interval: 1}, stat.CodeNegativeTime, "averaging_s"},
		{"negative interval", good, stat.Sampling{Interval: -1}, stat.CodeNegativeTime, "interval_s"},
		{"infinite averaging", good, stat.Sampling{Averaging: math.Inf(1), Interval: 1}, stat.CodeNotFinite, "averaging_s"},
		{"averaging without interval", good, stat.Sampling{Averaging: 5}, stat.CodeIntervalMissing, "interval_s"},
	} {
		_, err := stat.ErrorOfRun(row.pairs, row.sampling)
		f, found := fault.Of(err)
		if !found || f.Code != row.code || f.Field != row.field {
			t.Errorf("%s: %v", row.name, err)
		}
	}
	_, err := stat.ErrorOfRun([]stat.Pair{{math.NaN(), math.NaN()}}, stat.Sampling{Averaging: -1, Interval: -1})
	var list fault.List
	if !errors.As(err, &list) || len(list) != 4 {
		t.Errorf("want all four problems at once, got %v", err)
	}
}

// The variance of the error over many runs against the mean of u_A². White scatter is
// read through a moving mean; the error of each run is simulated, seeded. The type A must
// neither promise too much nor waste the readings. With s(e)/√n_eff in place of the
// formula of ErrorOfRun the ratio at n_eff = 6 falls from 1.09 to 0.92.
func TestTypeAAgreesWithSimulatedRuns(t *testing.T) {
	for _, row := range []struct {
		name       string
		n, window  int
		least, top float64
	}{
		{"not averaged, 40 readings", 40, 1, 0.98, 1.5},
		{"mean of 10 in 60 readings", 60, 10, 0.97, 1.6},
		{"mean of 10 in 200 readings", 200, 10, 0.97, 1.5},
	} {
		random := rand.New(rand.NewPCG(7, 11))
		const runs = 4000
		variance, claimed, used := 0.0, 0.0, 0
		for range runs {
			pairs := movingMean(random, row.n, row.window)
			run, err := stat.ErrorOfRun(pairs, stat.Sampling{Averaging: float64(row.window), Interval: 1})
			if err != nil {
				t.Fatal(err)
			}
			variance += run.Error * run.Error / runs
			if run.TypeA.Estimable {
				claimed += run.TypeA.StandardUncertainty * run.TypeA.StandardUncertainty
				used++
			}
		}
		ratio := claimed / float64(used) / variance
		t.Logf("%s: u²/variance = %.3f, estimable in %d of %d", row.name, ratio, used, runs)
		if ratio < row.least || ratio > row.top {
			t.Errorf("%s: u²/variance = %v, want %v to %v", row.name, ratio, row.least, row.top)
		}
	}
}

func movingMean(random *rand.Rand, n, window int) []stat.Pair {
	white := make([]float64, n+window-1)
	for i := range white {
		white[i] = 0.01 * random.NormFloat64()
	}
	pairs := make([]stat.Pair, n)
	for i := range pairs {
		pairs[i] = stat.Pair{Reference: 1, Indication: 1 + stat.Mean(white[i:i+window])}
	}
	return pairs
}
