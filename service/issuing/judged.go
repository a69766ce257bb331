package issuing

import (
	"bytes"
	"context"
	"encoding/hex"
	"encoding/json"
	"time"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/approval"
	"rillmark/domain/evaluation"
	"rillmark/service/store"
)

// Judged is an evaluation as it is kept, with whether and by whom it was approved.
type Judged struct {
	ID          domain.EvaluationID    `db:"id"`
	Number      int                    `db:"number"`
	ClientID    domain.ClientID        `db:"client_id"`
	TaskID      domain.TaskID          `db:"task_id"`
	VisitID     domain.VisitID         `db:"visit_id"`
	PointID     domain.PointID         `db:"point_id"`
	AgreementID domain.AgreementID     `db:"agreement_id"`
	EditionID   domain.MethodEditionID `db:"edition_id"`
	MethodID    domain.MethodID        `db:"method_id"`
	Method      string                 `db:"method"`
	Input       string                 `db:"input"` // hexadecimal
	FactsHash   []byte                 `db:"facts"`
	Conformity  bool                   `db:"conformity"`
	Latest      bool                   `db:"latest"`  // no later evaluation of the task
	Current     bool                   `db:"current"` // no row of the sheet is newer
	By          domain.PersonID        `db:"evaluated_by"`
	At          time.Time              `db:"at"`
	ApprovalID  *domain.ApprovalID     `db:"approval_id"`
	ApprovedBy  *domain.PersonID       `db:"approved_by"`
	ApprovedAt  *time.Time             `db:"approved_at"`
	Remark      *string                `db:"remark"`

	Facts  evaluation.Facts  `db:"-"`
	Result evaluation.Result `db:"-"`
}

const judgedColumns = `e.id, e.number, e.client_id, e.task_id, t.visit_id, t.point_id, e.agreement_id, e.method_edition_id AS edition_id,
	m.id AS method_id, m.number AS method, encode(e.input, 'hex') AS input, e.facts, e.conformity, e.evaluated_by, e.at,
	NOT EXISTS (SELECT FROM evaluation l WHERE l.task_id = e.task_id AND l.number > e.number) AS latest,
	e.sheet_rows = sheet_rows(e.task_id) AS current,
	a.id AS approval_id, a.approved_by, a.at AS approved_at, a.remark`

const judgedTables = `evaluation e JOIN task t ON t.id = e.task_id JOIN method_edition d ON d.id = e.method_edition_id
	JOIN method m ON m.id = d.method_id LEFT JOIN approval a ON a.evaluation_id = e.id`

// Evaluation returns an evaluation with its facts as they were kept and its result worked
// out again from them.
func (s *Service) Evaluation(ctx context.Context, a access.Actor, id domain.EvaluationID) (Judged, error) {
	if err := access.May(a, access.SeeSheet); err != nil {
		return Judged{}, err
	}
	j, err := s.judged(ctx, id)
	return j, domain.Wrap("evaluation", err)
}

func (s *Service) judged(ctx context.Context, id domain.EvaluationID) (Judged, error) {
	j, err := store.Row[Judged](ctx, s.Store, "evaluation", "SELECT "+judgedColumns+" FROM "+judgedTables+" WHERE e.id = $1", id)
	if err != nil {
		return j, err
	}
	var text bytes.Buffer
	if _, err := s.Store.GetBlob(ctx, [32]byte(j.FactsHash), &text); err != nil {
		return j, err
	}
	if err := json.Unmarshal(text.Bytes(), &j.Facts); err != nil {
		return j, err
	}
	if j.Result, err = evaluation.Evaluate(j.Facts); err != nil {
		return j, err
	}
	if j.Result.Input != j.Input {
		// Other calculations or another hash: it must be evaluated by this program first.
		return j, domain.Refuse(domain.Stale, approval.OtherResult.At(""))
	}
	return j, nil
}

// Standing says whether nothing is newer than the evaluation: neither the sheet nor what
// stands around it, such as a calibration.
func (s *Service) Standing(ctx context.Context, a access.Actor, j Judged) (bool, error) {
	now, err := s.inputNow(ctx, a, j.TaskID)
	return now == j.Input, err
}

func (s *Service) inputNow(ctx context.Context, a access.Actor, id domain.TaskID) (string, error) {
	facts, err := s.Facts(ctx, a, id)
	if err != nil {
		return "", err
	}
	return facts.InputHash()
}

// ground reads what an approval stands on.
func (s *Service) ground(ctx context.Context, a access.Actor, j Judged) (approval.Ground, error) {
	g := approval.Ground{Method: j.Method, Judged: j.Input, Approved: j.ApprovalID != nil}
	var err error
	if g.Contributors, err = store.Scalars[domain.PersonID](ctx, s.Store,
		"SELECT person_id FROM evaluation_contributor WHERE evaluation_id = $1", j.ID); err != nil {
		return g, err
	}
	g.Contributors = append(g.Contributors, j.By)
	may, err := store.Scalars[bool](ctx, s.Store, `SELECT EXISTS (SELECT FROM authorisation
		WHERE person_id = $1 AND method_id = $2 AND act = 'authorise' AND during @> clock_timestamp())`, a.Person, j.MethodID)
	if err != nil {
		return g, err
	}
	g.Authorised = may[0]
	g.Now, err = s.inputNow(ctx, a, j.TaskID)
	return g, err
}

// May tells whether the actor may approve the evaluation now, and if not, why.
func (s *Service) May(ctx context.Context, a access.Actor, j Judged) error {
	if err := access.May(a, access.Judge); err != nil {
		return err
	}
	g, err := s.ground(ctx, a, j)
	if err != nil {
		return domain.Wrap("approve", err)
	}
	return approval.May(a, g)
}

func unhex(text string) []byte {
	b, _ := hex.DecodeString(text) // written by us or compared with what was
	return b
}
