package evaluation

import (
	"math"
	"slices"

	"rillmark/calc/verification"
	"rillmark/domain/method"
	"rillmark/domain/sheet"
)

// checks looks at the set-up checks of a mounting: the last of each moment holds, and an
// earlier failure stays a remark.
func (w *work) checks(at *mounted) {
	before, failedBefore := w.lastCheck(at, sheet.Before)
	after, failedAfter := w.lastCheck(at, sheet.After)
	field := "setup_checks"
	if failedBefore || failedAfter {
		at.result.Remarks.add(CheckEarlierFailed.At(field, at.Number))
	}
	w.checkBefore(at, before)
	switch {
	case after == nil:
		if slices.ContainsFunc(w.Sheet.Runs, func(r sheet.Run) bool { return r.MountingID == at.ID }) {
			at.result.Remarks.add(NotReChecked.At(field, at.Number))
		}
	case after.Outcome == sheet.Failed:
		at.result.Grounds.add(CheckFailedAfter.At(field, at.Number))
	}
	if before != nil && after != nil && before.SoundSpeed != nil && after.SoundSpeed != nil {
		change := *after.SoundSpeed / *before.SoundSpeed - 1
		if math.Abs(change) > w.Method.Content.SetupCheck.Change {
			at.result.Remarks.add(SoundSpeedChanged.At(field, at.Number, change*100))
		}
	}
}

func (w *work) checkBefore(at *mounted, c *sheet.SetupCheck) {
	field, required := "setup_checks", w.Method.Content.SetupCheck.Required
	switch {
	case (c == nil || c.Outcome == sheet.NotMade) && required:
		at.result.Grounds.add(CheckMissing.At(field, at.Number))
	case c == nil || c.Outcome == sheet.NotMade:
		at.result.Remarks.add(CheckNotMade.At(field, at.Number))
	case c.Outcome == sheet.Failed:
		at.result.Grounds.add(CheckFailed.At(field, at.Number))
	case c.Outcome == sheet.Inconclusive:
		at.result.Remarks.add(CheckInconclusive.At(field, at.Number))
	}
	least := w.Method.Content.SetupCheck.LeastSNR
	if at.reference.LeastSNR != nil {
		least = *at.reference.LeastSNR
	}
	if c != nil && c.SNR != nil && *c.SNR < least {
		at.result.Remarks.add(SignalWeak.At(field, *c.SNR, least))
	}
}

// lastCheck returns the last check of a moment, and whether an earlier one had failed.
func (w *work) lastCheck(at *mounted, moment sheet.Moment) (last *sheet.SetupCheck, failedEarlier bool) {
	for i := range w.Sheet.SetupChecks {
		c := &w.Sheet.SetupChecks[i]
		if c.MountingID != at.ID || c.Moment != moment {
			continue
		}
		if last == nil || c.CapturedAt.After(last.CapturedAt) {
			failedEarlier = failedEarlier || last != nil && last.Outcome == sheet.Failed
			last = c
			continue
		}
		failedEarlier = failedEarlier || c.Outcome == sheet.Failed
	}
	return last, failedEarlier
}

// zero is what is known of the reference's zero: the uncertainty of it as velocity, and
// whether it comes from a check.
type zero struct {
	checked bool
	u       float64 // m/s, with the offset found; with checked
}

// zero looks at the zero checks of a mounting. One at which the low-flow cut-off was on
// shows a zero whatever the reference reads, and does not count.
func (w *work) zero(at *mounted) zero {
	before, after := w.lastZero(at, sheet.Before), w.lastZero(at, sheet.After)
	const field = "zero_checks"
	if before == nil && after == nil {
		at.result.Remarks.add(ZeroNotMade.At(field, at.Number))
		return zero{}
	}
	counts := func(z *sheet.ZeroCheck) bool { return z != nil && z.Possible && z.CutoffOff }
	for _, z := range []*sheet.ZeroCheck{before, after} {
		switch least := w.Method.Content.ZeroCheck.LeastSeconds; {
		case z == nil:
		case !z.Possible:
			at.result.Remarks.add(ZeroNotPossible.At(field, at.Number))
		case !z.CutoffOff:
			at.result.Remarks.add(ZeroHidden.At(field, at.Number))
		case *z.Seconds < least:
			at.result.Remarks.add(ZeroShort.At(field, at.Number, *z.Seconds, least))
		}
	}
	if counts(before) && counts(after) {
		change := *after.MeanVelocity - *before.MeanVelocity
		if math.Abs(change) > w.Method.Content.ZeroCheck.Change {
			at.result.Remarks.add(ZeroChanged.At(field, at.Number, change*1e3))
		}
	}
	// Of two, the one that says more against the reference.
	var worst zero
	for _, z := range []*sheet.ZeroCheck{before, after} {
		if counts(z) {
			worst = zero{true, math.Max(worst.u, verification.Uncorrected(*z.UVelocity, *z.MeanVelocity))}
		}
	}
	return worst
}

func (w *work) lastZero(at *mounted, moment sheet.Moment) *sheet.ZeroCheck {
	var last *sheet.ZeroCheck
	for i := range w.Sheet.ZeroChecks {
		z := &w.Sheet.ZeroChecks[i]
		if z.MountingID == at.ID && z.Moment == moment && (last == nil || z.CapturedAt.After(last.CapturedAt)) {
			last = z
		}
	}
	return last
}

// zeroUncertainty returns the standard uncertainty of the zero, m/s: the check's, else the
// row's own.
func (at *mounted) zeroUncertainty(row method.BudgetRow) float64 {
	if at.zero.checked {
		return at.zero.u
	}
	u, _ := method.StandardUncertainty(row.Distribution, row.Value, row.K) // validated
	return u
}
