package capture

import (
	"bytes"
	"context"
	"encoding/hex"
	"encoding/json"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/evaluation"
	"rillmark/service/store"
)

// Evaluate is the command to keep the evaluation of a task as its sheet stands.
type Evaluate struct {
	At
	ID domain.EvaluationID `json:"id" form:"id"`
}

// Result evaluates the task as its sheet stands; nothing is kept.
func (w *Work) Result() (evaluation.Result, error) { return evaluation.Evaluate(w.Facts) }

// Concluded is Result without the hashes that only a kept one needs: for pages that are
// looked at again and again while readings come in.
func (w *Work) Concluded() (evaluation.Result, error) { return evaluation.Conclude(w.Facts) }

// concluded is an evaluation ready to be kept.
type concluded struct {
	id     domain.EvaluationID
	work   *Work
	result evaluation.Result
	input  []byte
	facts  []byte
	text   []byte
}

// Evaluate keeps the evaluation of a task. The same input is never kept twice: the
// evaluation that is there is the outcome.
func (s *Service) Evaluate(ctx context.Context, a access.Actor, c Evaluate) (Written, error) {
	if !c.ID.Valid() {
		return Written{}, domain.Wrap("evaluation.keep", domain.Refuse(domain.Invalid, domain.NotAnID.At("id")))
	}
	return preparing(ctx, s, a, "evaluation.keep", c.At, c, func(w *Work) (concluded, error) { return conclude(c.ID, w) },
		func(p *pen, ctx context.Context, e concluded) (Written, error) { return s.keep(ctx, p, e) })
}

func conclude(id domain.EvaluationID, w *Work) (concluded, error) {
	e := concluded{id: id, work: w}
	var err error
	if e.result, err = w.Result(); err != nil {
		return e, err
	}
	if e.input, err = hex.DecodeString(e.result.Input); err != nil {
		return e, err
	}
	if e.facts, err = w.Facts.Canonical(); err != nil {
		return e, err
	}
	e.text, err = json.Marshal(e.result)
	return e, err
}

// toldEvaluation is an evaluation as the trail tells it.
type toldEvaluation struct {
	Number     int    `db:"number"`
	Input      string `db:"input"`
	Conformity bool   `db:"conformity"`
	Calc       string `db:"calc_edition"`
}

func (s *Service) keep(ctx context.Context, p *pen, e concluded) (Written, error) {
	there, err := store.Rows[Evaluated](ctx, p, `SELECT id, number, '' AS input, conformity, evaluated_by, at FROM evaluation
		WHERE task_id = $1 AND input = $2`, p.task.ID, e.input)
	if err != nil {
		return Written{}, err
	}
	if len(there) > 0 {
		return Written{there[0].ID.String(), there[0].Number}, nil
	}
	rows, err := store.Scalars[int64](ctx, p, "SELECT sheet_rows($1)", p.task.ID)
	if err != nil {
		return Written{}, err
	}
	if rows[0] != e.work.Facts.Sheet.Rows() { // something was captured while it was evaluated
		return Written{}, domain.Refuse(domain.Busy, domain.TryAgain.At(""))
	}
	number, err := p.next(ctx, "SELECT coalesce(max(number), 0) FROM evaluation WHERE task_id = $1", p.task.ID)
	if err != nil {
		return Written{}, err
	}
	facts, err := p.PutBlob(ctx, "person:"+p.by.String(), "application/json", bytes.NewReader(e.facts))
	if err != nil {
		return Written{}, err
	}
	if err := p.Run(ctx, `INSERT INTO evaluation (id, client_id, task_id, number, method_edition_id, agreement_id, input, sheet_rows, facts, result, conformity,
			calc_edition, program_version, evaluated_by, at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15)`,
		e.id, p.task.ClientID, p.task.ID, number, e.work.Edition, e.work.AgreementID, e.input, rows[0], facts[:], string(e.text), e.result.Conformity,
		e.result.CalcEdition, s.version, p.by, p.Now); err != nil {
		return Written{}, err
	}
	p.wrote(audit.Kind("evaluation"), e.id, toldEvaluation{number, e.result.Input, e.result.Conformity, e.result.CalcEdition})
	return Written{e.id.String(), number}, p.keepGround(ctx, e)
}

// keepGround ties the evaluation to the calibrations it stands on and to the people who
// contributed, whoever evaluated among them.
func (p *pen) keepGround(ctx context.Context, e concluded) error {
	for _, use := range e.result.Kit {
		if err := p.Run(ctx, `INSERT INTO evaluation_kit (evaluation_id, client_id, calibration_id, valid, first_used, last_used)
			SELECT $1, $2, id, valid, $4, $5 FROM calibration WHERE id = $3`,
			e.id, p.task.ClientID, use.CalibrationID, use.FirstUsed, use.LastUsed); err != nil {
			return err
		}
		p.Concerns(audit.Kind("kit_item"), use.KitID)
	}
	people := map[domain.PersonID]bool{p.by: true}
	for _, id := range e.result.Contributors {
		people[id] = true
	}
	for id := range people {
		if err := p.Run(ctx, "INSERT INTO evaluation_contributor (evaluation_id, client_id, person_id) VALUES ($1, $2, $3)",
			e.id, p.task.ClientID, id); err != nil {
			return err
		}
	}
	return nil
}
