package num

import (
	"gonum.org/v1/gonum/interp"

	"rillmark/calc/fault"
)

// Curve is a table of y against strictly increasing x, with a way to read between the
// rows. Make it with Linear or Shape; the zero value refuses every value.
type Curve struct {
	lower, upper float64
	at           func(x float64) float64
	slope        func(x float64) float64
}

// Linear returns the curve that joins the rows by straight lines. xs must increase
// strictly; ys may rise and fall. Both keep the caller's units; neither slice is kept.
//
// Errors: LengthsDiffer, TooFewPoints (two are needed), NotFinite, NotIncreasing.
func Linear(xs, ys []float64) (*Curve, error) {
	if err := rows(xs, ys); err != nil {
		return nil, err
	}
	var line interp.PiecewiseLinear
	// Fit cannot fail here: its conditions were checked above.
	_ = line.Fit(xs, ys)
	xs, ys = append([]float64(nil), xs...), append([]float64(nil), ys...)
	slope := func(x float64) float64 {
		i := 1
		for i < len(xs)-1 && xs[i] <= x {
			i++
		}
		return (ys[i] - ys[i-1]) / (xs[i] - xs[i-1])
	}
	return &Curve{xs[0], xs[len(xs)-1], line.Predict, slope}, nil
}

// Shape returns the piecewise cubic that keeps the shape of the table: it rises where
// the rows rise, falls where they fall, turns only at a row, and never swings beyond
// two neighbouring rows. Its slope is continuous. xs must increase strictly.
//
// Errors: LengthsDiffer, TooFewPoints (two are needed), NotFinite, NotIncreasing.
//
// Source: F. N. Fritsch and J. Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300–304,
// with three-point slopes at the ends (the method known as PCHIP).
func Shape(xs, ys []float64) (*Curve, error) {
	if err := rows(xs, ys); err != nil {
		return nil, err
	}
	var cubic interp.FritschButland
	_ = cubic.Fit(xs, ys) // as in Linear
	return &Curve{xs[0], xs[len(xs)-1], cubic.Predict, cubic.PredictDerivative}, nil
}

func rows(xs, ys []float64) error {
	if len(xs) != len(ys) {
		return LengthsDiffer.At("y", len(xs), len(ys))
	}
	if len(xs) < 2 {
		return TooFewPoints.At("x", len(xs), 2)
	}
	var wrong fault.List
	for i := range xs {
		switch {
		case !finite(xs[i]):
			wrong = append(wrong, NotFinite.At("x", xs[i]))
		case !finite(ys[i]):
			wrong = append(wrong, NotFinite.At("y", ys[i]))
		case i > 0 && !(xs[i] > xs[i-1]):
			wrong = append(wrong, NotIncreasing.At("x", i+1, xs[i]))
		}
	}
	return wrong.Err()
}

// Range returns the first and the last abscissa: where the curve may be read.
func (c *Curve) Range() (lower, upper float64) { return c.lower, c.upper }

// At returns y at x, in the unit of the table's ys. x must lie within Range, ends
// included: a table says nothing beyond its ends.
//
// Errors: OutsideTable (also for NaN).
func (c *Curve) At(x float64) (float64, error) {
	if err := c.inside(x); err != nil {
		return 0, err
	}
	return c.at(x), nil
}

// Slope returns dy/dx at x, in the unit of y per unit of x; at an inner row of a Linear
// curve it is the slope to the right. x must lie within Range.
//
// Errors: OutsideTable (also for NaN).
func (c *Curve) Slope(x float64) (float64, error) {
	if err := c.inside(x); err != nil {
		return 0, err
	}
	return c.slope(x), nil
}

func (c *Curve) inside(x float64) error {
	if c.at == nil || !(x >= c.lower && x <= c.upper) {
		return OutsideTable.At("x", x, c.lower, c.upper)
	}
	return nil
}
