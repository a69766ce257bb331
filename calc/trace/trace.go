// Package trace compares two logged channels of one flow: the lag between their clocks
// with its uncertainty, the averaging of each, the steady stretches both show, the error
// in each stretch, the unwrapping of counters and totals by integration.
//
// Not here: reading files (service/logfile), the wider budget of a result (package
// uncertainty), the judging of readings taken by hand (package stat). Times are seconds
// from any one origin, flows in any one unit, m³/s where nothing else is said. The
// package follows JCGM 100:2008 for the statistics; the search for the lag is this
// program's own and is described where it stands.
package trace

import (
	"math"
	"sort"

	"rillmark/calc/fault"
)

// Series is one logged channel on its own clock. The zero value is invalid: it is empty.
type Series struct {
	Time       []float64 // s, strictly increasing
	Value      []float64 // one for each time
	Averaging  Averaging
	Resolution float64 // smallest step the value is written in; 0: not known
}

// minSamples is the least a series can tell anything from; this program's rule.
const minSamples = 8

// Validate returns every problem of the series: too few samples, lists of different
// length, a value or time that is not finite, times that do not increase, and those of
// its averaging. The fields are time, value and averaging.
func (s Series) Validate() fault.List {
	faults := s.Averaging.validate()
	if len(s.Time) != len(s.Value) {
		return append(faults, CodeLengths.At("value", len(s.Time), len(s.Value)))
	}
	if len(s.Time) < minSamples {
		return append(faults, CodeTooFew.At("time", len(s.Time), minSamples))
	}
	for i, t := range s.Time {
		switch {
		case math.IsNaN(t-t) || math.IsNaN(s.Value[i]-s.Value[i]):
			return append(faults, CodeNotFinite.At("value", i+1))
		case i > 0 && t <= s.Time[i-1]:
			return append(faults, CodeNotIncreasing.At("time", i+1))
		}
	}
	return faults
}

// Interval returns the sampling interval, s: the median of the steps from one sample to
// the next. The series has two samples at least.
//
// Of a long series some thousand steps, evenly spread, are looked at.
func (s Series) Interval() float64 {
	const most = 4000
	stride := len(s.Time)/most + 1
	d := make([]float64, 0, most)
	for i := 0; i+1 < len(s.Time); i += stride {
		d = append(d, s.Time[i+1]-s.Time[i])
	}
	return quantile(d, 0.5)
}

// span is the time from the first sample to the last, s.
func (s Series) span() float64 { return s.Time[len(s.Time)-1] - s.Time[0] }

// within returns the index range [i, j) of the samples from the one time to the other,
// ends included.
func (s Series) within(from, to float64) (i, j int) {
	i = sort.SearchFloat64s(s.Time, from)
	j = i + sort.Search(len(s.Time)-i, func(k int) bool { return s.Time[i+k] > to })
	return i, j
}

// quantile sorts x and returns the value below which the share p lies.
func quantile(x []float64, p float64) float64 {
	sort.Float64s(x)
	return x[int(p*float64(len(x)-1)+0.5)]
}
