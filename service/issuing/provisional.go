package issuing

import (
	"context"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/certificate"
)

// ResultSheet draws an evaluation's results for leaving on site, by the layout of the
// certificate: “provisional, not authorised” on every page, without number, check address
// or approver, whether or not it was approved since. Nothing is kept.
//
// Errors: NotFound; those of drawing.
func (s *Service) ResultSheet(ctx context.Context, a access.Actor, id domain.EvaluationID) ([]byte, error) {
	const op = "result sheet"
	if err := access.May(a, access.SeeSheet); err != nil {
		return nil, err
	}
	j, err := s.judged(ctx, id)
	if err != nil {
		return nil, domain.Wrap(op, err)
	}
	paper, _, err := s.paper(ctx, j)
	if err != nil {
		return nil, domain.Wrap(op, err)
	}
	paper.Kind, paper.Approver = certificate.Provisional, nil
	snapshot, err := certificate.Build(paper, j.Facts, j.Result)
	if err != nil {
		return nil, domain.Wrap(op, err)
	}
	pdf, err := s.Render(snapshot)
	return pdf, domain.Wrap(op, err)
}
