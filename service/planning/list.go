package planning

import (
	"context"
	"encoding/base64"
	"encoding/json"
	"time"

	"github.com/google/uuid"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/visit"
	"rillmark/service/store"
)

// MarkMalformed says that a list was asked to go on after something that is no place in it.
var MarkMalformed = fault.Define("planning.page-mark-malformed")

// Filter says which visits are wanted.
type Filter struct {
	From, Until time.Time       // visits that touch this time; zero: open
	Person      domain.PersonID // whose; zero: everyone's
	Site        domain.SiteID   // where; zero: everywhere
	After       string          // the mark that the page before ended with
	Limit       int             // 0 or too many: 50
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

// Page is one part of the list, in order of time.
type Page struct {
	Items []VisitRow
	Next  string
}

type mark struct {
	At time.Time `json:"t"`
	ID uuid.UUID `json:"i"`
}

// Visits lists visits by their start.
func (s *Service) Visits(ctx context.Context, a access.Actor, f Filter) (Page, error) {
	if err := access.May(a, access.SeePlan); err != nil {
		return Page{}, err
	}
	var from mark
	if f.After != "" {
		raw, err := base64.RawURLEncoding.DecodeString(f.After)
		if err == nil {
			err = json.Unmarshal(raw, &from)
		}
		if err != nil {
			return Page{}, domain.Refuse(domain.Invalid, MarkMalformed.At("after"))
		}
	}
	limit := f.Limit
	if limit <= 0 || limit > 200 {
		limit = 50
	}
	rows, err := store.Rows[VisitRow](ctx, s.store, `
		SELECT v.id, v.client_id, c.name AS client, v.site_id, s.name AS site, s.time_zone, lower(v.during) AS starts_at, upper(v.during) AS ends_at,
		       coalesce((SELECT t.step FROM visit_step t WHERE t.visit_id = v.id ORDER BY t.at DESC, t.id DESC LIMIT 1), '') AS last_step,
		       ARRAY(SELECT n.name FROM booking b JOIN person n ON n.id = b.person_id WHERE b.visit_id = v.id AND NOT b.released ORDER BY n.name) AS crew,
		       ARRAY(SELECT p.tag FROM task t JOIN measuring_point p ON p.id = t.point_id WHERE t.visit_id = v.id ORDER BY lower(p.tag)) AS tags,
		       (SELECT count(*) FROM task t WHERE t.visit_id = v.id AND coalesce((SELECT n.kind FROM task_note n
		            WHERE n.task_id = t.id AND n.kind IN ('finished', 'partly-done', 'not-possible', 'sent-back')
		            ORDER BY n.captured_at DESC, n.id DESC LIMIT 1), 'sent-back') = 'sent-back') AS open
		FROM visit v JOIN site s ON s.id = v.site_id JOIN client c ON c.id = v.client_id
		WHERE v.during && tstzrange($1, $2)
		  AND ($3::uuid IS NULL OR exists(SELECT FROM booking b WHERE b.visit_id = v.id AND b.person_id = $3 AND NOT b.released))
		  AND ($4::uuid IS NULL OR v.site_id = $4)
		  AND (lower(v.during), v.id) > (coalesce($5, '-infinity'::timestamptz), $6)
		ORDER BY lower(v.during), v.id LIMIT $7`,
		orNull(f.From), orNull(f.Until), idOrNull(f.Person.UUID), idOrNull(f.Site.UUID), orNull(from.At), from.ID, limit+1)
	if err != nil {
		return Page{}, domain.Wrap("visits", err)
	}
	p := Page{Items: rows}
	if len(rows) > limit {
		p.Items = rows[:limit]
		last := p.Items[limit-1]
		raw, _ := json.Marshal(mark{last.From, last.ID.UUID}) // a time and a UUID always marshal
		p.Next = base64.RawURLEncoding.EncodeToString(raw)
	}
	return p, nil
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
