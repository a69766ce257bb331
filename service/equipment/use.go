package equipment

import (
	"context"
	"time"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/certificate"
	"rillmark/service/store"
)

// Use is one task in which an item was used: mounted, or named as the instrument of a survey
// value, whether or not its calibration held.
type Use struct {
	TaskID       domain.TaskID `db:"task_id"`
	At           time.Time     `db:"at"` // last used
	TimeZone     string        `db:"time_zone"`
	Site         string        `db:"site"`
	Tag          string        `db:"tag"`
	Point        string        `db:"point"`
	Certificates []Stated      `db:"-"` // issued on the task, the earliest first
}

// Stated is a certificate that was issued on a task.
type Stated struct {
	Number certificate.Number
	State  string // issued, superseded or withdrawn
}

// mostUses bounds what is told of one item at once.
const mostUses = 200

// Uses returns the tasks in which an item was used, the newest first, with the certificates
// that were issued on them: what is affected when the item turns out to be wrong. At most
// 200 are told; more says that there are earlier ones.
func (s *Service) Uses(ctx context.Context, a access.Actor, id domain.KitID) (uses []Use, more bool, err error) {
	const op = "uses of a kit item"
	if err := access.May(a, access.SeeKit); err != nil {
		return nil, false, err
	}
	uses, err = store.Rows[Use](ctx, s.store, `
		WITH used AS (
			SELECT task_id, captured_at FROM mounting WHERE $1 IN (reference_id, pair_id, cable_id, tape_id)
			UNION ALL SELECT task_id, captured_at FROM survey_value WHERE kit_id = $1)
		SELECT t.id AS task_id, max(u.captured_at) AS at, s.time_zone, s.name AS site, p.tag, p.name AS point
		FROM used u JOIN task t ON t.id = u.task_id JOIN measuring_point p ON p.id = t.point_id JOIN site s ON s.id = p.site_id
		GROUP BY t.id, s.id, p.id ORDER BY at DESC, t.id LIMIT $2`, id, mostUses+1)
	if err != nil {
		return nil, false, domain.Wrap(op, err)
	}
	if more = len(uses) > mostUses; more {
		uses = uses[:mostUses]
	}
	return uses, more, domain.Wrap(op, s.certified(ctx, uses))
}

// certified names the certificates of the tasks.
func (s *Service) certified(ctx context.Context, uses []Use) error {
	at := map[domain.TaskID]*Use{}
	ids := []domain.TaskID{}
	for i := range uses {
		at[uses[i].TaskID] = &uses[i]
		ids = append(ids, uses[i].TaskID)
	}
	type issued struct {
		TaskID domain.TaskID `db:"task_id"`
		Year   int           `db:"year"`
		Serial int           `db:"serial"`
		State  string        `db:"state"`
	}
	rows, err := store.Rows[issued](ctx, s.store, `
		SELECT c.task_id, c.year, c.serial,
		       `+store.CertificateState+` AS state
		FROM certificate c LEFT JOIN certificate_withdrawal w ON w.certificate_id = c.id LEFT JOIN certificate r ON r.amends = c.id AND r.kind = 're-issue'
		WHERE c.task_id = ANY($1) ORDER BY c.year, c.serial`, ids)
	for _, r := range rows {
		use := at[r.TaskID]
		use.Certificates = append(use.Certificates, Stated{certificate.Number{Year: r.Year, Serial: r.Serial}, r.State})
	}
	return err
}
