package issuing

import (
	"context"
	"encoding/json"
	"time"

	"github.com/google/uuid"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/certificate"
	"rillmark/domain/evaluation"
	"rillmark/service/store"
)

// Verified is one approved verification of a measuring point.
type Verified struct {
	EvaluationID   domain.EvaluationID   `db:"id"`
	TaskID         domain.TaskID         `db:"task_id"`
	At             time.Time             `db:"at"` // the first run
	MeterID        domain.MeterID        `db:"meter_id"`
	Serial         string                `db:"meter_serial"`
	References     []uuid.UUID           `db:"reference_ids"` // reference meters mounted, in order of id
	IntervalMonths *int                  `db:"interval_months"`
	CertificateID  *domain.CertificateID `db:"certificate_id"`
	Year           *int                  `db:"year"`
	Number         *int                  `db:"serial"`
	Text           string                `db:"result"`
}

// Certificate is the number of the certificate that states the verification; empty: none yet.
func (v Verified) Certificate() string {
	if v.Year == nil || v.Number == nil {
		return ""
	}
	return certificate.Number{Year: *v.Year, Serial: *v.Number}.String()
}

// mostVerified bounds how far a course goes back.
const mostVerified = 60

// Course returns the approved verifications of a point, the oldest first, and how the
// errors of its meter went through them. What was withdrawn and not stated again is no
// part of it; of several judgements of one task the last approved one counts.
func (s *Service) Course(ctx context.Context, a access.Actor, point domain.PointID) ([]Verified, []evaluation.Course, error) {
	if err := access.May(a, access.SeeSheet); err != nil {
		return nil, nil, err
	}
	rows, err := store.Rows[Verified](ctx, s.Store, `
		SELECT * FROM (
			SELECT e.id, e.task_id, f.at, i.meter_id, m.serial AS meter_serial, e.result, g.interval_months, c.id AS certificate_id, c.year, c.serial,
			       ARRAY(SELECT DISTINCT reference_id FROM mounting WHERE task_id = e.task_id ORDER BY reference_id) AS reference_ids
			FROM task t JOIN evaluation e ON e.task_id = t.id JOIN approval a ON a.evaluation_id = e.id
			JOIN installation i ON i.id = t.installation_id JOIN meter m ON m.id = i.meter_id JOIN agreement g ON g.id = t.agreement_id
			JOIN LATERAL (SELECT min(captured_at) AS at FROM run WHERE task_id = t.id) f ON f.at IS NOT NULL
			LEFT JOIN LATERAL (SELECT id, year, serial FROM certificate WHERE evaluation_id = e.id ORDER BY year DESC, serial DESC LIMIT 1) c ON true
			WHERE t.point_id = $1
			  AND NOT EXISTS (SELECT FROM certificate_withdrawal w WHERE w.certificate_id = c.id)
			  AND NOT EXISTS (SELECT FROM evaluation l JOIN approval b ON b.evaluation_id = l.id WHERE l.task_id = t.id AND l.number > e.number)
			ORDER BY f.at DESC LIMIT $2) newest
		ORDER BY at, id`, point, mostVerified)
	if err != nil {
		return nil, nil, domain.Wrap("course", err)
	}
	kept := make([]evaluation.Kept, len(rows))
	for i, v := range rows {
		kept[i] = evaluation.Kept{At: v.At, TaskID: v.TaskID, MeterID: v.MeterID}
		for _, id := range v.References {
			kept[i].References = append(kept[i].References, domain.KitID{UUID: id})
		}
		if err := json.Unmarshal([]byte(v.Text), &kept[i].Result); err != nil {
			return nil, nil, domain.Wrap("course", err)
		}
	}
	courses, err := evaluation.Courses(kept)
	return rows, courses, domain.Wrap("course", err)
}
