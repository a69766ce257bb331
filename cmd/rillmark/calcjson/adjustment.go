package calcjson

import (
	"slices"
	"strings"

	"rillmark/calc/fault"
	model "rillmark/calc/verification"
)

type adjustmentAnswer struct {
	Parameter   string          `json:"parameter"`
	Error       estimateAnswer  `json:"error_percent"`
	Direction   string          `json:"direction"`
	Significant bool            `json:"significant"`
	OldValue    *float64        `json:"old_value"`
	NewValue    *float64        `json:"new_value"`
	Zero        *estimateAnswer `json:"zero_m3_s"`
	Span        *estimateAnswer `json:"span"`
	FlowAtLow   *float64        `json:"new_flow_at_low_m3_s"`
	FlowAtHigh  *float64        `json:"new_flow_at_high_m3_s"`
	Predicted   []predictedAt   `json:"predicted"`
	Remarks     []problem       `json:"remarks"`
}

type predictedAt struct {
	Flow   float64 `json:"flow_m3_s"`
	Before float64 `json:"error_before_percent"`
	After  float64 `json:"error_after_percent"`
}

// adjustment is the kind "adjustment": verification.Parameter.Corrects, FitZero,
// FitZeroAndSpan, with what is predicted after it.
func adjustment(o *object, say func(fault.Fault) string) (any, error) {
	s, parameter := o.series(), o.parameter()
	weighted := o.wordOr("mean", "points")
	if weighted != "points" && weighted != "flow-weighted" {
		o.add(codeUnknownWord.At(o.at("mean"), abbreviate(weighted), "points, flow-weighted"))
	}
	old := o.numberOr("old_value", 1)
	low, high := o.numberOr("flow_at_low_m3_s", 0), o.numberOr("flow_at_high_m3_s", 0)
	scaled := o.has("flow_at_low_m3_s") || o.has("flow_at_high_m3_s")
	if scaled {
		o.need("flow_at_low_m3_s")
		o.need("flow_at_high_m3_s")
	}
	o.done()
	if err := o.err(); err != nil {
		return nil, err
	}
	mean, err := model.FlowWeighted(s.members) // checks the points
	if err != nil {
		return nil, err
	}
	if weighted == "points" {
		errors, _, _ := s.errors()
		mean = model.Mean(errors)
	}
	a := adjustmentAnswer{Parameter: string(parameter), Direction: "none", Predicted: []predictedAt{}, Remarks: []problem{}}
	if a.Error, err = s.tellEstimate(mean, 100, 0); err != nil {
		return nil, err
	}
	if a.Error.Value > 0 {
		a.Direction = "lower"
	} else if a.Error.Value < 0 {
		a.Direction = "raise"
	}
	if parameter == model.ZeroOnly || parameter == model.ZeroAndSpan {
		err = a.byFit(s, parameter, scaled, low, high)
	} else {
		err = a.byFactor(s, parameter, old, mean.Value)
	}
	if err == nil && !a.Significant {
		a.Remarks = append(a.Remarks, told(model.DifferenceNotSignificant.At("points", a.Error.Value, a.Error.Expanded), say))
	}
	return a, err
}

func (o *object) parameter() model.Parameter {
	p := model.Parameter(o.word("parameter"))
	if !slices.Contains(model.Parameters, p) && o.has("parameter") {
		known := make([]string, len(model.Parameters))
		for i, one := range model.Parameters {
			known[i] = string(one)
		}
		o.add(codeUnknownWord.At(o.at("parameter"), abbreviate(string(p)), strings.Join(known, ", ")))
	}
	return p
}

// byFactor is an adjustment by one number.
func (a *adjustmentAnswer) byFactor(s series, p model.Parameter, old, mean float64) error {
	value, err := p.Corrects(old, mean)
	if err != nil {
		return err
	}
	factor, err := model.Factor(mean)
	if err != nil {
		return err
	}
	a.OldValue, a.NewValue, a.Significant = &old, &value, a.Error.SignificantlyOff
	for _, m := range s.members {
		a.Predicted = append(a.Predicted, predictedAt{m.Flow, 100 * m.Error.Value, 100 * model.Predicted(m.Error.Value, factor)})
	}
	return nil
}

// byFit is an adjustment of an output's ends.
func (a *adjustmentAnswer) byFit(s series, p model.Parameter, scaled bool, low, high float64) error {
	fit, err := model.FitZeroAndSpan(s.members)
	if p == model.ZeroOnly {
		fit, err = model.FitZero(s.members)
	}
	if err != nil {
		return err
	}
	zero, err := s.tellEstimate(fit.Zero, 1, 0)
	if err != nil {
		return err
	}
	a.Zero, a.Significant = &zero, zero.SignificantlyOff
	if p == model.ZeroAndSpan {
		span, err := s.tellEstimate(fit.Span, 1, 1)
		if err != nil {
			return err
		}
		a.Span, a.Significant = &span, a.Significant || span.SignificantlyOff
	}
	if scaled {
		low, high = fit.Corrected(low), fit.Corrected(high)
		a.FlowAtLow, a.FlowAtHigh = &low, &high
	}
	for _, m := range s.members {
		a.Predicted = append(a.Predicted, predictedAt{m.Flow, 100 * m.Error.Value, 100 * fit.Predicted(m.Flow, m.Error.Value)})
	}
	return nil
}
