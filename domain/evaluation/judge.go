package evaluation

import (
	"cmp"
	"math"
	"slices"

	"rillmark/calc/conformity"
	"rillmark/calc/fault"
	"rillmark/calc/verification"
	"rillmark/domain/sheet"
)

var noStatement = conformity.NoStatement.String()

// question is an error with its uncertainty in the unit of the limits.
type question struct {
	value float64
	u     verification.Uncertainty
}

// judge decides on a flow point. Without a ground it is told why, and the verdict is none.
func (w *work) judge(p sheet.Phase, one *point) error {
	limit, boundary := w.limitAt(LimitPhase(p), one)
	if limit == nil {
		one.Decision = without(NoLimitAgreed.At("limits", one.Reference))
	} else {
		if boundary != 0 {
			one.Remarks.add(ZoneBoundary.At("limits", boundary))
		}
		if one.U == nil {
			one.Decision = without(NoUncertainty.At("uncertainty"))
		} else if err := w.decide(one, *limit); err != nil {
			return err
		}
	}
	if n := len(one.Grounds) + len(w.result.Grounds); n > 0 {
		one.Decision = without(ForInformation.At("missing_grounds", n))
	}
	return w.adviseAdjusting(one)
}

// decide judges by one limit in the unit it was agreed in.
func (w *work) decide(one *point, limit Limit) error {
	q, err := w.question(one, limit)
	if err != nil {
		return err
	}
	one.Limits = judged(limit, q, one.Reference)
	if one.Decision, err = w.decision(q, limit.lower(), limit.upper()); err != nil {
		return err
	}
	if half := halfWidth(limit.lower(), limit.upper()); q.u.Expanded > half {
		one.Remarks.add(TooUncertain.At("uncertainty", q.u.Expanded/half*100))
	}
	return nil
}

// question puts error and uncertainty of the flow point in the unit of the limit.
func (w *work) question(one *point, limit Limit) (question, error) {
	coverage, capability := w.Method.Content.Coverage, w.Method.Content.Capability
	if limit.Kind == OfReading || limit.Kind == Combined {
		u, err := one.estimate.Uncertainty(coverage)
		return question{one.Error, atLeast(u, capability)}, err
	}
	scale := 1.0
	if limit.Kind == OfSpan {
		scale = 1 / *limit.Span
	}
	flow := verification.Linear([]float64{scale}, []verification.Estimate{one.comparison.FlowError()})
	u, err := flow.Uncertainty(coverage)
	return question{flow.Value, atLeast(u, capability*math.Abs(one.Reference)*scale)}, err
}

// decision asks package conformity.
func (w *work) decision(q question, lower, upper float64) (Decision, error) {
	rule, err := conformity.ParseRule(w.Agreement.Rule)
	if err != nil {
		return Decision{}, err
	}
	asked := conformity.Question{Value: q.value, ExpandedUncertainty: q.u.Expanded, CoverageFactor: q.u.K,
		Limits: conformity.Between(lower, upper), Rule: rule, NoStatementAbove: math.Inf(1)}
	if rule != conformity.Simple {
		asked.GuardFactor = w.Agreement.GuardFactor
	}
	if ratio := w.Agreement.NoStatementRatio; ratio != nil {
		asked.NoStatementAbove = *ratio * halfWidth(lower, upper)
	}
	d, err := conformity.Decide(asked)
	if err != nil {
		return Decision{}, err
	}
	return Decision{Verdict: d.Verdict.String(), Reason: &Finding{d.Reason}, GuardBand: d.GuardBand,
		AcceptLower: orNil(d.Acceptance.Lower), AcceptUpper: orNil(d.Acceptance.Upper),
		ProbabilityOfConformity: orNil(d.ProbabilityOfConformity), SpecificRisk: orNil(d.SpecificRisk)}, nil
}

// orNil writes what is not finite as nil.
func orNil(x float64) *float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	return &x
}

func (l Limit) lower() float64 {
	if l.Lower == nil {
		return math.Inf(-1)
	}
	return *l.Lower
}

