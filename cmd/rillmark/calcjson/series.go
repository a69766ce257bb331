package calcjson

import (
	"rillmark/calc/fault"
	"rillmark/calc/stat"
	model "rillmark/calc/verification"
)

type seriesAnswer struct {
	Points       int            `json:"points"`
	Mean         estimateAnswer `json:"mean_error_percent"`
	FlowWeighted estimateAnswer `json:"flow_weighted_mean_error_percent"`
	Regression   *trendAnswer   `json:"regression"`
	Outlier      *outlierAnswer `json:"outlier"`
	Remarks      []problem      `json:"remarks"`
}

type trendAnswer struct {
	Intercept estimateAnswer `json:"intercept_percent"`
	Slope     estimateAnswer `json:"slope_percent_per_m3_s"`
	Scatter   *scatterAnswer `json:"scatter"`
	At        []trendAt      `json:"at"`
}

// scatterAnswer is the line by its own residuals, for three points or more.
type scatterAnswer struct {
	Residual             float64 `json:"residual_standard_deviation_percent"`
	Freedom              int     `json:"degrees_of_freedom"`
	InterceptUncertainty float64 `json:"intercept_standard_uncertainty_percent"`
	SlopeUncertainty     float64 `json:"slope_standard_uncertainty_percent_per_m3_s"`
	Correlation          float64 `json:"correlation"`
}

type trendAt struct {
	Flow     float64 `json:"flow_m3_s"`
	Error    float64 `json:"error_percent"`
	Standard float64 `json:"standard_uncertainty_percent"`
	Residual float64 `json:"residual_percent"`
}

type outlierAnswer struct {
	Point       int     `json:"point"` // from 1
	Statistic   float64 `json:"statistic"`
	Critical    float64 `json:"critical"`
	Significant bool    `json:"significant"`
}

// seriesOf is the kind "series": verification.Mean, FlowWeighted and TrendOf, stat.FitLine
// and stat.Grubbs over the points of a task.
func seriesOf(o *object, say func(fault.Fault) string) (any, error) {
	s := o.series()
	significance := o.numberOr("significance", stat.GrubbsSignificance)
	o.done()
	if err := o.err(); err != nil {
		return nil, err
	}
	weighted, err := model.FlowWeighted(s.members)
	if err != nil {
		return nil, err
	}
	errors, _, values := s.errors()
	a := seriesAnswer{Points: len(s.members), Remarks: []problem{}}
	if a.Mean, err = s.tellEstimate(model.Mean(errors), 100, 0); err != nil {
		return nil, err
	}
	if a.FlowWeighted, err = s.tellEstimate(weighted, 100, 0); err != nil {
		return nil, err
	}
	if a.Regression, err = s.trend(); err != nil {
		if !fault.Has(err, model.SeriesTooShort) && !fault.Has(err, model.OneFlow) {
			return nil, err
		}
		a.Remarks = append(a.Remarks, toldAll(fault.AllOf(err), say)...)
	}
	outlier, err := stat.Grubbs(values, significance)
	switch {
	case fault.Has(err, stat.CodeTooFew):
		a.Remarks = append(a.Remarks, toldAll(fault.AllOf(renamed(err, map[string]string{"readings": "points"})), say)...)
	case err != nil:
		return nil, err
	default:
		a.Outlier = &outlierAnswer{outlier.Index + 1, outlier.Statistic, outlier.Critical, outlier.Significant}
	}
	return a, nil
}

// trend lays the line.
func (s series) trend() (*trendAnswer, error) {
	line, err := model.TrendOf(s.members)
	if err != nil {
		return nil, err
	}
	var a trendAnswer
	if a.Intercept, err = s.tellEstimate(line.Intercept, 100, 0); err != nil {
		return nil, err
	}
	if a.Slope, err = s.tellEstimate(line.Slope, 100, 0); err != nil {
		return nil, err
	}
	_, flows, values := s.errors()
	for i, q := range flows {
		at, err := s.tellEstimate(line.At(q), 100, 0)
		if err != nil {
			return nil, err
		}
		a.At = append(a.At, trendAt{q, at.Value, at.Standard, 100*values[i] - at.Value})
	}
	if fitted, err := stat.FitLine(flows, values); err == nil {
		a.Scatter = &scatterAnswer{100 * fitted.ResidualDeviation, fitted.DegreesOfFreedom, 100 * fitted.InterceptUncertainty, 100 * fitted.SlopeUncertainty, fitted.Correlation}
	}
	return &a, nil
}
