package capture

import (
	"context"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/sheet"
	"rillmark/service/store"
)

// Label is by what people call a row of a work sheet that another row names.
type Label struct {
	ID     string      `db:"id"`
	Kind   string      `db:"kind"`   // mounting, run, reading, survey_value, indication, evaluation, approval
	Number int         `db:"number"` // of a mounting, a run, a reading or an evaluation; 0: none
	Phase  sheet.Phase `db:"phase"`  // of a run
	Text   string      `db:"text"`   // a value as entered, an indication's name
}

// Labels finds rows of work sheets, and what hangs on them, by their ids. What is not found
// is left out.
func (s *Service) Labels(ctx context.Context, a access.Actor, ids []string) ([]Label, error) {
	if err := access.May(a, access.SeeSheet); err != nil {
		return nil, err
	}
	list, err := store.Rows[Label](ctx, s.store, `
		SELECT id::text AS id, 'mounting' AS kind, number, '' AS phase, '' AS text FROM mounting WHERE id = ANY($1::uuid[])
		UNION ALL SELECT id::text, 'run', number, phase, '' FROM run WHERE id = ANY($1::uuid[])
		UNION ALL SELECT id::text, 'reading', number, '', '' FROM reading WHERE id = ANY($1::uuid[])
		UNION ALL SELECT id::text, 'survey_value', 0, '', entered FROM survey_value WHERE id = ANY($1::uuid[])
		UNION ALL SELECT id::text, 'indication', 0, '', name FROM indication WHERE id = ANY($1::uuid[])
		UNION ALL SELECT id::text, 'evaluation', number, '', '' FROM evaluation WHERE id = ANY($1::uuid[])
		UNION ALL SELECT p.id::text, 'approval', e.number, '', '' FROM approval p JOIN evaluation e ON e.id = p.evaluation_id
			WHERE p.id = ANY($1::uuid[])`, ids)
	return list, domain.Wrap("labels", err)
}
