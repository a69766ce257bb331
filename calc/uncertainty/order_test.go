package uncertainty

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// TestTails: both ends are in order and hold what sorting the whole would put there,
// whatever the values are like.
func TestTails(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for name, draw := range map[string]func(i int) float64{
		"normal":      func(int) float64 { return r.NormFloat64() },
		"all alike":   func(int) float64 { return -3 },
		"two values":  func(int) float64 { return float64(r.IntN(2)) },
		"rising":      func(i int) float64 { return float64(i) },
		"falling":     func(i int) float64 { return -float64(i) * 1e-300 },
		"huge spread": func(int) float64 { return math.Copysign(math.Exp(700*(2*r.Float64()-1)), r.Float64()-0.5) },
		"misleading":  func(i int) float64 { return float64(i % 7) }, // the sample's step is seven
		"zeros":       func(i int) float64 { return math.Copysign(0, float64(i%2)-0.5) },
	} {
		for _, n := range []int{1, 2, 50, 9_999, 14_000} {
			x := make([]float64, n)
			for i := range x {
				x[i] = draw(i)
			}
			want := slices.Sorted(slices.Values(x))
			for _, coverage := range []float64{0.5, 0.95, 0.9973} {
				got := slices.Clone(x)
				var s sorter
				each := min(ends(coverage, n), n)
				s.tails(got, each)
				if !slices.Equal(got[:each], want[:each]) || !slices.Equal(got[n-each:], want[n-each:]) {
					t.Errorf("%s, %d values, %g: the tails differ", name, n, coverage)
				}
				slices.Sort(got)
				if !slices.Equal(got, want) {
					t.Errorf("%s, %d values, %g: values were lost", name, n, coverage)
				}
			}
		}
	}
}
