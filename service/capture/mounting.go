package capture

import (
	"context"

	"rillmark/calc/quantity"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/kit"
	"rillmark/domain/sheet"
	"rillmark/service/store"
)

// Mount is the command to add a mounting: transducers placed once. Recommended is what the
// reference recommends, looked at only where the survey does not give it.
type Mount struct {
	At
	ID            domain.MountingID `json:"id" form:"id"`
	ReferenceID   domain.KitID      `json:"reference_id" form:"reference_id"`
	PairID        domain.KitID      `json:"pair_id" form:"pair_id"`
	CableID       domain.KitID      `json:"cable_id" form:"cable_id"`
	TapeID        domain.KitID      `json:"tape_id" form:"tape_id"`
	Traverses     string            `json:"traverses" form:"traverses"`
	ClockPosition string            `json:"clock_position" form:"clock_position"`
	Spacing       string            `json:"spacing" form:"spacing"`
	Recommended   string            `json:"recommended" form:"recommended"`
	Note          string            `json:"note" form:"note"`
}

func (c Mount) read() (sheet.Mounting, *float64, error) {
	var r reader
	m := sheet.Mounting{ID: c.ID, Number: 1, ReferenceID: c.ReferenceID, PairID: c.PairID, CableID: orNil(c.CableID), TapeID: orNil(c.TapeID),
		ClockPosition: domain.Line(c.ClockPosition), Note: domain.Line(c.Note)}
	if !m.ID.Valid() {
		r.Add(domain.NotAnID.At("id"))
	}
	m.Traverses = r.count("traverses", c.Traverses)
	m.Spacing, m.SpacingEntered = r.quantity("spacing", c.Spacing, quantity.KindLength, "mm")
	shown, _ := r.maybe("recommended", c.Recommended, quantity.KindLength, "mm")
	if err := r.Err(); err != nil {
		return m, nil, err
	}
	checked := m
	checked.Stamp = standIn
	return m, shown, checked.Validate()
}

// Mount adds a mounting. The recommended spacing is computed from the survey in force and
// kept with what it was computed from; without a complete survey the reference's own
// holds, and without that there is none.
func (s *Service) Mount(ctx context.Context, a access.Actor, c Mount) (Written, error) {
	m, shown, err := c.read()
	if err != nil {
		return Written{}, domain.Wrap("mounting.add", err)
	}
	return preparing(ctx, s, a, "mounting.add", c.At, c, func(w *Work) (sheet.Mounting, error) {
		m := m
		if err := w.fit(m); err != nil {
			return m, err
		}
		m.Recommended, m.Basis = w.recommendedFor(m, shown)
		return m, nil
	}, (*pen).putMounting)
}

// fit looks that the kit of a mounting is there and is what it is named as.
func (w *Work) fit(m sheet.Mounting) error {
	for _, part := range []struct {
		field string
		id    *domain.KitID
		kind  kit.Kind
	}{{"reference_id", &m.ReferenceID, kit.ReferenceMeter}, {"pair_id", &m.PairID, kit.TransducerPair}, {"cable_id", m.CableID, kit.Cable}, {"tape_id", m.TapeID, kit.Tape}} {
		if part.id == nil {
			continue
		}
		if err := w.fits(part.field, *part.id, part.kind); err != nil {
			return err
		}
	}
	return nil
}

// preparing reads the task's sheet and works a row out before the transaction begins:
// nothing is computed while a lock is held. What was captured in between is not in the
// row; its basis says what was.
func preparing[R any](ctx context.Context, s *Service, a access.Actor, action string, at At, request any,
	work func(*Work) (R, error), put func(*pen, context.Context, R) (Written, error)) (Written, error) {
	if err := access.May(a, access.FillSheet); err != nil {
		return Written{}, err
	}
	w, err := s.work(ctx, at.TaskID)
	if err != nil {
		return Written{}, domain.Wrap(action, err)
	}
	row, err := work(w)
	if err != nil {
		return Written{}, domain.Wrap(action, err)
	}
	return record(ctx, s, a, action, at, request, func(ctx context.Context, p *pen) (Written, error) { return put(p, ctx, row) })
}

func (p *pen) putMounting(ctx context.Context, m sheet.Mounting) (Written, error) {
	var err error
	if m.Number, err = p.next(ctx, "SELECT coalesce(max(number), 0) FROM mounting WHERE task_id = $1", p.task.ID); err != nil {
		return Written{}, err
	}
	m.Stamp = p.stamp()
	p.wrote("mounting", m.ID, m)
	for _, id := range []*domain.KitID{&m.ReferenceID, &m.PairID, m.CableID} {
		if id != nil {
			p.Concerns(audit.Kind("kit_item"), *id)
		}
	}
	return Written{m.ID.String(), m.Number}, p.Run(ctx, `INSERT INTO mounting (id, client_id, task_id, number, reference_id, pair_id,
			cable_id, tape_id, traverses, clock_position, recommended, spacing, spacing_entered, basis, note, by, captured_at, received_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18)`,
		m.ID, m.ClientID, m.TaskID, m.Number, m.ReferenceID, m.PairID, m.CableID, m.TapeID, m.Traverses, m.ClockPosition,
		m.Recommended, m.Spacing, m.SpacingEntered, m.Basis, m.Note, m.By, m.CapturedAt, m.ReceivedAt)
}

// inTask looks that a mounting is one of the task's.
func (p *pen) inTask(ctx context.Context, id domain.MountingID) error {
	found, err := store.Scalars[int](ctx, p, "SELECT number FROM mounting WHERE id = $1 AND task_id = $2", id, p.task.ID)
	if err == nil && len(found) == 0 {
		return domain.Refuse(domain.NotFound, domain.NoSuchThing.At("mounting_id", "mounting"))
	}
	return err
}
