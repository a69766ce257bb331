package trace

import (
	"math"

	"rillmark/calc/fault"
)

// Kind is the way in which a channel is averaged before it is logged.
type Kind int

// The kinds. The zero value is Unknown, which widens the uncertainty.
const (
	Unknown     Kind = iota // Seconds is the most the averaging time may be; 0: not stated
	None                    // each value is the flow at its stamp
	Trailing                // mean over the Seconds before the stamp
	Centred                 // mean over Seconds with the stamp in the middle
	Exponential             // first-order filter with the time constant Seconds
)

var kindNames = [...]string{"unknown", "none", "trailing", "centred", "exponential"}

// String returns the kind's name as it stands in a column map.
func (k Kind) String() string {
	if k < 0 || int(k) >= len(kindNames) {
		return "invalid"
	}
	return kindNames[k]
}

// KindOf returns the kind of the name; false when there is none of that name.
func KindOf(name string) (Kind, bool) {
	for k, n := range kindNames {
		if n == name {
			return Kind(k), true
		}
	}
	return Unknown, false
}

// Averaging is how a channel is averaged. The zero value is unknown.
type Averaging struct {
	Kind    Kind
	Seconds float64
}

// unstated is the longest averaging that an unknown one is taken for where no range is
// stated, s. Common practice of portable meters and loggers, no source.
const unstated = 60

// Delay returns by how much the channel shows a change too late, s: n/2 of a trailing
// mean over n, the time constant of an exponential, 0 of a centred mean. It is the first
// moment of the averaging's kernel, so it holds for flow of any shape. Of an unknown
// averaging it is not known and 0 is returned.
func (a Averaging) Delay() float64 {
	switch a.Kind {
	case Trailing:
		return a.Seconds / 2
	case Exponential:
		return a.Seconds
	}
	return 0
}

// reach returns how long before and after a sample the flow still acts on it, s. An
// exponential is taken as over after four time constants (2 % is left).
func (a Averaging) reach() (before, after float64) {
	switch a.Kind {
	case Trailing:
		return a.Seconds, 0
	case Centred:
		return a.Seconds / 2, a.Seconds / 2
	case Exponential:
		return 4 * a.Seconds, 0
	case Unknown:
		return a.longest(), 0
	}
	return 0, 0
}

// reached returns how long the flow has been steady, s, when the channel is first taken for
// steady, and how long it may have changed already when the channel is last taken for it.
// A level is taken for steady while it is off by a little more than the noise, a sixth of
// a small change: a trailing mean is there after five sixths of its time, an exponential
// after less than two time constants. Of an unknown averaging nothing is won.
func (a Averaging) reached() (before, early float64) {
	switch a.Kind {
	case Trailing:
		return a.Seconds * 5 / 6, a.Seconds / 6
	case Centred:
		return a.Seconds / 3, a.Seconds / 6
	case Exponential:
		return 1.5 * a.Seconds, 0
	}
	return 0, 0
}

func (a Averaging) longest() float64 {
	if a.Seconds > 0 {
		return a.Seconds
	}
	return unstated
}

// response is the share of a wave of the frequency f (1/s) that the averaging leaves.
func (a Averaging) response(f float64) float64 {
	w := math.Pi * f * a.Seconds
	switch a.Kind {
	case Trailing, Centred:
		if w != 0 {
			return math.Sin(w) / w
		}
	case Exponential:
		return 1 / math.Sqrt(1+4*w*w)
	}
	return 1
}

// samplingHalfWidth is half the width of the uniform distribution, s, that stands for
// what sampling at the interval leaves open of the moment of a sudden change. Without
// averaging it is half the interval. An averaging as long as the interval catches every
// change in proportion; then nothing is left open. In between, the error of the
// trapezoidal sum is a series over the harmonics of the sampling (Euler–Maclaurin):
// variance = Σ Δt²/(2π²k²)·H(k/Δt)².
func (a Averaging) samplingHalfWidth(interval float64) float64 {
	variance := 0.0
	for k := 1.0; k <= 12; k++ {
		h := a.response(k / interval)
		variance += interval * interval / (2 * math.Pi * math.Pi * k * k) * h * h
	}
	return math.Sqrt(3 * variance)
}

func (a Averaging) validate() fault.List {
	needs := a.Kind == Trailing || a.Kind == Centred || a.Kind == Exponential
	if math.IsNaN(a.Seconds-a.Seconds) || a.Seconds < 0 || needs && a.Seconds == 0 {
		return fault.List{CodeBadAveraging.At("averaging", a.Seconds)}
	}
	return nil
}
