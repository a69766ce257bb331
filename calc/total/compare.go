package total

import (
	"math"

	"rillmark/calc/fault"
)

// Comparison is a meter's total against the reference over one time.
type Comparison struct {
	Clock     Clock
	Meter     Counter
	Reference *Counter // a counter of the reference's own; nil: its flow times the time
	Flow      float64  // m³/s, of the reference, where it has no counter; > 0
	Standard  float64  // standard uncertainty of the reference, relative, ≥ 0
}

// Component is one part of the uncertainty of the error.
type Component struct {
	Name         string
	Contribution float64 // relative to the reference's volume
}

// Result is what a comparison comes to.
type Result struct {
	Seconds    float64 // true time
	Reference  float64 // m³
	Meter      float64 // m³
	Error      float64 // relative
	Standard   float64 // standard uncertainty of the error, relative
	Components []Component
	Warnings   fault.List
}

// ruling is the share of the variance above which the ends of a total rule its uncertainty.
const ruling = 0.5

// Compare returns the error of a total, E = V_meter/V_reference − 1, with
//
//	u²(E) = (1+E)²·( u_r²(meter's ends) + u_r²(reference's ends or time) + u_r²(reference) + u_r²(ends) )
//
// Where both are counters, the clock's error touches both alike and does not count; what
// counts is that both are read at the same moment: √2·u(end)/t.
//
// Errors: those of Clock.Time and Counter.Passed, the reference's fields with "reference."
// and the meter's with "meter." in front; NotPositive for the flow; NothingPassed.
// Warning: FewSteps, where the meter's ends carry more than half of the variance.
//
// Source: JCGM 100:2008, 5.1.6 for a quotient of products.
func (c Comparison) Compare() (Result, error) {
	var l fault.List
	seconds, ofTime, err := c.Clock.Time()
	l = append(l, fault.AllOf(err)...)
	notNegative(&l, "reference.standard_uncertainty_percent", c.Standard)
	if len(l) > 0 {
		return Result{}, l
	}
	meter, err := c.Meter.Passed(seconds)
	for _, f := range fault.AllOf(err) {
		l = append(l, f.In("meter."+f.Field))
	}
	r := Result{Seconds: seconds, Meter: meter.Volume}
	ends := []Component{{"start and stop", math.Sqrt2 * c.Clock.Ends / seconds}}
	if c.Reference != nil {
		var reference Passed
		reference, err = c.Reference.Passed(seconds)
		for _, f := range fault.AllOf(err) {
			l = append(l, f.In("reference."+f.Field))
		}
		r.Reference = reference.Volume
		ends = append(ends, Component{"reference: resolution", reference.FromResolution / r.Reference},
			Component{"reference: update interval", reference.FromUpdate / r.Reference})
	} else {
		if !(c.Flow > 0) || math.IsInf(c.Flow, 1) {
			l = append(l, NotPositive.At("reference.flow_m3_s", c.Flow))
		}
		r.Reference = c.Flow * seconds
		ends = []Component{{"time", ofTime}}
	}
	if len(l) > 0 {
		return Result{}, l
	}
	if r.Reference == 0 {
		return Result{}, NothingPassed.At("reference")
	}
	return r.combine(meter, append(ends, Component{"reference", c.Standard}), c.Meter), nil
}

func (r Result) combine(meter Passed, parts []Component, counter Counter) Result {
	r.Error = r.Meter/r.Reference - 1
	own := []Component{{"meter: resolution", meter.FromResolution / r.Reference}, {"meter: update interval", meter.FromUpdate / r.Reference}}
	variance, ofMeter := 0.0, 0.0
	for _, p := range own {
		ofMeter += p.Contribution * p.Contribution
	}
	variance = ofMeter
	for _, p := range parts {
		p.Contribution *= 1 + r.Error
		own = append(own, p)
		variance += p.Contribution * p.Contribution
	}
	r.Components, r.Standard = own, math.Sqrt(variance)
	if ofMeter > ruling*variance && counter.Resolution > 0 {
		r.Warnings = append(r.Warnings, FewSteps.At("meter", r.Meter/counter.Resolution, 100*ofMeter/variance))
	}
	return r
}

// LongEnough returns the least time in s at the mean flow (m³/s) over which the ends of a
// counter, with the starting and stopping (standard uncertainty of each in s), leave no
// more than the wanted relative standard uncertainty:
//
//	t = √2·√( (step/√12)²/q² + T²/12 + u²(end) ) / wanted
//
// All above zero but the step, the interval and the ends, which may be zero.
//
// Errors: a fault.List of NotPositive, Negative, NotFinite.
//
// Source: Counter.Passed and Clock.Time, solved for the time.
func LongEnough(c Counter, flow, ends, wanted float64) (float64, error) {
	var l fault.List
	notNegative(&l, "resolution_m3", c.Resolution)
	notNegative(&l, "update_interval_s", c.Update)
	notNegative(&l, "start_stop_standard_uncertainty_s", ends)
	for _, one := range []struct {
		field string
		x     float64
	}{{"flow_m3_s", flow}, {"wanted_standard_uncertainty_percent", wanted}} {
		if !(one.x > 0) || math.IsInf(one.x, 1) {
			l = append(l, NotPositive.At(one.field, one.x))
		}
	}
	if len(l) > 0 {
		return 0, l
	}
	step := c.Resolution / flow
	return math.Sqrt(2*(step*step/12+c.Update*c.Update/12+ends*ends)) / wanted, nil
}
