package calcjson

import (
	"math"

	"rillmark/calc/conformity"
	"rillmark/calc/fault"
)

type decisionAnswer struct {
	Verdict                 string    `json:"verdict"`
	Reason                  problem   `json:"reason"`
	GuardBand               float64   `json:"guard_band"`
	LowerAcceptance         *float64  `json:"lower_acceptance"`
	UpperAcceptance         *float64  `json:"upper_acceptance"`
	ProbabilityOfConformity float64   `json:"probability_of_conformity"`
	SpecificRisk            *float64  `json:"specific_risk"`
	Warnings                []problem `json:"warnings"`
}

// decision is the kind "decision": conformity.Decide.
func decision(o *object, say func(fault.Fault) string) (any, error) {
	q := conformity.Question{
		Value:               o.number("value"),
		ExpandedUncertainty: o.number("expanded_uncertainty"),
		CoverageFactor:      o.number("coverage_factor"),
		Limits: conformity.Between(
			o.numberOr("lower_limit", math.Inf(-1)),
			o.numberOr("upper_limit", math.Inf(1))),
		NoStatementAbove: o.numberOr("no_statement_above", math.Inf(1)),
	}
	o.choice("rule", true, func(word string) (err error) {
		q.Rule, err = conformity.ParseRule(word)
		return err
	})
	guard := float64(conformity.GuardFactorDefault)
	if q.Rule == conformity.Simple {
		guard = 0
	}
	q.GuardFactor = o.numberOr("guard_factor", guard)
	o.done()
	if err := o.err(); err != nil {
		return nil, err
	}
	d, err := conformity.Decide(q)
	if err != nil {
		return nil, err
	}
	return decisionAnswer{
		Verdict:                 d.Verdict.String(),
		Reason:                  told(d.Reason, say),
		GuardBand:               d.GuardBand,
		LowerAcceptance:         orNull(d.Acceptance.Lower),
		UpperAcceptance:         orNull(d.Acceptance.Upper),
		ProbabilityOfConformity: d.ProbabilityOfConformity,
		SpecificRisk:            orNull(d.SpecificRisk),
		Warnings:                toldAll(d.Warnings, say),
	}, nil
}
