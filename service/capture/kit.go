package capture

import (
	"context"
	"slices"
	"time"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/evaluation"
	"rillmark/domain/kit"
	"rillmark/domain/sheet"
	"rillmark/service/store"
)

const itemColumns = `id, kind, tag, maker, model, serial, firmware, works_by, takes_spacing, least_snr_db, resolution, resolution_entered,
	averaging_s, wave, wedge_angle, wedge_sound_speed, exit_offset, frequency, graduation, out_of_service_at, out_of_service_why,
	note, version, created_at, changed_at`

// readKit reads what is booked for the visit and what the sheet names, with every
// calibration. Where nothing is booked the company's whole kit can be named: what was
// used is said, booked or not.
func (s *Service) readKit(ctx context.Context, w *Work, _ domain.TaskID) (err error) {
	used := usedKit(w.Facts.Sheet)
	w.Kit, err = store.Rows[kit.Item](ctx, s.store, "SELECT "+itemColumns+` FROM kit_item k
		WHERE id = ANY($2) OR EXISTS (SELECT FROM booking b WHERE b.kit_id = k.id AND b.visit_id = $1 AND NOT b.released)
		   OR NOT EXISTS (SELECT FROM booking b WHERE b.kit_id IS NOT NULL AND b.visit_id = $1 AND NOT b.released)
		ORDER BY lower(tag)`, w.VisitID, used)
	if err != nil {
		return err
	}
	for _, item := range w.Kit {
		if slices.Contains(used, item.ID) {
			w.Facts.Kit = append(w.Facts.Kit, item)
		}
	}
	calibrations, err := s.calibrations(ctx, w.Kit)
	w.calibrations = calibrations
	for _, c := range calibrations {
		if slices.Contains(used, c.KitID) {
			w.Facts.Calibrations = append(w.Facts.Calibrations, c)
		}
	}
	return err
}

// usedKit is every item that the sheet names.
func usedKit(s sheet.Sheet) []domain.KitID {
	ids := []domain.KitID{}
	add := func(id *domain.KitID) {
		if id != nil && !slices.Contains(ids, *id) {
			ids = append(ids, *id)
		}
	}
	for _, v := range s.Survey {
		add(v.KitID)
	}
	for _, m := range s.Mountings {
		add(&m.ReferenceID)
		add(&m.PairID)
		add(m.CableID)
		add(m.TapeID)
	}
	return ids
}

func (s *Service) calibrations(ctx context.Context, items []kit.Item) ([]kit.Calibration, error) {
	ids := []domain.KitID{}
	for _, i := range items {
		ids = append(ids, i.ID)
	}
	all, err := store.Rows[kit.Calibration](ctx, s.store, `SELECT id, kit_id, pair_id, cable_id, quantity, certificate_number, laboratory, route,
		calibrated_on, lower(valid) AS valid_from, upper(valid) AS valid_to, least_inside_diameter, most_inside_diameter,
		least_velocity, most_velocity, least_reynolds, most_reynolds, traverses
		FROM calibration WHERE kit_id = ANY($1) ORDER BY calibrated_on, id`, ids)
	if err != nil {
		return nil, err
	}
	type point struct {
		CalibrationID domain.CalibrationID `db:"calibration_id"`
		kit.Point
	}
	points, err := store.Rows[point](ctx, s.store, `SELECT p.calibration_id, p.n, p.at_value, p.error, p.expanded_uncertainty, p.coverage_factor
		FROM calibration_point p JOIN calibration c ON c.id = p.calibration_id WHERE c.kit_id = ANY($1) ORDER BY p.calibration_id, p.n`, ids)
	for _, p := range points {
		if i := slices.IndexFunc(all, func(c kit.Calibration) bool { return c.ID == p.CalibrationID }); i >= 0 {
			all[i].Points = append(all[i].Points, p.Point)
		}
	}
	return all, err
}

// kit returns the item of the id, and whether the task can name it.
func (w *Work) kit(id domain.KitID) (kit.Item, bool) {
	i := slices.IndexFunc(w.Kit, func(k kit.Item) bool { return k.ID == id })
	if i < 0 {
		return kit.Item{}, false
	}
	return w.Kit[i], true
}