func (l Limit) upper() float64 {
	if l.Upper == nil {
		return math.Inf(1)
	}
	return *l.Upper
}

// halfWidth is half the distance of two limits; of a single one its distance from zero.
func halfWidth(lower, upper float64) float64 {
	switch {
	case math.IsInf(lower, -1):
		return math.Abs(upper)
	case math.IsInf(upper, 1):
		return math.Abs(lower)
	}
	return (upper - lower) / 2
}

// relative returns what the limits' unit is worth in parts of the reference flow.
func (l Limit) relative(flow float64) float64 {
	switch l.Kind {
	case OfSpan:
		return *l.Span / flow
	case OfFlow:
		return 1 / flow
	}
	return 1
}

func judged(l Limit, q question, flow float64) *Judged {
	unit := l.relative(flow)
	return &Judged{N: l.N, Kind: l.Kind, Lower: l.Lower, Upper: l.Upper, Value: q.value, Expanded: q.u.Expanded,
		LowerError: orNil(l.lower() * unit), UpperError: orNil(l.upper() * unit)}
}

// limitAt returns the limit that holds at the flow point's mean reference flow, and the
// boundary of its zone, m³/s, where that lies within U of it: then of the zones on both
// sides the tighter limit holds. 0: no boundary is near; nil: nothing was agreed there.
func (w *work) limitAt(phase LimitPhase, one *point) (*Limit, float64) {
	spread := 0.0
	if one.UReference != nil {
		spread = one.UReference.Expanded * math.Abs(one.Reference)
	}
	flow := math.Abs(one.Reference)
	var here, near []Limit
	boundary := 0.0
	for _, l := range w.Agreement.Limits {
		if l.Phase != phase {
			continue
		}
		l := l.at(flow)
		switch {
		case l.covers(flow):
			here = append(here, l)
		case l.covers(flow - spread):
			near, boundary = append(near, l), *l.ToFlow
		case l.covers(flow + spread):
			near, boundary = append(near, l), l.FromFlow
		}
	}
	if len(here) == 0 {
		return nil, 0
	}
	all := append(here, near...)
	slices.SortStableFunc(all, func(a, b Limit) int {
		return cmp.Compare(halfWidth(a.lower(), a.upper())*a.relative(flow), halfWidth(b.lower(), b.upper())*b.relative(flow))
	})
	return &all[0], boundary
}

// at returns the limit as it is at a flow: one of two terms as what both come to.
func (l Limit) at(flow float64) Limit {
	if l.Combine == "" {
		return l
	}
	limits, err := l.agreed().At(flow)
	if err != nil {
		return l // a flow of zero, at which nothing is judged; the limit is validated
	}
	return Limit{N: l.N, Phase: l.Phase, FromFlow: l.FromFlow, ToFlow: l.ToFlow, Kind: Combined,
		Lower: orNil(limits.Lower), Upper: orNil(limits.Upper)}
}

// agreed is the limit as package conformity reads it.
func (l Limit) agreed() conformity.Agreed {
	return conformity.Agreed{Limits: conformity.Between(l.lower(), l.upper()), Part: conformity.Part(l.Kind), Span: value(l.Span),
		Combination: l.Combine, Second: value(l.Other), SecondPart: conformity.Part(l.OtherKind), SecondSpan: value(l.OtherSpan)}
}

func (l Limit) covers(flow float64) bool {
	return flow >= l.FromFlow && (l.ToFlow == nil || flow < *l.ToFlow)
}

// adviseAdjusting compares the error with the limits agreed for adjusting.
func (w *work) adviseAdjusting(one *point) error {
	limit, _ := w.limitAt(LimitAdjustIf, one)
	if limit == nil || one.U == nil {
		return nil
	}
	q, err := w.question(one, *limit)
	if err != nil {
		return err
	}
	one.AdjustAdvised = one.Significant && (q.value < limit.lower() || q.value > limit.upper())
	return nil
}

// without is no statement, with the reason.
func without(f fault.Fault) Decision { return Decision{Verdict: noStatement, Reason: &Finding{f}} }
