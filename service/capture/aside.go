package capture

import (
	"context"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/sheet"
	"rillmark/service/store"
)

// SetAside is the command to set a run, or one reading of it, aside with a reason, or to
// take it back in with one. It stays visible, counted and listed.
type SetAside struct {
	At
	ID        domain.SetAsideID `json:"id" form:"id"`
	RunID     domain.RunID      `json:"run_id" form:"run_id"`
	ReadingID domain.ReadingID  `json:"reading_id" form:"reading_id"` // zero: the whole run
	TakenBack bool              `json:"taken_back" form:"taken_back"`
	Reason    string            `json:"reason" form:"reason"`
}

// SetAside sets a run or a reading aside, or takes it back.
func (s *Service) SetAside(ctx context.Context, a access.Actor, c SetAside) (Written, error) {
	row := sheet.SetAside{ID: c.ID, RunID: c.RunID, ReadingID: orNil(c.ReadingID), TakenBack: c.TakenBack, Reason: domain.Lines(c.Reason), Stamp: standIn}
	var r reader
	if !row.ID.Valid() {
		r.Add(domain.NotAnID.At("id"))
	}
	r.Merge(row.Validate())
	if err := r.Err(); err != nil {
		return Written{}, domain.Wrap("aside.set", err)
	}
	return record(ctx, s, a, "aside.set", c.At, c, func(ctx context.Context, p *pen) (Written, error) {
		there, err := store.Scalars[bool](ctx, p, `SELECT EXISTS (SELECT FROM run WHERE id = $1 AND task_id = $2) AND
			($3::uuid IS NULL OR EXISTS (SELECT FROM reading WHERE id = $3 AND run_id = $1))`, row.RunID, p.task.ID, row.ReadingID)
		if err != nil {
			return Written{}, err
		}
		if !there[0] {
			return Written{}, domain.Refuse(domain.NotFound, domain.NoSuchThing.At("run_id", "run"))
		}
		row := row
		row.Stamp = p.stamp()
		p.wrote("set_aside", row.ID, row)
		return Written{ID: row.ID.String()}, p.Run(ctx, `INSERT INTO set_aside (id, client_id, task_id, run_id, reading_id, taken_back, reason,
				by, captured_at, received_at)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)`,
			row.ID, row.ClientID, row.TaskID, row.RunID, row.ReadingID, row.TakenBack, row.Reason, row.By, row.CapturedAt, row.ReceivedAt)
	})
}
