package num_test

import (
	"math"
	"testing"

	"rillmark/calc/num"
)

// TestReproducible holds the functions against those of package math, and a few digits
// that the power series alone could have wrong.
func TestReproducible(t *testing.T) {
	near := func(what string, x, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 4*math.Nextafter(math.Abs(want), math.Inf(1))-4*math.Abs(want) {
			t.Errorf("%s %v: %v, want %v", what, x, got, want)
		}
	}
	for i := range 4001 {
		x := float64(i-2000) / 2000
		near("sine", x*math.Pi/2, num.ReproducibleSine(x*math.Pi/2), math.Sin(x*math.Pi/2))
		near("exp", x*700, num.ReproducibleExp(x*700), math.Exp(x*700))
		near("exp", x, num.ReproducibleExp(x), math.Exp(x))
		e := math.Exp(x * 700)
		near("log", e, num.ReproducibleLog(e), math.Log(e))
		if x > 0 {
			near("log", x, num.ReproducibleLog(x), math.Log(x))
		}
	}
	for _, row := range []struct{ got, want float64 }{
		{num.ReproducibleLog(1), 0}, {num.ReproducibleLog(2), math.Ln2}, {num.ReproducibleLog(10), math.Ln10},
		{num.ReproducibleExp(0), 1}, {num.ReproducibleExp(1), math.E}, {num.ReproducibleSine(0), 0}, {num.ReproducibleSine(math.Pi / 6), 0.5},
	} {
		near("constant", row.want, row.got, row.want)
	}
}
