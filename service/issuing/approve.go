package issuing

import (
	"context"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/approval"
	"rillmark/domain/audit"
	"rillmark/domain/sheet"
	"rillmark/service/store"
)

// Approve is the command to approve an evaluation. Input is the hash that the approver saw.
type Approve struct {
	Operation    domain.OperationID  `json:"operation" form:"operation"`
	ID           domain.ApprovalID   `json:"id" form:"id"`
	EvaluationID domain.EvaluationID `json:"evaluation_id" form:"evaluation_id"`
	Input        string              `json:"input" form:"input"`
	Remark       string              `json:"remark" form:"remark"`
}

// toldApproval is an approval as the trail tells it.
type toldApproval struct {
	Evaluation domain.EvaluationID `db:"evaluation_id" audit:"text"`
	Input      string              `db:"input" audit:"text"`
	Remark     string              `db:"remark" audit:"text"`
}

// Approve keeps the approval of an evaluation by a second person.
//
// Errors: those of approval.May; Stale with OtherResult when it is not what was seen.
func (s *Service) Approve(ctx context.Context, a access.Actor, c Approve) (Written, error) {
	const op = "approval.add"
	if err := access.May(a, access.Judge); err != nil {
		return Written{}, err
	}
	var check domain.Check
	remark := domain.Lines(c.Remark)
	check.Lines("remark", remark, 2000, false)
	if err := domain.New(c.ID.Valid(), check.Err()); err != nil {
		return Written{}, domain.Wrap(op, err)
	}
	command := store.Command{Actor: a, Action: op, Operation: c.Operation, Request: c}
	if done, found, err := store.Outcome[Written](ctx, s.Store, command); err != nil || found {
		return done, err
	}
	j, err := s.judged(ctx, c.EvaluationID)
	if err != nil {
		return Written{}, domain.Wrap(op, err)
	}
	if c.Input != j.Input {
		return Written{}, domain.Wrap(op, domain.Refuse(domain.Stale, approval.OtherResult.At("input")))
	}
	if err := s.May(ctx, a, j); err != nil {
		return Written{}, domain.Wrap(op, err)
	}
	return store.Write(ctx, s.Store, command, func(ctx context.Context, tx *store.Tx) (Written, error) {
		if err := lockTask(ctx, tx, j.TaskID); err != nil {
			return Written{}, err
		}
		concerns(tx, j)
		tx.Changed(audit.Approval, c.ID, 1, nil, toldApproval{j.ID, j.Input, remark})
		return Written{c.ID.String()}, tx.Run(ctx, `INSERT INTO approval (id, client_id, task_id, evaluation_id, input, evaluated_by, approved_by, remark, at)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)`,
			c.ID, j.ClientID, j.TaskID, j.ID, unhex(j.Input), j.By, a.Person, remark, s.timeOf(tx.Now))
	})
}

// SendBack is the command to send a task back to the technician.
type SendBack struct {
	Operation    domain.OperationID  `json:"operation" form:"operation"`
	ID           domain.TaskNoteID   `json:"id" form:"id"`
	EvaluationID domain.EvaluationID `json:"evaluation_id" form:"evaluation_id"`
	Reason       string              `json:"reason" form:"reason"`
}

type toldSentBack struct {
	Kind string `db:"task_note_kind" audit:"text"`
	Text string `db:"text" audit:"text"`
}

// SendBack notes on the sheet why the result was not approved. The note is newer than the
// evaluation, which so cannot be approved any more.
func (s *Service) SendBack(ctx context.Context, a access.Actor, c SendBack) (Written, error) {
	const op = "task.send-back"
	if err := access.May(a, access.Judge); err != nil {
		return Written{}, err
	}
	var check domain.Check
	reason := domain.Lines(c.Reason)
	check.Lines("reason", reason, 2000, true)
	if err := domain.New(c.ID.Valid(), check.Err()); err != nil {
		return Written{}, domain.Wrap(op, err)
	}
	command := store.Command{Actor: a, Action: op, Operation: c.Operation, Request: c, Reason: reason}
	if done, found, err := store.Outcome[Written](ctx, s.Store, command); err != nil || found {
		return done, err
	}
	j, err := store.Row[Judged](ctx, s.Store, "evaluation", "SELECT "+judgedColumns+" FROM "+judgedTables+" WHERE e.id = $1", c.EvaluationID)
	switch {
	case err != nil:
		return Written{}, domain.Wrap(op, err)
	case !a.Person.Valid():
		return Written{}, domain.Wrap(op, domain.Refuse(domain.Forbidden, approval.NotAPerson.At("")))
	case j.ApprovalID != nil:
		return Written{}, domain.Wrap(op, domain.Refuse(domain.Taken, approval.Done.At("")))
	}
	return store.Write(ctx, s.Store, command, func(ctx context.Context, tx *store.Tx) (Written, error) {
		if err := lockTask(ctx, tx, j.TaskID); err != nil {
			return Written{}, err
		}
		concerns(tx, j)
		tx.Changed("task_note", c.ID, 1, nil, toldSentBack{string(sheet.SentBack), reason})
		return Written{c.ID.String()}, tx.Run(ctx, `INSERT INTO task_note (id, client_id, task_id, kind, text, by, captured_at, received_at)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $7)`, c.ID, j.ClientID, j.TaskID, sheet.SentBack, reason, a.Person, tx.Now)
	})
}

func lockTask(ctx context.Context, tx *store.Tx, id domain.TaskID) error {
	return tx.Run(ctx, "SELECT FROM task WHERE id = $1 FOR NO KEY UPDATE", id)
}

// concerns names the things whose histories tell of it.
func concerns(tx *store.Tx, j Judged) {
	tx.Concerns(audit.Evaluation, j.ID)
	tx.Concerns(audit.Task, j.TaskID)
	tx.Concerns(audit.Visit, j.VisitID)
	tx.Concerns(audit.Point, j.PointID)
	tx.Concerns(audit.Client, j.ClientID)
}
