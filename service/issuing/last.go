package issuing

import (
	"context"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/certificate"
	"rillmark/service/store"
)

// Earlier is a certificate of the same measuring point with its results as printed.
type Earlier struct {
	Certificate
	Results []certificate.Result
}

// Before returns the newest certificate in force of the evaluation's point that is of an
// earlier task; nil: there is none.
func (s *Service) Before(ctx context.Context, a access.Actor, j Judged) (*Earlier, error) {
	if err := access.May(a, access.SeeCertificates); err != nil {
		return nil, err
	}
	rows, err := store.Rows[Certificate](ctx, s.Store, certificateQuery+`
		JOIN task t ON t.id = c.task_id JOIN visit v ON v.id = t.visit_id
		WHERE c.point_id = $1 AND c.task_id <> $2 AND w.certificate_id IS NULL AND r.id IS NULL AND c.kind <> 'amendment'
		  AND lower(v.during) < (SELECT lower(o.during) FROM visit o WHERE o.id = $3)
		ORDER BY lower(v.during) DESC, c.id LIMIT 1`, j.PointID, j.TaskID, j.VisitID)
	if err != nil || len(rows) == 0 {
		return nil, domain.Wrap("earlier certificate", err)
	}
	text, err := s.blob(ctx, rows[0].Snapshot)
	if err != nil {
		return nil, domain.Wrap("earlier certificate", err)
	}
	snapshot, err := certificate.Parse(text)
	return &Earlier{rows[0], snapshot.Indications}, domain.Wrap("earlier certificate", err)
}
