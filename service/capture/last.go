package capture

import (
	"context"

	"rillmark/domain"
	"rillmark/domain/sheet"
	"rillmark/service/store"
)

// readLast reads the survey values in force of the last earlier task at the same point
// that has any.
func (s *Service) readLast(ctx context.Context, w *Work, id domain.TaskID) error {
	rows, err := store.Rows[sheet.SurveyValue](ctx, s.store, "SELECT "+valueColumns+` FROM survey_value WHERE task_id = (
			SELECT t.id FROM task t JOIN visit v ON v.id = t.visit_id
			WHERE t.point_id = $1 AND t.id <> $2 AND lower(v.during) < $3 AND EXISTS (SELECT FROM survey_value o WHERE o.task_id = t.id)
			ORDER BY lower(v.during) DESC, t.id DESC LIMIT 1)
		ORDER BY received_at, id`, w.PointID, id, w.From)
	if err != nil {
		return err
	}
	w.LastVisit = map[sheet.Name]Last{}
	for name, v := range (sheet.Sheet{Survey: rows}).Now() {
		w.LastVisit[name] = Last{Value: v, At: v.Rows[len(v.Rows)-1].CapturedAt}
	}
	return nil
}
