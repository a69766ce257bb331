package verification

import (
	"cmp"
	"math"
	"slices"

	"rillmark/calc/num"
)

// CalibrationPoint is one point of the reference's calibration.
type CalibrationPoint struct {
	Velocity float64 // m/s
	Error    float64 // relative
	Expanded float64 // U, relative, above zero
	K        float64 // its coverage factor
}

// Correction is what a calibration says at a velocity.
type Correction struct {
	Error    float64 // relative
	Standard float64 // standard uncertainty of the error at the points, relative
	Step     float64 // |difference of error| between the two points around; 0 at a point
}

// CorrectionAt reads a calibration at a velocity in m/s: error and standard uncertainty
// U/k by straight lines between the two points around it. The points may come in any order.
//
// Errors: CalibrationPoints with fewer than two; OutsideCalibration, never an
// extrapolation; those of num.Linear.
//
// Source: linear interpolation; JCGM 100:2008, 4.3.3 for U/k.
func CorrectionAt(points []CalibrationPoint, velocity float64) (Correction, error) {
	curve, err := NewCalibrationCurve(points)
	if err != nil {
		return Correction{}, err
	}
	return curve.At(velocity)
}

// CalibrationCurve is a calibration laid out for reading at many velocities. The zero
// value covers none.
type CalibrationCurve struct {
	velocities, errors []float64
	error, spread      *num.Curve
}

// NewCalibrationCurve lays a calibration out; see CorrectionAt for the points and the
// errors.
func NewCalibrationCurve(points []CalibrationPoint) (CalibrationCurve, error) {
	if len(points) < 2 {
		return CalibrationCurve{}, CalibrationPoints.At("points", len(points), 2)
	}
	points = slices.Clone(points)
	slices.SortFunc(points, func(a, b CalibrationPoint) int { return cmp.Compare(a.Velocity, b.Velocity) })
	v, e, u := make([]float64, len(points)), make([]float64, len(points)), make([]float64, len(points))
	for i, p := range points {
		v[i], e[i], u[i] = p.Velocity, p.Error, p.Expanded/p.K
	}
	errors, err := num.Linear(v, e)
	if err != nil {
		return CalibrationCurve{}, err
	}
	spreads, err := num.Linear(v, u)
	if err != nil {
		return CalibrationCurve{}, err
	}
	return CalibrationCurve{v, e, errors, spreads}, nil
}

// At reads the calibration at a velocity in m/s, as CorrectionAt does.
//
// Errors: CalibrationPoints of the zero value; OutsideCalibration.
func (k CalibrationCurve) At(velocity float64) (Correction, error) {
	if k.error == nil {
		return Correction{}, CalibrationPoints.At("points", 0, 2)
	}
	var c Correction
	var err error
	if c.Error, err = k.error.At(velocity); err != nil {
		return Correction{}, OutsideCalibration.At("velocity", velocity, k.velocities[0], k.velocities[len(k.velocities)-1])
	}
	c.Standard, _ = k.spread.At(velocity) // the same abscissae: it cannot be outside
	c.Step = step(k.velocities, k.errors, velocity)
	return c, nil
}

func step(v, e []float64, velocity float64) float64 {
	i, exact := slices.BinarySearch(v, velocity)
	if exact {
		return 0
	}
	return math.Abs(e[i] - e[i-1])
}

// Corrected returns the reference flow in m³/s:
//
//	q = indicated · factor / (1 + error)
//
// indicated is what the reference showed, in m³/s; factor takes it to the pipe as now
// known (see FlowFactor), dimensionless; error is that of its calibration, relative.
//
// Errors: ErrorTotal for an error of −1 or less; NotFinite.
func Corrected(indicated, factor, calibrationError float64) (float64, error) {
	if calibrationError <= -1 {
		return 0, ErrorTotal.At("calibration_error", calibrationError*100)
	}
	q := indicated * factor / (1 + calibrationError)
	if !finite(q) {
		return 0, NotFinite.At("reference")
	}
	return q, nil
}

// Excess returns what is left of a standard uncertainty when a part of it is already in
// the certificate: √(u² − part²), 0 where the part is the larger. Both in one unit.
func Excess(u, part float64) float64 { return math.Sqrt(math.Max(u*u-part*part, 0)) }

// Uncorrected returns the standard uncertainty of a value whose known offset is not taken
// off it: √(u² + offset²), in the unit of both. JCGM 100:2008 asks for the correction and
// leaves open what to do without it (F.2.4.5); counting the offset whole is on the safe
// side and is this program's rule.
func Uncorrected(u, offset float64) float64 { return math.Hypot(u, offset) }

// Factor returns by what an indication must be multiplied to take an error away,
// 1/(1 + E): the new multiplier is this times the old, the new pulses per volume the old
// divided by this. E is relative.
//
// Errors: ErrorTotal.
func Factor(relativeError float64) (float64, error) {
	if relativeError <= -1 {
		return 0, ErrorTotal.At("error", relativeError*100)
	}
	return 1 / (1 + relativeError), nil
}

// Predicted returns the error to be expected after the indication was multiplied by the
// factor, (1 + E)·factor − 1; relative.
func Predicted(relativeError, factor float64) float64 { return (1+relativeError)*factor - 1 }
