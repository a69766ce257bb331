package num_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"rillmark/calc/fault"
	"rillmark/calc/num"
)

func TestLinear(t *testing.T) {
	c, err := num.Linear([]float64{0, 1, 3}, []float64{10, 20, 0})
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range []struct{ x, y, slope float64 }{
		{0, 10, 10}, {0.25, 12.5, 10}, {1, 20, -10}, {2, 10, -10}, {3, 0, -10},
	} {
		y, err := c.At(r.x)
		slope, err2 := c.Slope(r.x)
		if err != nil || err2 != nil || math.Abs(y-r.y) > 1e-12 || math.Abs(slope-r.slope) > 1e-12 {
			t.Errorf("at %v: %v, %v (%v, %v), want %v, %v", r.x, y, slope, err, err2, r.y, r.slope)
		}
	}
	if lower, upper := c.Range(); lower != 0 || upper != 3 {
		t.Errorf("range %v to %v", lower, upper)
	}
}

// The rows and the values between them were computed with scipy.interpolate.PchipInterpolator
// (python3-scipy 1.10.1), which follows the same paper and end rule.
func TestShapeAgainstComputedValues(t *testing.T) {
	c, err := num.Shape([]float64{0, 1, 2.5, 4, 4.5, 7}, []float64{1, 3, 3.5, 3.5, 9, 2})
	if err != nil {
		t.Fatal(err)
	}
	for x, want := range shapeValues {
		if got, err := c.At(x); err != nil || math.Abs(got-want) > 1e-13 {
			t.Errorf("at %v: %.16g, %v, want %.16g", x, got, err, want)
		}
	}
}

func TestShapeNeverSwings(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 300 {
		n := 2 + r.IntN(8)
		xs, ys := make([]float64, n), make([]float64, n)
		for i := range xs {
			ys[i] = r.NormFloat64()
			if i > 0 {
				xs[i] = xs[i-1] + 0.01 + r.Float64()
			}
		}
		c, err := num.Shape(xs, ys)
		if err != nil {
			t.Fatal(err)
		}
		for i := 1; i < n; i++ {
			last := ys[i-1]
			for k := 0; k <= 20; k++ {
				x := xs[i-1] + (xs[i]-xs[i-1])*float64(k)/20
				y, err := c.At(math.Min(x, xs[i]))
				if err != nil || (y-last)*(ys[i]-ys[i-1]) < -1e-12 {
					t.Fatalf("rows %v %v turn at %v: %v after %v, %v", xs, ys, x, y, last, err)
				}
				last = y
			}
		}
	}
}

func TestShapeSlopeIsTheDerivative(t *testing.T) {
	c, _ := num.Shape([]float64{0, 1, 3, 4}, []float64{0, 2, 1, 5})
	for _, x := range []float64{0.3, 0.99, 1.5, 2.7, 3.2} {
		up, _ := c.At(x + 1e-6)
		down, _ := c.At(x - 1e-6)
		if got, err := c.Slope(x); err != nil || math.Abs(got-(up-down)/2e-6) > 1e-8 {
			t.Errorf("slope at %v: %v, %v, want %v", x, got, err, (up-down)/2e-6)
		}
	}
}

func TestCurveKeepsNoSlice(t *testing.T) {
	xs, ys := []float64{0, 1}, []float64{5, 6}
	for name, make := range map[string]func(xs, ys []float64) (*num.Curve, error){"linear": num.Linear, "shape": num.Shape} {
		c, _ := make(xs, ys)
		before, _ := c.At(0.5)
		slope, _ := c.Slope(0.5)
		xs[0], ys[0] = -9, -9
		after, _ := c.At(0.5)
		slopeAfter, _ := c.Slope(0.5)
		xs[0], ys[0] = 0, 5
		if before != after || slope != slopeAfter || before != 5.5 {
			t.Errorf("%s: %v became %v when the caller's slice changed", name, before, after)
		}
	}
}

func TestCurveRefuses(t *testing.T) {
	nan := math.NaN()
	for name, c := range map[string]struct {
		xs, ys []float64
		code   *fault.Code
	}{
		"lengths":    {[]float64{1, 2}, []float64{1}, num.LengthsDiffer},
		"one row":    {[]float64{1}, []float64{1}, num.TooFewPoints},
		"equal x":    {[]float64{1, 1}, []float64{1, 2}, num.NotIncreasing},
		"falling x":  {[]float64{1, 2, 1.5}, []float64{1, 2, 3}, num.NotIncreasing},
		"NaN x":      {[]float64{1, nan}, []float64{1, 2}, num.NotFinite},
		"infinite y": {[]float64{1, 2}, []float64{1, math.Inf(-1)}, num.NotFinite},
	} {
		if _, err := num.Linear(c.xs, c.ys); !fault.Has(err, c.code) {
			t.Errorf("Linear, %s: got %v", name, err)
		}
		if _, err := num.Shape(c.xs, c.ys); !fault.Has(err, c.code) {
			t.Errorf("Shape, %s: got %v", name, err)
		}
	}
	line, _ := num.Linear([]float64{1, 2}, []float64{1, 2})
	for _, x := range []float64{math.Nextafter(1, 0), math.Nextafter(2, 3), nan, math.Inf(1)} {
		if _, err := line.At(x); !fault.Has(err, num.OutsideTable) {
			t.Errorf("At(%v): %v", x, err)
		}
		if _, err := line.Slope(x); !fault.Has(err, num.OutsideTable) {
			t.Errorf("Slope(%v): %v", x, err)
		}
	}
	if _, err := new(num.Curve).At(0); !fault.Has(err, num.OutsideTable) {
		t.Errorf("the zero curve answers: %v", err)
	}
}

var shapeValues = map[float64]float64{
	0:   1.0,
	0.3: 1.7862,
	1:   3.0,
	1.7: 3.3445037037037038,
	2.5: 3.5,
	3.1: 3.5,
	4:   3.5,
	4.2: 5.436000000000003,
	4.5: 9.0,
	5.5: 8.552,
	6.9: 2.806847999999998,
	7:   2.000000000000001,
}
