package planning

import (
	"context"
	"time"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/service/store"
)

// Undone is a task whose visit is over and on which nobody has said the last word.
type Undone struct {
	TaskID   domain.TaskID  `db:"task_id"`
	VisitID  domain.VisitID `db:"visit_id"`
	Tag      string         `db:"tag"`
	Point    string         `db:"point"`
	Site     string         `db:"site"`
	Client   string         `db:"client"`
	TimeZone string         `db:"time_zone"`
	From     time.Time      `db:"starts_at"`
	Until    time.Time      `db:"ends_at"`
	Begun    bool           `db:"begun"`
	SentBack bool           `db:"sent_back"`
	Crew     []string       `db:"crew"`
}

// undoneBack is how far back work left undone is looked for: what is older shows in the plan.
const undoneBack = 400 * 24 * time.Hour

// Undone lists tasks left undone in visits that ended before the time, and those that were
// sent back, the newest first: everyone's, or those of the visits that a person is booked
// for. Cancelled and closed visits are left out.
func (s *Service) Undone(ctx context.Context, a access.Actor, of domain.PersonID, before time.Time, limit int) ([]Undone, error) {
	if err := access.May(a, access.SeePlan); err != nil {
		return nil, err
	}
	rows, err := store.Rows[Undone](ctx, s.store, `
		SELECT t.id AS task_id, v.id AS visit_id, p.tag, p.name AS point, s.name AS site, c.name AS client, s.time_zone,
		       lower(v.during) AS starts_at, upper(v.during) AS ends_at,
		       EXISTS (SELECT FROM survey_value x WHERE x.task_id = t.id) OR EXISTS (SELECT FROM run x WHERE x.task_id = t.id)
		         OR EXISTS (SELECT FROM mounting x WHERE x.task_id = t.id) AS begun,
		       `+store.LastWord+` IS NOT NULL AS sent_back,
		       ARRAY(SELECT n.name FROM booking b JOIN person n ON n.id = b.person_id WHERE b.visit_id = v.id AND NOT b.released ORDER BY n.name) AS crew
		FROM visit v JOIN task t ON t.visit_id = v.id JOIN measuring_point p ON p.id = t.point_id
		     JOIN site s ON s.id = v.site_id JOIN client c ON c.id = v.client_id
		WHERE v.during && tstzrange($1, $2) AND upper(v.during) <= $2
		  AND ($3::uuid IS NULL OR EXISTS (SELECT FROM booking b WHERE b.visit_id = v.id AND b.person_id = $3 AND NOT b.released))
		  AND NOT EXISTS (SELECT FROM visit_step x WHERE x.visit_id = v.id AND x.step IN ('cancelled', 'closed'))
		  AND `+store.TaskOpen+`
		ORDER BY lower(v.during) DESC, lower(p.tag), t.id LIMIT $4`, before.Add(-undoneBack), before, idOrNull(of.UUID), limit)
	return rows, domain.Wrap("undone", err)
}

// Due is a measuring point whose next verification is due by what was agreed.
type Due struct {
	PointID domain.PointID `db:"point_id"`
	SiteID  domain.SiteID  `db:"site_id"`
	Tag     string         `db:"tag"`
	Point   string         `db:"point"`
	Site    string         `db:"site"`
	Client  string         `db:"client"`
	Last    *time.Time     `db:"last_at"` // when work there was last finished; nil: never
	At      time.Time      `db:"due_at"`
}

// Due lists the points that are due before the time, the longest overdue first: the agreed
// interval after the last finished work, or after the agreement where none was finished.
// Points for which a visit is planned after now are left out.
func (s *Service) Due(ctx context.Context, a access.Actor, now, before time.Time, limit int) ([]Due, error) {
	if err := access.May(a, access.SeePlan); err != nil {
		return nil, err
	}
	rows, err := store.Rows[Due](ctx, s.store, `
		SELECT d.point_id, p.site_id, p.tag, p.name AS point, s.name AS site, c.name AS client, d.last_at, d.due_at
		FROM (SELECT g.point_id, l.last_at, coalesce(l.last_at, g.agreed_on::timestamptz) + make_interval(months => g.interval_months) AS due_at
		      FROM (SELECT DISTINCT ON (point_id) point_id, agreed_on, interval_months FROM agreement
		            ORDER BY point_id, received_at DESC, id DESC) g
		      LEFT JOIN LATERAL (SELECT max(n.captured_at) AS last_at FROM task t JOIN task_note n ON n.task_id = t.id
		            WHERE t.point_id = g.point_id AND n.kind = 'finished') l ON true
		      WHERE g.interval_months IS NOT NULL) d
		JOIN measuring_point p ON p.id = d.point_id JOIN site s ON s.id = p.site_id JOIN client c ON c.id = p.client_id
		WHERE d.due_at < $2
		  AND NOT EXISTS (SELECT FROM task t JOIN visit v ON v.id = t.visit_id WHERE t.point_id = d.point_id AND upper(v.during) > $1
		                  AND NOT EXISTS (SELECT FROM visit_step x WHERE x.visit_id = v.id AND x.step = 'cancelled'))
		ORDER BY d.due_at, d.point_id LIMIT $3`, now, before, limit)
	return rows, domain.Wrap("due", err)
}
