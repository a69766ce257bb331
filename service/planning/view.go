package planning

import (
	"context"
	"time"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/kit"
	"rillmark/domain/visit"
	"rillmark/service/store"
)

// View is a visit with everything that belongs to it.
type View struct {
	visit.Visit
	Client string
	Site   string
	Zone   *time.Location
	State  visit.State
	Steps  []StepTaken
	Crew   []CrewMember
	Kit    []Taken
	Tasks  []Task
	Gaps   fault.List // who and what cannot carry results at the visit's time
}

// StepTaken is something that happened, with who said so.
type StepTaken struct {
	Step   visit.Step `db:"step"`
	Reason string     `db:"reason"`
	By     string     `db:"by"`
	At     time.Time  `db:"at"`
}

// CrewMember is a person who goes along.
type CrewMember struct {
	ID   domain.PersonID `db:"id"`
	Name string          `db:"name"`
}

// Taken is a piece of kit that goes along.
type Taken struct {
	ID   domain.KitID `db:"id"`
	Kind kit.Kind     `db:"kind"`
	Tag  string       `db:"tag"`
}

// Task is the work on one measuring point.
type Task struct {
	ID       domain.TaskID  `db:"id"`
	PointID  domain.PointID `db:"point_id"`
	Tag      string         `db:"tag"`
	Point    string         `db:"point"`
	Meter    string         `db:"meter"`
	LastNote string         `db:"last_note"` // the last closing note's kind, empty: none yet
	Begun    bool           `db:"begun"`
}

// Visit returns one visit with all that belongs to it.
func (s *Service) Visit(ctx context.Context, a access.Actor, id domain.VisitID) (View, error) {
	if err := access.May(a, access.SeePlan); err != nil {
		return View{}, err
	}
	v, err := s.view(ctx, id)
	return v, domain.Wrap("visit", err)
}

func (s *Service) view(ctx context.Context, id domain.VisitID) (v View, err error) {
	if v.Visit, err = findVisit(ctx, s.store, id, ""); err != nil {
		return v, err
	}
	site, zone, err := s.placeOf(ctx, s.store, v.SiteID)
	if err != nil {
		return v, err
	}
	v.Site, v.Zone = site.Name, zone
	names, err := store.Scalars[string](ctx, s.store, "SELECT name FROM client WHERE id = $1", v.ClientID)
	if err != nil {
		return v, err
	}
	v.Client = append(names, "")[0]
	if v.Steps, err = store.Rows[StepTaken](ctx, s.store, `SELECT t.step, t.reason, coalesce(n.name, t.by) AS by, t.at FROM visit_step t
		LEFT JOIN person n ON t.by = 'person:' || n.id WHERE t.visit_id = $1 ORDER BY t.at, t.id`, id); err != nil {
		return v, err
	}
	v.State = visit.Planned
	if n := len(v.Steps); n > 0 {
		v.State = visit.StateAfter(v.Steps[n-1].Step)
	}
	if v.Crew, err = store.Rows[CrewMember](ctx, s.store, `SELECT n.id, n.name FROM booking b JOIN person n ON n.id = b.person_id
		WHERE b.visit_id = $1 AND NOT b.released ORDER BY lower(n.name), n.id`, id); err != nil {
		return v, err
	}
	if v.Kit, err = store.Rows[Taken](ctx, s.store, `SELECT k.id, k.kind, k.tag FROM booking b JOIN kit_item k ON k.id = b.kit_id
		WHERE b.visit_id = $1 AND NOT b.released ORDER BY k.kind, lower(k.tag), k.id`, id); err != nil {
		return v, err
	}
	if v.Tasks, err = s.tasks(ctx, id); err != nil {
		return v, err
	}
	ids := make([]domain.KitID, len(v.Kit))
	for i, k := range v.Kit {
		ids[i] = k.ID
	}
	gaps, err := s.gaps(ctx, ids, v.From, v.Until, zone)
	if err != nil {
		return v, err
	}
	v.Gaps, err = s.unauthorisedFor(ctx, v)
	v.Gaps = append(v.Gaps, gaps...)
	return v, err
}

func (s *Service) tasks(ctx context.Context, id domain.VisitID) ([]Task, error) {
	return store.Rows[Task](ctx, s.store, `
		SELECT t.id, t.point_id, p.tag, p.name AS point, trim(concat_ws(' ', m.maker, m.model, m.serial)) AS meter,
		       coalesce(`+store.LastWord+`, '') AS last_note,
		       exists(SELECT FROM survey_value x WHERE x.task_id = t.id) OR exists(SELECT FROM run r WHERE r.task_id = t.id)
		         OR exists(SELECT FROM task_note n WHERE n.task_id = t.id) AS begun
		FROM task t JOIN measuring_point p ON p.id = t.point_id
		     JOIN installation i ON i.id = t.installation_id JOIN meter m ON m.id = i.meter_id
		WHERE t.visit_id = $1 ORDER BY lower(p.tag), t.id`, id)
}

// Gaps names what of the kit cannot carry results from one time to another, before it is
// booked. Dates are told in the zone.
func (s *Service) Gaps(ctx context.Context, a access.Actor, ids []domain.KitID, from, until time.Time, zone *time.Location) (fault.List, error) {
	if err := access.May(a, access.SeePlan); err != nil {
		return nil, err
	}
	found, err := s.gaps(ctx, ids, from, until, zone)
	return found, domain.Wrap("gaps", err)
}

func (s *Service) gaps(ctx context.Context, ids []domain.KitID, from, until time.Time, zone *time.Location) (fault.List, error) {
	items, err := store.KitItems(ctx, s.store, texts(ids))
	if err != nil {
		return nil, err
	}
	calibrations, err := store.Calibrations(ctx, s.store, texts(ids))
	if err != nil {
		return nil, err
	}
	return kit.Gaps(items, calibrations, from, until, zone), nil
}
