package evaluation

import (
	"time"

	"rillmark/calc/verification"
	"rillmark/domain"
	"rillmark/domain/kit"
	"rillmark/domain/sheet"
)

// validity says whether the calibration of the set may carry the run: valid at its time,
// and covering its velocity and Reynolds number.
func (w *work) validity(m *measured) {
	for _, id := range w.kitOf(m.at) {
		if item, ok := w.item(id); ok && !item.InService(m.run.CapturedAt) {
			m.grounds.add(KitOutOfService.At("", item.Tag))
		}
	}
	c := m.at.calibrated
	if c == nil {
		return // the mounting says so
	}
	if m.velocity > 0 && !kit.Covers(c.LeastVelocity, c.MostVelocity, m.velocity) {
		m.grounds.add(VelocityNotCovered.At("velocity", m.velocity, c.CertificateNumber))
	}
	if m.reynolds > 0 && !kit.Covers(c.LeastReynolds, c.MostReynolds, m.reynolds) {
		m.grounds.add(ReynoldsNotCovered.At("reynolds", m.reynolds, c.CertificateNumber))
	}
	for _, at := range times(m.run) {
		if !c.Valid(at) {
			m.grounds.add(CalibrationNotValid.At("", m.at.reference.Tag, c.CertificateNumber, c.ValidTo.UTC().Format(time.DateOnly), m.Number))
		} else if m.Used {
			w.note(*c, at)
		}
	}
}

func (w *work) kitOf(at *mounted) []domain.KitID {
	ids := []domain.KitID{at.ReferenceID, at.PairID}
	if at.CableID != nil {
		ids = append(ids, *at.CableID)
	}
	return ids
}

// times are when the run was captured: it and the readings that count.
func times(t sheet.Taken) []time.Time {
	all := []time.Time{t.CapturedAt}
	for _, r := range t.UsedReadings() {
		all = append(all, r.CapturedAt)
	}
	return all
}

// note keeps when a calibration was used first and last.
func (w *work) note(c kit.Calibration, at time.Time) {
	use := w.uses[c.ID]
	if use == nil {
		w.uses[c.ID] = &KitUse{c.ID, c.KitID, c.ValidFrom, c.ValidTo, at, at}
		return
	}
	if at.Before(use.FirstUsed) {
		use.FirstUsed = at
	}
	if at.After(use.LastUsed) {
		use.LastUsed = at
	}
}

// pointsOf returns the calibration's points as the model takes them.
func pointsOf(at *mounted) []verification.CalibrationPoint {
	points := make([]verification.CalibrationPoint, len(at.calibrated.Points))
	for i, p := range at.calibrated.Points {
		points[i] = verification.CalibrationPoint{Velocity: p.At, Error: p.Error, Expanded: p.Expanded, K: p.K}
	}
	return points
}
