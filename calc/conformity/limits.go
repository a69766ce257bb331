package conformity

import (
	"math"

	"rillmark/calc/fault"
)

// Limits is a tolerance interval, both ends included, in the unit of the value. A side
// without limit is −Inf or +Inf. The zero value is invalid: it leaves no room.
type Limits struct {
	Lower, Upper float64
}

// Between returns limits on both sides.
func Between(lower, upper float64) Limits { return Limits{lower, upper} }

// AtLeast returns a lower limit alone.
func AtLeast(lower float64) Limits { return Limits{lower, math.Inf(1)} }

// AtMost returns an upper limit alone.
func AtMost(upper float64) Limits { return Limits{math.Inf(-1), upper} }

// HasLower reports whether there is a lower limit.
func (l Limits) HasLower() bool { return !math.IsInf(l.Lower, -1) }

// HasUpper reports whether there is an upper limit.
func (l Limits) HasUpper() bool { return !math.IsInf(l.Upper, 1) }

// Contains reports whether the value lies within, the limits themselves included.
func (l Limits) Contains(value float64) bool { return l.Lower <= value && value <= l.Upper }

// moved returns the limits drawn in by w on each side, or let out where w is negative.
func (l Limits) moved(w float64) Limits { return Limits{l.Lower + w, l.Upper - w} }

func (l Limits) validate() fault.List {
	var faults fault.List
	if math.IsNaN(l.Lower) || math.IsInf(l.Lower, 1) {
		faults = append(faults, CodeNotFinite.At("lower_limit"))
	}
	if math.IsNaN(l.Upper) || math.IsInf(l.Upper, -1) {
		faults = append(faults, CodeNotFinite.At("upper_limit"))
	}
	if len(faults) > 0 {
		return faults
	}
	if !l.HasLower() && !l.HasUpper() {
		return fault.List{CodeNoLimit.At("lower_limit")}
	}
	if l.Lower >= l.Upper {
		return fault.List{CodeLimitsReversed.At("lower_limit", l.Lower, l.Upper)}
	}
	return nil
}
