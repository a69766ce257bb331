package capture

import (
	"context"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/sheet"
)

// NoteControl is the command to say what the meter's signal controls, who put it in manual
// or inhibited it, or who restored it.
type NoteControl struct {
	At
	ID     domain.ControlNoteID `json:"id" form:"id"`
	Kind   string               `json:"kind" form:"kind"`
	What   string               `json:"what" form:"what"`
	DoneBy string               `json:"done_by" form:"done_by"`
}

// NoteTask is the command to say something of the task: not adjusted, finished, not
// possible, a deviation, a condition.
type NoteTask struct {
	At
	ID   domain.TaskNoteID `json:"id" form:"id"`
	Kind string            `json:"kind" form:"kind"`
	Text string            `json:"text" form:"text"`
}

// NoteControl adds a control note.
func (s *Service) NoteControl(ctx context.Context, a access.Actor, c NoteControl) (Written, error) {
	row := sheet.ControlNote{ID: c.ID, Kind: sheet.ControlKind(c.Kind), What: domain.Lines(c.What), DoneBy: domain.Line(c.DoneBy), Stamp: standIn}
	if err := checked(c.ID, row.Validate()); err != nil {
		return Written{}, domain.Wrap("control.note", err)
	}
	return record(ctx, s, a, "control.note", c.At, c, func(ctx context.Context, p *pen) (Written, error) {
		row := row
		row.Stamp = p.stamp()
		p.wrote("control_note", row.ID, row)
		return Written{ID: row.ID.String()}, p.Run(ctx, `INSERT INTO control_note (id, client_id, task_id, kind, what, done_by, by, captured_at, received_at)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)`,
			row.ID, row.ClientID, row.TaskID, row.Kind, row.What, row.DoneBy, row.By, row.CapturedAt, row.ReceivedAt)
	})
}

// NoteTask adds a note on the task. Sending back is the approver's and not done here.
func (s *Service) NoteTask(ctx context.Context, a access.Actor, c NoteTask) (Written, error) {
	row := sheet.TaskNote{ID: c.ID, Kind: sheet.NoteKind(c.Kind), Text: domain.Lines(c.Text), Stamp: standIn}
	if row.Kind == sheet.SentBack {
		return Written{}, domain.Refuse(domain.Forbidden, domain.NotAllowed.At("kind"))
	}
	if err := checked(c.ID, row.Validate()); err != nil {
		return Written{}, domain.Wrap("task.note", err)
	}
	return record(ctx, s, a, "task.note", c.At, c, func(ctx context.Context, p *pen) (Written, error) {
		row := row
		row.Stamp = p.stamp()
		p.wrote("task_note", row.ID, row)
		return Written{ID: row.ID.String()}, p.Run(ctx, `INSERT INTO task_note (id, client_id, task_id, kind, text, by, captured_at, received_at)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`,
			row.ID, row.ClientID, row.TaskID, row.Kind, row.Text, row.By, row.CapturedAt, row.ReceivedAt)
	})
}

// checked adds a malformed id to what is wrong with a row.
func checked[K any](id domain.ID[K], problems error) error {
	var check domain.Check
	if !id.Valid() {
		check.Add(domain.NotAnID.At("id"))
	}
	check.Merge(problems)
	return check.Err()
}
