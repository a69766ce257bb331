package issuing

import (
	"context"
	"time"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/service/store"
)

// Waiting is the latest evaluation of a task that was closed on site and is not approved,
// or approved and not certified.
type Waiting struct {
	EvaluationID domain.EvaluationID `db:"id"`
	Number       int                 `db:"number"`
	TaskID       domain.TaskID       `db:"task_id"`
	Tag          string              `db:"tag"`
	Point        string              `db:"point"`
	Site         string              `db:"site"`
	Client       string              `db:"client"`
	Conformity   bool                `db:"conformity"`
	By           string              `db:"by_name"`
	At           time.Time           `db:"at"`
	Closed       string              `db:"closed"`
	Approved     bool                `db:"approved"`
	Current      bool                `db:"current"` // no row of the sheet is newer
	Own          bool                `db:"own"`     // the actor contributed
}

// Waiting lists what waits for judgement or for its certificate, the oldest first.
func (s *Service) Waiting(ctx context.Context, a access.Actor, f store.Filter) (store.Page[Waiting], error) {
	var none store.Page[Waiting]
	if err := access.May(a, access.Judge); err != nil {
		return none, err
	}
	from, err := f.From()
	if err != nil {
		return none, err
	}
	after := time.Time{}
	if from.Key != "" {
		if after, err = time.Parse(time.RFC3339Nano, from.Key); err != nil {
			return none, domain.Refuse(domain.Invalid, store.MarkMalformed.At("after"))
		}
	}
	rows, err := store.Rows[Waiting](ctx, s.Store, `
		SELECT e.id, e.number, e.task_id, p.tag, p.name AS point, s.name AS site, c.name AS client, e.conformity,
		       w.name AS by_name, e.at, n.kind AS closed, a.id IS NOT NULL AS approved, e.sheet_rows = sheet_rows(e.task_id) AS current,
		       EXISTS (SELECT FROM evaluation_contributor k WHERE k.evaluation_id = e.id AND k.person_id = $4) AS own
		FROM evaluation e
		JOIN task t ON t.id = e.task_id JOIN measuring_point p ON p.id = t.point_id JOIN site s ON s.id = p.site_id
		JOIN client c ON c.id = e.client_id JOIN person w ON w.id = e.evaluated_by
		JOIN LATERAL (SELECT `+store.LastWord+` AS kind) n ON n.kind <> 'sent-back'
		LEFT JOIN approval a ON a.evaluation_id = e.id
		WHERE NOT EXISTS (SELECT FROM evaluation l WHERE l.task_id = e.task_id AND l.number > e.number)
		  AND NOT EXISTS (SELECT FROM certificate x WHERE x.evaluation_id = e.id)
		  AND (e.at, e.id) > ($1, $2)
		ORDER BY e.at, e.id LIMIT $3`, after, from.ID, f.Rows()+1, a.Person)
	if err != nil {
		return none, domain.Wrap("waiting", err)
	}
	return store.PageOf(rows, f, func(w Waiting) store.Mark {
		return store.Mark{Key: w.At.UTC().Format(time.RFC3339Nano), ID: w.EvaluationID.UUID}
	}), nil
}