// KitTag is what the item is called, empty for one the task does not know.
func (w *Work) KitTag(id *domain.KitID) string {
	if id == nil {
		return ""
	}
	item, _ := w.kit(*id)
	return item.Tag
}

// OfKind returns the items of the kinds.
func (w *Work) OfKind(kinds ...kit.Kind) []kit.Item {
	var items []kit.Item
	for _, i := range w.Kit {
		if slices.Contains(kinds, i.Kind) {
			items = append(items, i)
		}
	}
	return items
}

// KitWarnings names what is out of calibration or of service at the time, and a person who
// is not authorised, before anything is typed. None of it stops a capture.
func (w *Work) KitWarnings(person domain.PersonID, now time.Time) fault.List {
	var l fault.List
	for _, item := range w.Kit {
		if !item.InService(now) {
			l = append(l, KitWithdrawn.At("", item.Tag, *item.OutOfServiceWhy))
			continue
		}
		if needsCalibration(item.Kind) {
			l = append(l, w.lapsed(item, now)...)
		}
	}
	l = append(l, w.setWarnings(now)...)
	if person.Valid() && slices.Contains(w.Crew, person) && !w.authorised(person, now) {
		l = append(l, NotAuthorised.At("", w.MethodNumber))
	}
	return l
}

func needsCalibration(k kit.Kind) bool { return k != kit.TransducerPair && k != kit.Cable }

func (w *Work) lapsed(item kit.Item, now time.Time) fault.List {
	var last *kit.Calibration
	for i := range w.calibrations {
		c := &w.calibrations[i]
		if c.KitID != item.ID {
			continue
		}
		if c.Valid(now) {
			return nil
		}
		if last == nil || c.ValidTo.After(last.ValidTo) {
			last = c
		}
	}
	if last == nil {
		return fault.List{KitUnknown.At("", item.Tag)}
	}
	return fault.List{KitLapsed.At("", item.Tag, last.CertificateNumber, domain.LastDay(last.ValidTo, w.Zone()).Format("2 January 2006"))}
}

// setWarnings looks at each pair at hand: whether a reference at hand was calibrated with it,
// and whether one of these calibrations still holds. Where it is the reference itself that
// cannot be used, that is told and nothing more.
func (w *Work) setWarnings(now time.Time) fault.List {
	references := w.OfKind(kit.ReferenceMeter)
	if len(references) == 0 {
		return nil
	}
	var l fault.List
	for _, pair := range w.OfKind(kit.TransducerPair) {
		if pair.InService(now) {
			l = append(l, w.setWarning(references, pair, now)...)
		}
	}
	return l
}

func (w *Work) setWarning(references []kit.Item, pair kit.Item, now time.Time) fault.List {
	var last kit.Calibration
	with := references[0]
	for _, c := range w.calibrations {
		i := slices.IndexFunc(references, func(r kit.Item) bool { return r.ID == c.KitID })
		if i < 0 || c.PairID == nil || *c.PairID != pair.ID {
			continue
		}
		if c.Valid(now) {
			return nil
		}
		if last.ValidTo.IsZero() || c.ValidTo.After(last.ValidTo) {
			last, with = c, references[i]
		}
	}
	switch {
	case last.ValidTo.IsZero():
		return fault.List{SetUnknown.At("", with.Tag, pair.Tag)}
	case !with.InService(now) || len(w.lapsed(with, now)) > 0:
		return nil
	}
	return fault.List{SetLapsed.At("", with.Tag, pair.Tag, last.CertificateNumber, domain.LastDay(last.ValidTo, w.Zone()).Format("2 January 2006"))}
}

func (w *Work) authorised(person domain.PersonID, now time.Time) bool {
	for _, a := range w.authorisations {
		if a.PersonID == person && a.Act == evaluation.Perform && !now.Before(a.From) && (a.To == nil || now.Before(*a.To)) {
			return true
		}
	}
	return false
}

// Zone is the site's time zone, in which the page tells times.
func (w *Work) Zone() *time.Location {
	if z, err := time.LoadLocation(w.TimeZone); err == nil {
		return z
	}
	return time.UTC // the site's zone was checked when it was entered
}
