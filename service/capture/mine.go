package capture

import (
	"context"
	"time"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/service/store"
)

// Mine is a task of a visit that a person is booked for.
type Mine struct {
	TaskID   domain.TaskID  `db:"task_id"`
	VisitID  domain.VisitID `db:"visit_id"`
	Tag      string         `db:"tag"`
	Point    string         `db:"point"`
	Site     string         `db:"site"`
	Client   string         `db:"client"`
	TimeZone string         `db:"time_zone"`
	From     time.Time      `db:"from_time"`
	To       time.Time      `db:"to_time"`
	Started  bool           `db:"started"` // anything was captured
	Closed   *string        `db:"closed"`  // the last note that closes it: finished, partly-done, not-possible, sent-back
}

// mineAtMost bounds the list of one person's work: nobody does more in a day.
const mineAtMost = 50

// Tasks lists the tasks of the visits that the actor is booked for and that meet the time
// from..to, in order of time. A cancelled visit is left out.
func (s *Service) Tasks(ctx context.Context, a access.Actor, from, to time.Time) ([]Mine, error) {
	if err := access.May(a, access.FillSheet); err != nil {
		return nil, err
	}
	all, err := store.Rows[Mine](ctx, s.store, `
		SELECT t.id AS task_id, v.id AS visit_id, p.tag, p.name AS point, s.name AS site, c.name AS client, s.time_zone,
		       lower(v.during) AS from_time, upper(v.during) AS to_time,
		       EXISTS (SELECT FROM survey_value x WHERE x.task_id = t.id) OR EXISTS (SELECT FROM mounting x WHERE x.task_id = t.id)
		       OR EXISTS (SELECT FROM control_note x WHERE x.task_id = t.id) AS started,
		       `+store.LastWord+` AS closed
		FROM visit v
		JOIN booking b ON b.visit_id = v.id AND b.person_id = $1 AND NOT b.released
		JOIN task t ON t.visit_id = v.id
		JOIN measuring_point p ON p.id = t.point_id
		JOIN site s ON s.id = v.site_id
		JOIN client c ON c.id = v.client_id
		WHERE v.during && tstzrange($2, $3)
		  AND NOT EXISTS (SELECT FROM visit_step x WHERE x.visit_id = v.id AND x.step = 'cancelled')
		ORDER BY lower(v.during), p.tag, t.id LIMIT $4`, a.Person, from, to, mineAtMost)
	return all, domain.Wrap("tasks", err)
}
