package verification

import "math"

// Comparison is one reference flow and one indication of the meter at the same flow, with
// what makes each of them uncertain. The parts are relative to what they are on.
type Comparison struct {
	Reference    float64 // m³/s, corrected
	Indication   float64 // m³/s
	OnReference  []Part  // relative to the reference flow
	OnIndication []Part  // relative to the indication
	OnError      []Part  // of the error itself, relative to the reference flow: scatter, timing
}

// RelativeError returns the error of the indication relative to the reference flow,
//
//	E = q_ind / q_ref − 1
//	u(E) = √( (1+E)²·(u_r²(ind) + u_r²(ref)) + u²(of the error itself) )
//
// dimensionless: 0.01 is 1 %. The reference's parts have the opposite sign.
//
// Errors: ReferenceZero, NotFinite.
//
// Source: JCGM 100:2008, 5.1.6 for a quotient.
func (c Comparison) RelativeError() (Estimate, error) {
	value, err := c.relative()
	if err != nil {
		return Estimate{}, err
	}
	ratio := c.Indication / c.Reference
	e := Linear([]float64{1, -ratio, ratio}, []Estimate{{Parts: c.OnError}, {Parts: c.OnReference}, {Parts: c.OnIndication}})
	e.Value = value
	return e, nil
}

// relative is the value of RelativeError alone.
func (c Comparison) relative() (float64, error) {
	if c.Reference == 0 {
		return 0, ReferenceZero.At("reference")
	}
	e := (c.Indication - c.Reference) / c.Reference
	if !finite(e) {
		return 0, NotFinite.At("indication")
	}
	return e, nil
}

// FlowError returns the error of the indication as a flow, q_ind − q_ref in m³/s, for
// limits in % of span or of flow. Its reference part goes with the reference flow where
// that of RelativeError goes with the indication.
//
// Source: JCGM 100:2008, 5.1.2 for a difference.
func (c Comparison) FlowError() Estimate {
	e := Linear([]float64{c.Reference, -c.Reference, c.Indication}, []Estimate{{Parts: c.OnError}, {Parts: c.OnReference}, {Parts: c.OnIndication}})
	e.Value = c.Indication - c.Reference
	return e
}

// ReferenceFlow returns the reference flow as a relative estimate of value 1.
func (c Comparison) ReferenceFlow() Estimate { return Estimate{Value: 1, Parts: c.OnReference} }

// MeanOf returns the comparison of a flow point from those of its runs: the mean flows,
// and the mean of every part over all runs, so that what the runs share stays whole and
// what each has of its own averages. The scatter of runs is no part of it; see Scatter.
// The indication is set so that the error is the mean of the runs' errors.
//
// Errors: NoRuns; ReferenceZero.
func MeanOf(runs []Comparison) (Comparison, error) {
	if len(runs) == 0 {
		return Comparison{}, NoRuns.At("runs")
	}
	var mean Comparison
	errors := 0.0
	on := [3][]Estimate{}
	for _, r := range runs {
		e, err := r.relative()
		if err != nil {
			return Comparison{}, err
		}
		errors += e / float64(len(runs))
		mean.Reference += r.Reference / float64(len(runs))
		on[0] = append(on[0], Estimate{Parts: r.OnReference})
		on[1] = append(on[1], Estimate{Parts: r.OnIndication})
		on[2] = append(on[2], Estimate{Parts: r.OnError})
	}
	mean.Indication = mean.Reference * (1 + errors)
	mean.OnReference, mean.OnIndication, mean.OnError = Mean(on[0]).Parts, Mean(on[1]).Parts, Mean(on[2]).Parts
	return mean, nil
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
