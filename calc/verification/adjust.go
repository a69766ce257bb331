package verification

import (
	"math"

	"rillmark/calc/fault"
)

// Parameter is what is adjusted. The zero value is none.
type Parameter string

// The parameters.
const (
	Multiplier      Parameter = "multiplier"        // multiplies the indication
	PulsesPerVolume Parameter = "pulses-per-volume" // pulses that are read as a volume
	VolumePerPulse  Parameter = "volume-per-pulse"  // by which the receiver multiplies a count
	ZeroOnly        Parameter = "zero"              // is taken off the indication
	ZeroAndSpan     Parameter = "zero-and-span"     // both ends of an output's scale
)

// Parameters are all, as messages list them.
var Parameters = []Parameter{Multiplier, PulsesPerVolume, VolumePerPulse, ZeroOnly, ZeroAndSpan}

var (
	// ParameterUnknown: what is to be adjusted is not known.
	ParameterUnknown = fault.Define("verification.parameter-unknown", fault.T("parameter"))
	// OldValue: the old value must be above zero.
	OldValue = fault.Define("verification.old-value", fault.N("value"))
	// DifferenceNotSignificant: the error is no larger than its uncertainty.
	DifferenceNotSignificant = fault.Define("verification.difference-not-significant", fault.N("error_percent"), fault.N("expanded_percent"))
	// SpanLost: the fitted span is zero or below: the meter does not follow the flow.
	SpanLost = fault.Define("verification.span-lost", fault.N("span"))
)

// Corrects returns the new value of a parameter that takes the relative error E away:
//
//	multiplier        new = old/(1 + E)
//	pulses per volume new = old·(1 + E)
//	volume per pulse  new = old/(1 + E)
//
// A meter that shows too much (E > 0) is given a smaller multiplier. Pulses per volume and
// volume per pulse are those by which the pulses are read as a volume: with more pulses to a
// volume, the same pulses are less. A number by which a meter makes its pulses from a right
// volume goes the other way and is told as the multiplier. The value is in the unit of old,
// above zero.
//
// Errors: ErrorTotal; OldValue; ParameterUnknown, also for zero and span, which have no
// single value.
func (p Parameter) Corrects(old, relativeError float64) (float64, error) {
	if !(old > 0) || math.IsInf(old, 1) {
		return 0, OldValue.At("old_value", old)
	}
	factor, err := Factor(relativeError)
	if err != nil {
		return 0, err
	}
	switch p {
	case Multiplier, VolumePerPulse:
		return old * factor, nil
	case PulsesPerVolume:
		return old / factor, nil
	}
	return 0, ParameterUnknown.At("parameter", string(p))
}

// Fit is a meter's indication as a straight line of the reference: indication = Zero +
// Span·reference.
type Fit struct {
	Zero Estimate // m³/s
	Span Estimate // 1: right
}

// FitZero finds the zero that is common to all points, the span taken as right: the one
// that leaves the least squares of relative errors,
//
//	E_i ≈ zero/q_i,  zero = Σ(E_i/q_i)/Σ(1/q_i²)
//
// in m³/s. One point or more, flows above zero.
//
// Errors: as FlowWeighted.
func FitZero(members []Member) (Fit, error) {
	if err := checkMembers(members, 1); err != nil {
		return Fit{}, err
	}
	squares := 0.0
	for _, m := range members {
		squares += 1 / (m.Flow * m.Flow)
	}
	weights, errors := make([]float64, len(members)), make([]Estimate, len(members))
	for i, m := range members {
		weights[i], errors[i] = 1/m.Flow/squares, m.Error
	}
	return Fit{Linear(weights, errors), Estimate{Value: 1}}, nil
}

// FitZeroAndSpan finds zero and span together, by the least squares of relative errors:
//
//	1 + E_i = span + zero/q_i
//
// a line of 1 + E against 1/q: span is its intercept, zero (m³/s) its slope. Two different
// flows or more; with two the line is exact.
//
// Errors: SeriesTooShort; OneFlow; a fault.List of MemberFlow, NotFinite; SpanLost.
//
// Source: the normal equations; JCGM 100:2008, 5.2.2 for the uncertainties.
func FitZeroAndSpan(members []Member) (Fit, error) {
	if err := checkMembers(members, 2); err != nil {
		return Fit{}, err
	}
	x, ratios := make([]float64, len(members)), make([]Estimate, len(members))
	for i, m := range members {
		x[i], ratios[i] = 1/m.Flow, Estimate{1 + m.Error.Value, m.Error.Parts}
	}
	span, zero, err := lineWeights(x)
	if err != nil {
		return Fit{}, err
	}
	f := Fit{Linear(zero, ratios), Linear(span, ratios)}
	if f.Span.Value <= 0 {
		return Fit{}, SpanLost.At("points", f.Span.Value)
	}
	return f, nil
}

// Corrected returns what an indication (m³/s) becomes when zero and span are taken out,
// (indication − zero)/span, in m³/s. So do the flows at both ends of the scale by which a
// receiver reads a current: new = (old − zero)/span.
func (f Fit) Corrected(indication float64) float64 { return (indication - f.Zero.Value) / f.Span.Value }

// Predicted returns the error to be expected at a point after the correction, relative.
func (f Fit) Predicted(flow, relativeError float64) float64 {
	return f.Corrected(flow*(1+relativeError))/flow - 1
}

// Significant reports whether a difference is larger than its expanded uncertainty, both
// in one unit; where it is not, adjusting could make it worse.
func Significant(difference, expanded float64) bool { return math.Abs(difference) > expanded }
