package planning

import (
	"context"
	"time"

	"github.com/google/uuid"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/visit"
	"rillmark/service/store"
)

// Filter says which visits are wanted.
type Filter struct {
	From, Until  time.Time       // visits that touch this time; zero: open
	Person       domain.PersonID // whose; zero: everyone's
	Site         domain.SiteID   // where; zero: everywhere
	store.Filter                 // page; Search is not used
}

// VisitRow is a visit in a list.
type VisitRow struct {
	ID       domain.VisitID  `db:"id"`
	ClientID domain.ClientID `db:"client_id"`
	Client   string          `db:"client"`
	SiteID   domain.SiteID   `db:"site_id"`
	Site     string          `db:"site"`
	TimeZone string          `db:"time_zone"`
	From     time.Time       `db:"starts_at"`
	Until    time.Time       `db:"ends_at"`
	LastStep visit.Step      `db:"last_step"`
	Crew     []string        `db:"crew"`
	Tags     []string        `db:"tags"` // of its tasks' points
	Open     int             `db:"open"` // tasks on which nobody has said the last word
}

// State is the visit's state.
func (r VisitRow) State() visit.State { return visit.StateAfter(r.LastStep) }

// Zone is the site's time zone.
func (r VisitRow) Zone() *time.Location {
	if zone, err := time.LoadLocation(r.TimeZone); err == nil {
		return zone
	}
	return time.UTC
}

// Visits lists visits by their start.
func (s *Service) Visits(ctx context.Context, a access.Actor, f Filter) (store.Page[VisitRow], error) {
	var none store.Page[VisitRow]
	if err := access.May(a, access.SeePlan); err != nil {
		return none, err
	}
	mark, err := f.Filter.From()
	if err != nil {
		return none, err
	}
	var after time.Time
	if mark.Key != "" {
		if after, err = time.Parse(time.RFC3339Nano, mark.Key); err != nil {
			return none, domain.Refuse(domain.Invalid, store.MarkMalformed.At("after"))
		}
	}
	rows, err := store.Rows[VisitRow](ctx, s.store, `
		SELECT v.id, v.client_id, c.name AS client, v.site_id, s.name AS site, s.time_zone, lower(v.during) AS starts_at, upper(v.during) AS ends_at,
		       coalesce((SELECT t.step FROM visit_step t WHERE t.visit_id = v.id ORDER BY t.at DESC, t.id DESC LIMIT 1), '') AS last_step,
		       ARRAY(SELECT n.name FROM booking b JOIN person n ON n.id = b.person_id WHERE b.visit_id = v.id AND NOT b.released ORDER BY n.name) AS crew,
		       ARRAY(SELECT p.tag FROM task t JOIN measuring_point p ON p.id = t.point_id WHERE t.visit_id = v.id ORDER BY lower(p.tag)) AS tags,
		       (SELECT count(*) FROM task t WHERE t.visit_id = v.id AND `+store.TaskOpen+`) AS open
		FROM visit v JOIN site s ON s.id = v.site_id JOIN client c ON c.id = v.client_id
		WHERE v.during && tstzrange($1, $2)
		  AND ($3::uuid IS NULL OR exists(SELECT FROM booking b WHERE b.visit_id = v.id AND b.person_id = $3 AND NOT b.released))
		  AND ($4::uuid IS NULL OR v.site_id = $4)
		  AND (lower(v.during), v.id) > (coalesce($5, '-infinity'::timestamptz), $6)
		ORDER BY lower(v.during), v.id LIMIT $7`,
		orNull(f.From), orNull(f.Until), idOrNull(f.Person.UUID), idOrNull(f.Site.UUID), orNull(after), mark.ID, f.Rows()+1)
	if err != nil {
		return none, domain.Wrap("visits", err)
	}
	return store.PageOf(rows, f.Filter, func(v VisitRow) store.Mark {
		return store.Mark{Key: v.From.UTC().Format(time.RFC3339Nano), ID: v.ID.UUID}
	}), nil
}

func orNull(t time.Time) any {
	if t.IsZero() {
		return nil
	}
	return t
}

func idOrNull(id uuid.UUID) any {
	if id == uuid.Nil {
		return nil
	}
	return id
}
