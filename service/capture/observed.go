package capture

import (
	"context"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/sheet"
)

// Observed returns every row of a task's work sheet and nothing around it: what a role
// that knows no names may read.
func (s *Service) Observed(ctx context.Context, a access.Actor, id domain.TaskID) (sheet.Sheet, error) {
	if err := access.May(a, access.SeeSheet); err != nil {
		return sheet.Sheet{}, err
	}
	w := &Work{}
	err := s.readSheet(ctx, w, id)
	inUTC(&w.Facts.Sheet)
	return w.Facts.Sheet, domain.Wrap("sheet", err)
}
