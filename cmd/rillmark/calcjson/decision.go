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
	LowerLimit              *float64  `json:"lower_limit,omitempty"` // of what was agreed, at the flow
	UpperLimit              *float64  `json:"upper_limit,omitempty"`
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
	agreed := o.has("agreed")
	if agreed {
		q.Limits = o.agreed(q.Limits)
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
	answer := decisionAnswer{
		Verdict:                 d.Verdict.String(),
		Reason:                  told(d.Reason, say),
		GuardBand:               d.GuardBand,
		LowerAcceptance:         orNull(d.Acceptance.Lower),
		UpperAcceptance:         orNull(d.Acceptance.Upper),
		ProbabilityOfConformity: d.ProbabilityOfConformity,
		SpecificRisk:            orNull(d.SpecificRisk),
		Warnings:                toldAll(d.Warnings, say),
	}
	if agreed {
		answer.LowerLimit, answer.UpperLimit = orNull(q.Limits.Lower), orNull(q.Limits.Upper)
	}
	return answer, nil
}

// agreed reads a limit as it was agreed and returns it at the flow, as limits of the
// relative error. Limits of the error itself are not given beside it.
func (o *object) agreed(given conformity.Limits) conformity.Limits {
	if given.HasLower() || given.HasUpper() {
		o.add(codeFieldsTogether.At(o.at("agreed"), "agreed, lower_limit, upper_limit"))
	}
	a := o.inner("agreed")
	limit := conformity.Agreed{
		Part:        conformity.Part(a.word("kind")),
		Limits:      conformity.Between(a.numberOr("lower", math.Inf(-1)), a.numberOr("upper", math.Inf(1))),
		Span:        a.numberOr("span", 0),
		Combination: conformity.Combination(a.wordOr("combine", "")),
		Second:      a.numberOr("other", 0),
		SecondPart:  conformity.Part(a.wordOr("other_kind", "")),
		SecondSpan:  a.numberOr("other_span", 0),
	}
	a.done()
	flow := o.number("flow")
	if o.err() != nil {
		return given
	}
	l, err := limit.At(flow)
	for _, f := range fault.AllOf(err) {
		if f.Field != "flow" {
			f = f.In("agreed." + f.Field)
		}
		o.add(f)
	}
	return l
}
