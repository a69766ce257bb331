package planning

import (
	"context"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/service/store"
)

// Choices is who and what can go to a site, and which measuring points are there.
type Choices struct {
	People []CrewMember
	Kit    []Taken
	Points []Choosable
}

// Choosable is a measuring point that a visit may have a task for.
type Choosable struct {
	ID     domain.PointID `db:"id"`
	Tag    string         `db:"tag"`
	Name   string         `db:"name"`
	Meter  bool           `db:"meter"`  // one is installed there now
	Agreed bool           `db:"agreed"` // something is agreed for it
}

// mostChoices bounds each list; a company's crew and kit are some dozens.
const mostChoices = 500

// Choices lists what a visit to the site can be made of.
func (s *Service) Choices(ctx context.Context, a access.Actor, site domain.SiteID) (c Choices, err error) {
	if err := access.May(a, access.ChangePlan); err != nil {
		return c, err
	}
	if c.People, err = store.Rows[CrewMember](ctx, s.store, `SELECT id, name FROM person
		WHERE disabled_at IS NULL AND 'technician' = any(roles) ORDER BY lower(name), id LIMIT $1`, mostChoices); err != nil {
		return c, domain.Wrap("choices", err)
	}
	if c.Kit, err = store.Rows[Taken](ctx, s.store, `SELECT id, kind, tag FROM kit_item
		WHERE out_of_service_at IS NULL ORDER BY kind, lower(tag), id LIMIT $1`, mostChoices); err != nil {
		return c, domain.Wrap("choices", err)
	}
	c.Points, err = store.Rows[Choosable](ctx, s.store, `SELECT p.id, p.tag, p.name,
		exists(SELECT FROM installation i WHERE i.point_id = p.id AND i.during @> now()) AS meter,
		exists(SELECT FROM agreement g WHERE g.point_id = p.id) AS agreed
		FROM measuring_point p WHERE p.site_id = $1 ORDER BY lower(p.tag), p.id LIMIT $2`, site, mostChoices)
	return c, domain.Wrap("choices", err)
}
