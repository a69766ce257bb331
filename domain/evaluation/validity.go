package evaluation

import (
	"time"

	"rillmark/calc/verification"
	"rillmark/domain"
	"rillmark/domain/kit"
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
	first, last := w.validThen(m, c, m.run.CapturedAt, time.Time{}, time.Time{})
	for i := range m.run.Readings {
		if r := &m.run.Readings[i]; r.Used {
			first, last = w.validThen(m, c, r.CapturedAt, first, last)
		}
	}
	if m.Used && !first.IsZero() {
		w.note(c, first)
		w.note(c, last)
	}
}

// validThen widens first and last by a time at which the run used the calibration, or says
// that it was not valid then.
func (w *work) validThen(m *measured, c *kit.Calibration, at, first, last time.Time) (time.Time, time.Time) {
	if !c.Valid(at) {
		m.grounds.add(CalibrationNotValid.At("", m.at.reference.Tag, c.CertificateNumber, domain.LastDay(c.ValidTo, time.UTC).Format(time.DateOnly), m.Number))
		return first, last
	}
	if first.IsZero() || at.Before(first) {
		first = at
	}
	if last.IsZero() || at.After(last) {
		last = at
	}
	return first, last
}

func (w *work) kitOf(at *mounted) []domain.KitID {
	ids := []domain.KitID{at.ReferenceID, at.PairID}
	if at.CableID != nil {
		ids = append(ids, *at.CableID)
	}
	return ids
}

// note keeps when a calibration was used first and last.
func (w *work) note(c *kit.Calibration, at time.Time) {
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
