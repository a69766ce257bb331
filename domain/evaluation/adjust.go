package evaluation

import (
	"math"

	"rillmark/calc/verification"
	"rillmark/domain"
	"rillmark/domain/sheet"
)

// The directions of a correction.
const (
	raise = "raise"
	lower = "lower"
	none  = "none"
)

// direction returns in which direction the indication must be corrected.
func direction(relativeError float64) string {
	switch {
	case relativeError > 0:
		return lower
	case relativeError < 0:
		return raise
	}
	return none
}

// propose says what adjusting by one factor would do to the flow points.
func (w *work) propose(p sheet.Phase, points []*point, result *IndicationResult) {
	mean := result.MeanError
	factor, err := verification.Factor(mean.Error)
	if err != nil {
		return // an error of −100 %: no factor helps
	}
	proposal := &Proposal{Error: mean.Error, Factor: factor, PulsesPerVolume: 1 + mean.Error, Direction: direction(mean.Error),
		Significant: math.Abs(mean.Error) > mean.U.Expanded}
	if p == sheet.Before {
		if made, ok := w.made(result.IndicationID); ok {
			proposal.Made, factor = &made, made
		}
	}
	for _, one := range points {
		proposal.Predicted = append(proposal.Predicted, Predicted{one.FlowPoint, verification.Predicted(one.Error, factor)})
	}
	proposal.FlowWeighted = w.flowWeighted(points)
	result.Proposal = proposal
}

// flowWeighted is the flow-weighted mean error with its covariances; nil where a flow is
// not above zero.
func (w *work) flowWeighted(points []*point) *Weighted {
	members := make([]verification.Member, len(points))
	for i, one := range points {
		members[i] = verification.Member{Flow: one.Reference, Error: one.estimate}
	}
	e, err := verification.FlowWeighted(members)
	if err != nil {
		return nil
	}
	u, err := e.Uncertainty(w.Method.Content.Coverage)
	if err != nil {
		return nil
	}
	return &Weighted{Error: e.Value, U: *expanded(atLeast(u, w.Method.Content.Capability))}
}

// made is the factor of the adjustments recorded for an indication; false where one of
// them does not tell.
func (w *work) made(id domain.IndicationID) (float64, bool) {
	factor, any := 1.0, false
	for _, a := range w.Sheet.AdjustmentsInForce() {
		if a.IndicationID != nil && *a.IndicationID != id {
			continue
		}
		f, ok := a.Factor()
		if !ok {
			return 0, false
		}
		factor, any = factor*f, true
	}
	return factor, any
}

// changes compares flow points before and after: what they share cancels.
func (w *work) changes() error {
	for _, indication := range w.Indications {
		for n := 1; n <= w.flowPointMost(); n++ {
			before, after := w.found[spot{sheet.Before, indication.ID, n}], w.found[spot{sheet.After, indication.ID, n}]
			if before == nil || after == nil || before.U == nil || after.U == nil {
				continue
			}
			change := verification.Difference(after.estimate, before.estimate)
			u, err := change.Uncertainty(w.Method.Content.Coverage)
			if err != nil {
				return err
			}
			w.result.Changes = append(w.result.Changes, ChangeResult{IndicationID: indication.ID, FlowPoint: n,
				Before: before.Error, After: after.Error, Change: change.Value, U: *expanded(u),
				Significant: math.Abs(change.Value) > u.Expanded})
		}
	}
	return nil
}

func (w *work) flowPointMost() int {
	most := 0
	for _, r := range w.Sheet.Runs {
		most = max(most, r.FlowPoint)
	}
	return most
}

// adjustmentFindings says what is odd about the adjustments.
func (w *work) adjustmentFindings() {
	adjustments := w.Sheet.AdjustmentsInForce()
	if len(adjustments) == 0 {
		return
	}
	if !w.Agreement.AdjustingAllowed {
		w.result.Remarks.add(AdjustedUnasked.At("adjustments"))
	}
	first, last := adjustments[0].CapturedAt, adjustments[0].CapturedAt
	for _, a := range adjustments {
		if a.CapturedAt.Before(first) {
			first = a.CapturedAt
		}
		if a.CapturedAt.After(last) {
			last = a.CapturedAt
		}
	}
	for _, r := range w.Sheet.Runs {
		if r.Phase == sheet.Before && r.CapturedAt.After(first) {
			w.result.Remarks.add(FoundAfterAdjust.At("runs", r.Number))
		}
		if r.Phase == sheet.After && r.CapturedAt.Before(last) {
			w.result.Remarks.add(LeftBeforeAdjust.At("runs", r.Number))
		}
	}
	w.notSignificant()
}

// notSignificant remarks on an adjustment that the uncertainty did not ask for.
func (w *work) notSignificant() {
	for _, p := range w.result.Phases {
		for _, i := range p.Indications {
			if p.Phase == sheet.Before && i.Proposal != nil && !i.Proposal.Significant {
				w.result.Remarks.add(NotSignificant.At("adjustments"))
			}
		}
	}
}
