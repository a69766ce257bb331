package evaluation

import (
	"math"
	"slices"

	"rillmark/calc/conformity"
	"rillmark/calc/verification"
	"rillmark/domain/sheet"
)

// summarise says what the flow points of an indication come to: the mean error, the
// overall verdict, and what adjusting would do.
func (w *work) summarise(p sheet.Phase, points []*point, result *IndicationResult) error {
	result.Overall = Overall{Rule: w.Agreement.OverallRule, Verdict: noStatement}
	var certain []*point
	for _, one := range points {
		if one.U != nil {
			certain = append(certain, one)
		}
	}
	if len(certain) > 0 && len(certain) == countUsed(points) {
		if err := w.mean(certain, result); err != nil {
			return err
		}
		w.propose(p, certain, result)
	}
	result.Overall.FromFlow, result.Overall.ToFlow = span(points)
	if w.Agreement.OverallRule == MeanError {
		w.overallMean(points, result)
		return nil
	}
	overallWorst(points, result)
	return nil
}

func countUsed(points []*point) int {
	n := 0
	for _, one := range points {
		if one.RunsUsed > 0 {
			n++
		}
	}
	return n
}

// span returns the lowest and the highest mean reference flow of the points with a run.
func span(points []*point) (low, high float64) {
	for _, one := range points {
		if one.RunsUsed == 0 {
			continue
		}
		if low == 0 || one.Reference < low {
			low = one.Reference
		}
		high = math.Max(high, one.Reference)
	}
	return low, high
}

// mean combines the flow points, what they share counted with its sign, and judges the
// mean by the tightest of their limits.
func (w *work) mean(points []*point, result *IndicationResult) error {
	e := make([]verification.Estimate, len(points))
	for i, one := range points {
		e[i] = one.estimate
	}
	mean := verification.Mean(e)
	u, err := mean.Uncertainty(w.Method.Content.Coverage)
	if err != nil {
		return err
	}
	u = atLeast(u, w.Method.Content.Capability)
	result.MeanError = &MeanResult{Points: len(points), Error: mean.Value, U: *expanded(u),
		Decision: Decision{Verdict: noStatement, Reason: &Finding{NoLimitAgreed.At("limits", points[0].Reference)}}}
	lower, upper := math.Inf(-1), math.Inf(1)
	for _, one := range points {
		if one.Limits == nil {
			return nil
		}
		if one.Limits.LowerError != nil {
			lower = math.Max(lower, *one.Limits.LowerError)
		}
		if one.Limits.UpperError != nil {
			upper = math.Min(upper, *one.Limits.UpperError)
		}
	}
	if lower >= upper {
		return nil // limits that no error could meet at all points
	}
	q := question{mean.Value, u}
	result.MeanError.Limits = &Judged{Kind: OfReading, Lower: orNil(lower), Upper: orNil(upper), Value: q.value,
		Expanded: u.Expanded, LowerError: orNil(lower), UpperError: orNil(upper)}
	if n := w.openPoints(points); n > 0 {
		result.MeanError.Decision = without(SomePointsNoStatement.At("points", n))
		return nil
	}
	result.MeanError.Decision, err = w.decision(q, lower, upper)
	return err
}

// openPoints counts the flow points that lack a ground; all do where the whole lacks one.
func (w *work) openPoints(points []*point) int {
	if len(w.result.Grounds) > 0 {
		return len(points)
	}
	n := 0
	for _, one := range points {
		if len(one.Grounds) > 0 {
			n++
		}
	}
	return n
}

// overallMean takes the verdict on the mean error, where no flow point lacks a ground.
func (w *work) overallMean(points []*point, result *IndicationResult) {
	if result.MeanError == nil || w.openPoints(points) > 0 {
		result.Overall.Reason = &Finding{SomePointsNoStatement.At("points", max(w.openPoints(points), 1))}
		return
	}
	result.Overall.Verdict, result.Overall.Reason = result.MeanError.Decision.Verdict, result.MeanError.Decision.Reason
}

// ranks is the order of verdicts, the worst first. A point that fails makes the meter fail
// whatever another one leaves open; a pass says that no point is left open.
var ranks = []string{conformity.Fail.String(), conformity.ConditionalFail.String(), noStatement,
	conformity.ConditionalPass.String(), conformity.Pass.String()}

// overallWorst takes the worst verdict of the flow points. A conditional one stays
// conditional.
func overallWorst(points []*point, result *IndicationResult) {
	worst, open := len(ranks), 0
	for _, one := range points {
		rank := slices.Index(ranks, one.Decision.Verdict)
		if one.Decision.Verdict == noStatement {
			open++
		}
		if rank < worst {
			worst = rank
			result.Overall.Verdict, result.Overall.Reason = one.Decision.Verdict, one.Decision.Reason
		}
	}
	switch {
	case len(points) == 0:
		result.Overall.Reason = &Finding{NoUsedRun.At("runs")}
	case result.Overall.Verdict == noStatement:
		result.Overall.Reason = &Finding{SomePointsNoStatement.At("points", open)}
	}
}
