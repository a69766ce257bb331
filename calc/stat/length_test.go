package stat_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"rillmark/calc/fault"
	"rillmark/calc/stat"
)

func TestLongerByHand(t *testing.T) {
	for _, c := range []struct {
		u, effective, wanted, factor, needed float64
	}{
		{0.002, 11, 0.001, 4, 44},    // half the uncertainty: four times as long
		{0.001, 11, 0.001, 1, 11},    // it is there already
		{0.001, 40, 0.002, 0.25, 10}, // a shorter run would do
		{0.001, 41, 1, 4.0 / 41, 4},  // but never fewer than tell a type A
		{0, 10, 0.001, 0.4, 4},
	} {
		factor, needed, err := stat.Longer(c.u, c.effective, c.wanted)
		if err != nil || math.Abs(factor-c.factor) > 1e-12 || math.Abs(needed-c.needed) > 1e-12 {
			t.Errorf("%+v: %g, %g, %v", c, factor, needed, err)
		}
	}
}

// Runs taken as long as was said have the variance that was wanted, in the mean over 400
// pairs of runs of normal readings.
func TestLongerAgainstSimulation(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	run := func(n int) stat.Run {
		pairs := make([]stat.Pair, n)
		for i := range pairs {
			pairs[i] = stat.Pair{Reference: 100, Indication: 101 + r.NormFloat64()}
		}
		got, err := stat.ErrorOfRun(pairs, stat.Sampling{})
		if err != nil {
			t.Fatal(err)
		}
		return got
	}
	wanted, got := 0.0, 0.0
	for range 400 {
		first := run(20)
		// The number of the whole run: by its residuals it comes out smaller by chance.
		u := first.ResidualDeviation / math.Sqrt(20)
		factor, _, err := stat.Longer(u, 20, u/2)
		if err != nil {
			t.Fatal(err)
		}
		n := int(math.Round(20 * factor))
		second := run(n)
		wanted += u * u / 4
		got += second.ResidualDeviation * second.ResidualDeviation / float64(n)
	}
	if ratio := got / wanted; math.Abs(ratio-1) > 0.03 {
		t.Errorf("the longer runs have %g of the wanted variance", ratio)
	}
}

func TestLongerRefuses(t *testing.T) {
	_, _, err := stat.Longer(math.NaN(), 1, 0)
	if !fault.Has(err, stat.CodeWanted) || !fault.Has(err, stat.CodeLengthUnknown) || len(fault.AllOf(err)) != 3 {
		t.Errorf("%v", err)
	}
	if _, _, err := stat.Longer(0.1, math.Nextafter(1, 2), 0.1); err != nil {
		t.Error(err)
	}
}
