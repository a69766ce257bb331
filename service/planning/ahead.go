package planning

import (
	"context"
	"time"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/visit"
	"rillmark/service/store"
)

// NotAuthorised says that somebody of a crew is not authorised for the method of one of
// the visit's tasks all the time of the visit.
var NotAuthorised = fault.Define("planning.not-authorised", fault.T("name"), fault.T("method"))

// Ahead names what of a party could not carry results at the time of a visit that is not
// booked yet: kit out of calibration, people not authorised for the methods that are agreed
// for the points. It forbids nothing. The visit's time must be there; dates are told in
// the zone.
func (s *Service) Ahead(ctx context.Context, a access.Actor, v visit.Visit, people []domain.PersonID, kit []domain.KitID, points []domain.PointID, zone *time.Location) (fault.List, error) {
	if err := access.May(a, access.SeePlan); err != nil {
		return nil, err
	}
	gaps, err := s.gaps(ctx, kit, v.From, v.Until, zone)
	if err != nil {
		return nil, domain.Wrap("ahead", err)
	}
	unauthorised, err := s.unauthorised(ctx, people, v.From, v.Until, `SELECT DISTINCT ON (g.point_id) g.method_edition_id FROM agreement g
		WHERE g.point_id = ANY($4::uuid[]) ORDER BY g.point_id, g.received_at DESC, g.id DESC`, texts(points))
	return append(unauthorised, gaps...), domain.Wrap("ahead", err)
}

// unauthorisedFor names who of a visit's crew is not authorised for its tasks.
func (s *Service) unauthorisedFor(ctx context.Context, v View) (fault.List, error) {
	people := make([]domain.PersonID, len(v.Crew))
	for i, p := range v.Crew {
		people[i] = p.ID
	}
	return s.unauthorised(ctx, people, v.From, v.Until, `SELECT g.method_edition_id FROM task t JOIN agreement g ON g.id = t.agreement_id
		WHERE t.visit_id = $4`, v.ID)
}

// unauthorised names who is not authorised for a method of the editions all the time.
// Authorisations that follow each other count as one.
func (s *Service) unauthorised(ctx context.Context, people []domain.PersonID, from, until time.Time, editions string, of any) (fault.List, error) {
	type row struct {
		Name   string `db:"name"`
		Method string `db:"method"`
	}
	rows, err := store.Rows[row](ctx, s.store, `
		SELECT DISTINCT n.name, m.number AS method
		FROM person n CROSS JOIN method m
		WHERE n.id = ANY($1::uuid[])
		  AND m.id IN (SELECT e.method_id FROM method_edition e WHERE e.id IN (`+editions+`))
		  AND NOT coalesce((SELECT range_agg(z.during) FROM authorisation z
		      WHERE z.person_id = n.id AND z.method_id = m.id AND z.act = 'perform') @> tstzrange($2, $3), false)
		ORDER BY 1, 2 LIMIT 50`, texts(people), from, until, of)
	var found fault.List
	for _, r := range rows {
		found = append(found, NotAuthorised.At("people", r.Name, r.Method))
	}
	return found, err
}
