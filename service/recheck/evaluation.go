package recheck

import (
	"bytes"
	"context"
	"encoding/hex"
	"encoding/json"
	"errors"

	"github.com/google/uuid"

	"rillmark/calc/verification"
	"rillmark/domain"
	"rillmark/domain/evaluation"
	"rillmark/service/store"
)

// kept is an evaluation as the database has it.
type kept struct {
	ID         domain.EvaluationID `db:"id"`
	TaskID     domain.TaskID       `db:"task_id"`
	Number     int                 `db:"number"`
	Input      []byte              `db:"input"`
	FactsHash  []byte              `db:"facts"`
	Text       string              `db:"result"`
	Conformity bool                `db:"conformity"`
	Calc       string              `db:"calc_edition"`
	Content    string              `db:"content"` // of the method's edition, as it stands
	EditionID  uuid.UUID           `db:"method_edition_id"`
}

const keptColumns = `v.id, v.task_id, v.number, v.input::bytea AS input, v.facts::bytea AS facts, v.result, v.conformity, v.calc_edition,
	d.content, v.method_edition_id`

// evaluations compares each evaluation's facts with the rows they were read from, and its
// result with what the facts come to now.
func (c *check) evaluations(ctx context.Context) error {
	for after := (domain.EvaluationID{}); ; {
		const few = 50 // each holds a whole result
		rows, err := store.Rows[kept](ctx, c.Store, "SELECT "+keptColumns+` FROM evaluation v JOIN method_edition d ON d.id = v.method_edition_id
			WHERE v.id > $1 ORDER BY v.id LIMIT $2`, after, few)
		if err != nil {
			return err
		}
		for _, v := range rows {
			if err := c.evaluation(ctx, v); err != nil {
				return err
			}
			c.sum.Evaluations++
		}
		c.progress("evaluations", c.sum.Evaluations)
		if len(rows) < few {
			return nil
		}
		after = rows[len(rows)-1].ID
	}
}

func (v kept) name() string { return "evaluation " + v.ID.String() }

func (c *check) evaluation(ctx context.Context, v kept) error {
	facts, result, ok, err := c.again(ctx, v)
	if err != nil || !ok {
		return err
	}
	if err := c.compareFacts(ctx, v, facts); err != nil {
		return err
	}
	var stored any
	if json.Unmarshal([]byte(v.Text), &stored) != nil {
		c.found(ResultUnreadable.At(v.name()))
		return nil
	}
	if v.Calc != verification.Edition {
		return nil // other calculations: only what was issued is compared
	}
	switch at, how := difference("", stored, generic(result)); how {
	case digits:
		c.remark(DigitsDiffer.At(v.name(), at))
	case printed, verdict:
		c.found(ResultChanged.At(v.name()))
	}
	if v.Conformity != result.Conformity {
		c.found(ColumnOther.At(v.name(), "conformity"))
	}
	return nil
}

// again reads an evaluation's facts and evaluates them; ok is false where they are not what
// was evaluated.
func (c *check) again(ctx context.Context, v kept) (facts evaluation.Facts, result evaluation.Result, ok bool, err error) {
	text, ok, err := c.blob(ctx, v.FactsHash)
	if err != nil || !ok {
		return facts, result, false, err // the file was reported
	}
	if err := json.Unmarshal(text, &facts); err != nil {
		c.found(FactsUnreadable.At(v.name(), err.Error()))
		return facts, result, false, nil
	}
	if result, err = evaluation.Evaluate(facts); err != nil {
		c.found(FactsUnreadable.At(v.name(), err.Error()))
		return facts, result, false, nil
	}
	if v.Calc == verification.Edition && result.Input != hex.EncodeToString(v.Input) || facts.Task.ID != v.TaskID {
		c.found(FactsOther.At(v.name()))
		return facts, result, false, nil
	}
	if now, err := methodHash(v.Content); err != nil || now != result.MethodHash {
		c.found(MethodChanged.At(v.name()))
	}
	return facts, result, true, nil
}

// blob reads a file; ok is false where it is broken or gone.
func (c *check) blob(ctx context.Context, hash []byte) (text []byte, ok bool, err error) {
	var b bytes.Buffer
	_, err = c.Store.GetBlob(ctx, [32]byte(hash), &b)
	if errors.Is(err, store.ErrBlobBroken) || domain.KindOf(err) == domain.NotFound {
		return nil, false, nil
	}
	return b.Bytes(), err == nil, err
}
