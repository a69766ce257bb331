package capture

import (
	"context"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/evaluation"
	"rillmark/domain/kit"
)

// Reread reads again, as they stand now, what a task's facts were read from and nobody may
// change since: every row of the work sheet, the calibrations of the kit that the facts name,
// and the agreement that they name. The rest of the facts stays as given. It is what a role
// that knows no names may read.
func (s *Service) Reread(ctx context.Context, a access.Actor, was evaluation.Facts) (evaluation.Facts, error) {
	if err := access.May(a, access.SeeSheet); err != nil {
		return evaluation.Facts{}, err
	}
	w := &Work{Head: Head{AgreementID: was.Agreement.ID}, Facts: was}
	items := []kit.Item{}
	for _, c := range was.Calibrations {
		items = append(items, kit.Item{ID: c.KitID})
	}
	err := s.readSheet(ctx, w, was.Task.ID)
	if err == nil {
		w.Facts.Calibrations, err = s.calibrations(ctx, items)
	}
	if err == nil {
		err = s.readAgreement(ctx, w, was.Task.ID)
		if domain.KindOf(err) == domain.NotFound {
			w.Facts.Agreement, err = evaluation.Agreement{}, nil // the caller sees that it is gone
		}
	}
	inUTC(&w.Facts)
	return w.Facts, domain.Wrap("sheet", err)
}
