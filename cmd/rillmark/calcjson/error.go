package calcjson

import (
	"math"

	"rillmark/calc/fault"
	"rillmark/calc/stat"
)

// The most pairs of one run: five hours and a half at one reading a second.
const maxPairs = 20_000

type errorAnswer struct {
	Readings          int     `json:"readings"`
	MeanReference     float64 `json:"mean_reference"`
	MeanIndication    float64 `json:"mean_indication"`
	RelativeError     float64 `json:"relative_error"`
	ErrorPercent      float64 `json:"error_percent"`
	ResidualDeviation float64 `json:"residual_standard_deviation"`
	EffectiveNumber   float64 `json:"effective_number"`
	ByAveraging       float64 `json:"effective_number_by_averaging"`
	ByAutocorrelation float64 `json:"effective_number_by_autocorrelation"`

	TypeA                      string     `json:"type_a"`
	StandardUncertainty        *float64   `json:"standard_uncertainty"`
	StandardUncertaintyPercent *float64   `json:"standard_uncertainty_percent"`
	DegreesOfFreedom           *float64   `json:"degrees_of_freedom"`
	Reason                     *problem   `json:"reason,omitempty"`
	Needed                     *runLength `json:"needed_for_wanted"`
	Warnings                   []problem  `json:"warnings"`
}

// runLength is how long a run must be for a wanted type A uncertainty.
type runLength struct {
	Wanted    float64  `json:"wanted_standard_uncertainty_percent"`
	Factor    float64  `json:"factor"`
	Effective float64  `json:"effective_number"`
	Readings  float64  `json:"readings"`
	Seconds   *float64 `json:"seconds"`
}

// errorOfRun is the kind "error": stat.ErrorOfRun. Its answer is called relative_error,
// not error: that word says that there is none.
func errorOfRun(o *object, say func(fault.Fault) string) (any, error) {
	o.need("pairs")
	var pairs []stat.Pair
	for _, p := range o.objects("pairs", maxPairs) {
		pairs = append(pairs, stat.Pair{Reference: p.number("reference"), Indication: p.number("indication")})
		p.done()
	}
	sought, wanted := o.has(wantedName), o.numberOr(wantedName, 0)
	sampling := stat.Sampling{Averaging: o.numberOr("averaging_s", 0), Interval: o.numberOr("interval_s", 0)}
	o.done()
	if err := o.err(); err != nil {
		return nil, err
	}
	run, err := stat.ErrorOfRun(pairs, sampling)
	if err != nil {
		return nil, err
	}
	a := tellRun(run, say)
	if sought && run.TypeA.Estimable {
		factor, needed, err := stat.Longer(100*run.TypeA.StandardUncertainty, run.Effective.Number, wanted)
		if err != nil {
			return nil, err
		}
		a.Needed = &runLength{Wanted: wanted, Factor: factor, Effective: needed, Readings: math.Ceil(factor * float64(run.Readings))}
		if sampling.Interval > 0 {
			seconds := a.Needed.Readings * sampling.Interval
			a.Needed.Seconds = &seconds
		}
	}
	return a, nil
}

const wantedName = "wanted_standard_uncertainty_percent"

func tellRun(run stat.Run, say func(fault.Fault) string) errorAnswer {
	a := errorAnswer{
		Readings:          run.Readings,
		MeanReference:     run.MeanReference,
		MeanIndication:    run.MeanIndication,
		RelativeError:     run.Error,
		ErrorPercent:      100 * run.Error,
		ResidualDeviation: run.ResidualDeviation,
		EffectiveNumber:   run.Effective.Number,
		ByAveraging:       run.Effective.ByAveraging,
		ByAutocorrelation: run.Effective.ByAutocorrelation,
		TypeA:             "estimated",
		Warnings:          toldAll(run.Warnings, say),
	}
	if !run.TypeA.Estimable {
		reason := told(run.TypeA.Reason, say)
		a.TypeA, a.Reason = "not estimable", &reason
		return a
	}
	u := run.TypeA.StandardUncertainty
	a.StandardUncertainty = orNull(u)
	a.StandardUncertaintyPercent = orNull(100 * u)
	a.DegreesOfFreedom = orNull(run.TypeA.DegreesOfFreedom)
	return a
}
