package stat

import (
	"fmt"
	"math"

	"rillmark/calc/fault"
)

// Line is a straight line fitted by least squares, y = Intercept + Slope·x.
type Line struct {
	Intercept, Slope                       float64 // in the unit of y, and of y per x
	InterceptUncertainty, SlopeUncertainty float64 // standard, in the same units
	// Correlation of intercept and slope, −1 to 1; 0 for a line through the origin.
	Correlation       float64
	ResidualDeviation float64 // in the unit of y, over DegreesOfFreedom
	DegreesOfFreedom  int
}

// FitLine fits y = a + b·x by ordinary least squares, such as the error of a meter against
// flow:
//
//	b = Σ(x − x̄)(y − ȳ) / Σ(x − x̄)²,  a = ȳ − b·x̄,  s² = Σe²/(n − 2)
//	u(b) = s/√Σ(x − x̄)²,  u(a) = s·√(Σx²/(n·Σ(x − x̄)²)),  r(a, b) = −x̄/√(Σx²/n)
//
// x is taken as exact beside y; at least three pairs, finite, with two different x.
//
// Errors: CodeLengthsDiffer; CodeTooFew; CodeNotFinite; CodeOneAbscissa.
//
// Source: JCGM 100:2008, H.3.2 equations (H.13a) to (H.13f).
func FitLine(x, y []float64) (Line, error) {
	if err := checkLine(x, y, 3); err != nil {
		return Line{}, err
	}
	n, meanX, meanY := float64(len(x)), Mean(x), Mean(y)
	var spread, product, square float64
	for i := range x {
		dx := x[i] - meanX
		spread += dx * dx
		product += dx * (y[i] - meanY)
		square += x[i] * x[i]
	}
	if spread == 0 {
		return Line{}, CodeOneAbscissa.At("x")
	}
	l := Line{Slope: product / spread, DegreesOfFreedom: len(x) - 2}
	l.Intercept = meanY - l.Slope*meanX
	squares := 0.0
	for i := range x {
		e := (y[i] - meanY) - l.Slope*(x[i]-meanX)
		squares += e * e
	}
	l.ResidualDeviation = math.Sqrt(squares / float64(l.DegreesOfFreedom))
	l.SlopeUncertainty = l.ResidualDeviation / math.Sqrt(spread)
	l.InterceptUncertainty = l.ResidualDeviation * math.Sqrt(square/n/spread)
	l.Correlation = -meanX / math.Sqrt(square/n)
	return l, l.check()
}

// FitProportion fits y = b·x, a line through the origin, by ordinary least squares:
//
//	b = Σxy/Σx²,  s² = Σe²/(n − 1),  u(b) = s/√Σx²
//
// At least two pairs, finite, with an x other than 0. Errors as FitLine.
//
// Source: the normal equations; NIST StRD, linear regression (NoInt1, NoInt2).
func FitProportion(x, y []float64) (Line, error) {
	if err := checkLine(x, y, 2); err != nil {
		return Line{}, err
	}
	var square, product float64
	for i := range x {
		square += x[i] * x[i]
		product += x[i] * y[i]
	}
	if square == 0 {
		return Line{}, CodeOneAbscissa.At("x")
	}
	l := Line{Slope: product / square, DegreesOfFreedom: len(x) - 1}
	squares := 0.0
	for i := range x {
		e := y[i] - l.Slope*x[i]
		squares += e * e
	}
	l.ResidualDeviation = math.Sqrt(squares / float64(l.DegreesOfFreedom))
	l.SlopeUncertainty = l.ResidualDeviation / math.Sqrt(square)
	return l, l.check()
}

// At returns the line at x and its standard uncertainty, that of the line alone without
// the scatter of a further reading, in the unit of y:
//
//	u² = u²(a) + x²·u²(b) + 2·x·u(a)·u(b)·r(a, b)
//
// Source: JCGM 100:2008, H.3.4 equation (H.15).
func (l Line) At(x float64) (y, u float64) {
	a, b := l.InterceptUncertainty, x*l.SlopeUncertainty
	return l.Intercept + l.Slope*x, math.Sqrt(math.Max(a*a+b*b+2*a*b*l.Correlation, 0))
}

func (l Line) check() error {
	if !finite(l.Slope) || !finite(l.Intercept) || !finite(l.ResidualDeviation) ||
		!finite(l.InterceptUncertainty) || !finite(l.SlopeUncertainty) {
		return CodeTooLarge.At("y")
	}
	return nil
}

func checkLine(x, y []float64, least int) error {
	if len(x) != len(y) {
		return CodeLengthsDiffer.At("y", len(x), len(y))
	}
	if len(x) < least {
		return CodeTooFew.At("x", len(x), least)
	}
	var faults fault.List
	for i := range x {
		if !finite(x[i]) {
			faults = append(faults, CodeNotFinite.At(fmt.Sprintf("x[%d]", i)))
		}
		if !finite(y[i]) {
			faults = append(faults, CodeNotFinite.At(fmt.Sprintf("y[%d]", i)))
		}
	}
	if len(faults) > 0 {
		return faults
	}
	return nil
}
