// Package loop is about the current output of a meter: which flow a current means, which
// current a flow asks for, what a current says of the meter's health, and how far a loop is
// off, in per cent of its span and as errors of its zero and its span.
//
// Not here: who reads the loop and what it controls. The package follows IEC 60381-1:1982
// for the range of the signal and NAMUR NE 43:2003 for currents outside it (both from
// memory).
package loop

import (
	"math"

	"rillmark/calc/fault"
)

// Scaling says which flow a current means: straight from one end to the other.
type Scaling struct {
	LowSignal, HighSignal float64 // A, the low one below the high one, not below zero
	FlowAtLow, FlowAtHigh float64 // m³/s, different; falling where the output runs backwards
}

// The live zero of IEC 60381-1 and its end, in ampere.
const (
	LiveZero  = 0.004
	FullScale = 0.020
)

// The codes of this package.
var (
	// NotFinite: a value is NaN or infinite.
	NotFinite = fault.Define("loop.not-finite")
	// SignalsReversed: the low signal is not below the high one, or below zero.
	SignalsReversed = fault.Define("loop.signals-reversed", fault.N("low_mA"), fault.N("high_mA"))
	// NoSpan: both ends of the signal mean the same flow.
	NoSpan = fault.Define("loop.no-span")
	// OtherRange: the signal is neither 4 to 20 nor 0 to 20 mA, so the standard's states do not hold.
	OtherRange = fault.Define("loop.other-range", fault.N("low_mA"), fault.N("high_mA"))
	// TooFew: zero and span cannot be told from so few points.
	TooFew = fault.Define("loop.too-few", fault.C("points"), fault.C("least"))
)

// Validate returns every problem of the scaling, nil when there is none.
//
// Errors: a fault.List of NotFinite, SignalsReversed, NoSpan.
func (s Scaling) Validate() error {
	var l fault.List
	for _, one := range []struct {
		field string
		x     float64
	}{{"low_signal_A", s.LowSignal}, {"high_signal_A", s.HighSignal}, {"flow_at_low_m3_s", s.FlowAtLow}, {"flow_at_high_m3_s", s.FlowAtHigh}} {
		if math.IsNaN(one.x) || math.IsInf(one.x, 0) {
			l = append(l, NotFinite.At(one.field))
		}
	}
	if len(l) > 0 {
		return l
	}
	if s.LowSignal < 0 || s.LowSignal >= s.HighSignal {
		l = append(l, SignalsReversed.At("high_signal_A", s.LowSignal*1e3, s.HighSignal*1e3))
	}
	if s.FlowAtLow == s.FlowAtHigh {
		l = append(l, NoSpan.At("flow_at_high_m3_s"))
	}
	return l.Err()
}

// Flow returns the flow in m³/s that a current in A means,
//
//	q = q_low + (I − I_low)/(I_high − I_low)·(q_high − q_low)
//
// also outside the range of the signal. The scaling must be valid.
func (s Scaling) Flow(current float64) float64 {
	return s.FlowAtLow + (current-s.LowSignal)/(s.HighSignal-s.LowSignal)*(s.FlowAtHigh-s.FlowAtLow)
}

// Current returns the current in A that a flow in m³/s asks for: Flow turned round.
func (s Scaling) Current(flow float64) float64 {
	return s.LowSignal + (flow-s.FlowAtLow)/(s.FlowAtHigh-s.FlowAtLow)*(s.HighSignal-s.LowSignal)
}

// OfSpan returns how far a current is off what the flow asks for, as a fraction of the
// span of the signal (0.001 is 0.1 % of span): A and m³/s in.
func (s Scaling) OfSpan(current, flow float64) float64 {
	return (current - s.Current(flow)) / (s.HighSignal - s.LowSignal)
}

// live reports whether the signal is 4 to 20 mA, dead whether it is 0 to 20 mA.
func (s Scaling) live() bool { return same(s.LowSignal, LiveZero) && same(s.HighSignal, FullScale) }
func (s Scaling) dead() bool { return s.LowSignal == 0 && same(s.HighSignal, FullScale) }

// Remarks says what is unusual about the scaling: OtherRange.
func (s Scaling) Remarks() fault.List {
	if s.live() || s.dead() {
		return nil
	}
	return fault.List{OtherRange.At("high_signal_A", s.LowSignal*1e3, s.HighSignal*1e3)}
}
