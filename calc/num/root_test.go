package num_test

import (
	"errors"
	"math"
	"testing"

	"rillmark/calc/fault"
	"rillmark/calc/num"
)

func plain(f func(float64) float64) num.Func {
	return func(x float64) (float64, error) { return f(x), nil }
}

func TestRoot(t *testing.T) {
	for name, c := range map[string]struct {
		f            func(float64) float64
		lower, upper float64
		want         float64
	}{
		"cosine":           {math.Cos, 1, 2, math.Pi / 2},
		"root of two":      {func(x float64) float64 { return x*x - 2 }, 0, 2, math.Sqrt2},
		"at the lower end": {func(x float64) float64 { return x }, 0, 1, 0},
		"at the upper end": {func(x float64) float64 { return x - 1 }, 0, 1, 1},
		"triple root":      {func(x float64) float64 { return math.Pow(x-1, 3) }, 0, 2.5, 1},
		"steep":            {func(x float64) float64 { return math.Exp(50*x) - math.Exp(40) }, 0, 1, 0.8},
		"a step":           {func(x float64) float64 { return math.Copysign(1, x-0.3) }, 0, 1, 0.3},
		"falling":          {func(x float64) float64 { return 1/x - 0.25 }, 1, 1e6, 4},
	} {
		got, err := num.Root(plain(c.f), c.lower, c.upper, num.Search{})
		tolerance := 1e-15 * math.Max(1, c.want)
		if name == "triple root" {
			tolerance = 1e-5 // f underflows the spacing of numbers near 1
		}
		if err != nil || math.Abs(got-c.want) > tolerance {
			t.Errorf("%s: got %.17g, %v, want %.17g", name, got, err, c.want)
		}
	}
}

func TestRootKeepsTheTolerance(t *testing.T) {
	calls := 0
	f := func(x float64) (float64, error) { calls++; return math.Exp(x) - 5, nil }
	got, err := num.Root(f, 0, 10, num.Search{Tolerance: 0.01})
	if err != nil || math.Abs(got-math.Log(5)) > 0.01 {
		t.Errorf("got %v, %v", got, err)
	}
	if calls > 15 {
		t.Errorf("%d calls for two digits", calls)
	}
}

// Interpolation is what makes Brent's method fast: bisection alone takes over 50 calls.
func TestRootIsFast(t *testing.T) {
	for name, f := range map[string]func(float64) float64{
		"cosine": math.Cos,
		"cubic":  func(x float64) float64 { return x*x*x - 2*x - 5 },
		"log":    func(x float64) float64 { return math.Log(x) - 0.7 },
	} {
		calls := 0
		_, err := num.Root(func(x float64) (float64, error) { calls++; return f(x), nil }, 0.5, 3, num.Search{})
		if err != nil || calls > 12 {
			t.Errorf("%s: %d calls, %v", name, calls, err)
		}
	}
}

var errRefused = errors.New("refused")

func TestRootRefuses(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	refuse := func(at float64) num.Func {
		return func(x float64) (float64, error) {
			if x >= at {
				return 0, errRefused
			}
			return x - 0.5, nil
		}
	}
	broken := func(at float64) num.Func {
		return func(x float64) (float64, error) {
			if x >= at {
				return nan, nil
			}
			return x - 2, nil
		}
	}
	line := plain(func(x float64) float64 { return x - 0.1 })
	root := func(f num.Func, a, b float64, s num.Search) error { _, err := num.Root(f, a, b, s); return err }
	for name, c := range map[string]struct {
		err  error
		code *fault.Code
	}{
		"same sign":        {root(plain(math.Exp), 0, 1, num.Search{}), num.NotBracketed},
		"reversed":         {root(line, 1, 0, num.Search{}), num.BadInterval},
		"NaN end":          {root(line, nan, 1, num.Search{}), num.BadInterval},
		"infinite end":     {root(line, 0, inf, num.Search{}), num.BadInterval},
		"NaN at the lower": {root(broken(0), 0, 3, num.Search{}), num.NotFinite},
		"NaN at the upper": {root(broken(3), 0, 3, num.Search{}), num.NotFinite},
		"too few steps":    {root(plain(math.Cos), 0, 3, num.Search{Limit: 2}), num.NotConverged},
	} {
		if !fault.Has(c.err, c.code) {
			t.Errorf("%s: got %v, want %s", name, c.err, c.code.Name())
		}
	}
	if err := root(refuse(1), 0, 1, num.Search{}); !errors.Is(err, errRefused) {
		t.Errorf("refused at the end: got %v", err)
	}
	inside := func(x float64) (float64, error) {
		if x > 0.2 && x < 0.8 {
			return 0, errRefused
		}
		return x - 0.5, nil
	}
	if err := root(inside, 0, 1, num.Search{}); !errors.Is(err, errRefused) {
		t.Errorf("refused inside: got %v", err)
	}
}
