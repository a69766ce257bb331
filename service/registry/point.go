package registry

import (
	"context"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/register"
	"rillmark/service/store"
)

// AddPoint is the command to add a measuring point to a site. The client is the site's.
type AddPoint struct {
	Operation domain.OperationID `json:"operation" form:"operation"`
	ID        domain.PointID     `json:"id" form:"id"`
	SiteID    domain.SiteID      `json:"site_id" form:"site_id"`
	register.PointTexts
}

// ChangePoint is the command to change one.
type ChangePoint struct {
	Operation domain.OperationID `json:"operation" form:"operation"`
	ID        domain.PointID     `json:"id" form:"id"`
	Version   int64              `json:"version" form:"version"`
	register.PointTexts
}

// PointRow is a measuring point in a list.
type PointRow struct {
	ID    domain.PointID `db:"id"`
	Tag   string         `db:"tag"`
	Name  string         `db:"name"`
	Fluid string         `db:"fluid"`
	Pipe  string         `db:"pipe"`
	Key   string         `db:"key"`
}

const pointColumns = `id, client_id, site_id, tag, name, fluid, pipe,
	outside_diameter, outside_diameter_entered, wall, wall_entered,
	straight_before, straight_before_entered, straight_after, straight_after_entered,
	note, version, created_at, changed_at`

// Points lists a site's measuring points by tag.
func (s *Service) Points(ctx context.Context, a access.Actor, of domain.SiteID, f Filter) (Page[PointRow], error) {
	var none Page[PointRow]
	if err := access.May(a, access.SeeRegister); err != nil {
		return none, err
	}
	from, err := f.From()
	if err != nil {
		return none, err
	}
	rows, err := store.Rows[PointRow](ctx, s.store, `
		SELECT m.id, m.tag, m.name, m.fluid, m.pipe, lower(m.tag) AS key
		FROM measuring_point m
		WHERE m.site_id = $5 AND (lower(m.tag), m.id) > ($1, $2) AND (m.tag ILIKE $3 OR m.name ILIKE $3)
		ORDER BY lower(m.tag), m.id LIMIT $4`, from.Key, from.ID, f.Pattern(), f.Rows()+1, of)
	if err != nil {
		return none, domain.Wrap("points", err)
	}
	return store.PageOf(rows, f, func(r PointRow) mark { return mark{Key: r.Key, ID: r.ID.UUID} }), nil
}

// Point returns one measuring point.
func (s *Service) Point(ctx context.Context, a access.Actor, id domain.PointID) (register.Point, error) {
	if err := access.May(a, access.SeeRegister); err != nil {
		return register.Point{}, err
	}
	p, err := findPoint(ctx, s.store, id, "")
	return p, domain.Wrap("point", err)
}

func findPoint(ctx context.Context, q store.Querier, id domain.PointID, lock string) (register.Point, error) {
	return store.Row[register.Point](ctx, q, "measuring point", "SELECT "+pointColumns+" FROM measuring_point WHERE id = $1"+lock, id)
}

// AddPoint adds a measuring point.
func (s *Service) AddPoint(ctx context.Context, a access.Actor, c AddPoint) (Written, error) {
	if err := access.May(a, access.ChangePoint); err != nil {
		return Written{}, err
	}
	point, problems := register.Point{ID: c.ID, SiteID: c.SiteID, Version: 1}.Read(c.PointTexts)
	if err := domain.New(point.ID.Valid(), problems); err != nil {
		return Written{}, domain.Wrap("measuring_point.add", err)
	}
	command := store.Command{Actor: a, Action: "measuring_point.add", Operation: c.Operation, Request: c}
	return store.Write(ctx, s.store, command, func(ctx context.Context, tx *store.Tx) (Written, error) {
		site, err := findSite(ctx, tx, c.SiteID, " FOR KEY SHARE")
		if err != nil {
			return Written{}, err
		}
		point := point
		point.ClientID = site.ClientID
		if err := tx.Run(ctx, "INSERT INTO measuring_point ("+pointColumns+`) VALUES
			($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $18)`,
			point.ID, point.ClientID, point.SiteID, point.Tag, point.Name, point.Fluid, point.Pipe,
			point.OutsideDiameter, point.OutsideDiameterEntered, point.Wall, point.WallEntered,
			point.StraightBefore, point.StraightBeforeEntered, point.StraightAfter, point.StraightAfterEntered,
			point.Note, point.Version, tx.Now); err != nil {
			return Written{}, err
		}
		written(tx, nil, point)
		return Written{ID: point.ID.String(), Version: point.Version}, nil
	})
}

// ChangePoint changes a measuring point.
func (s *Service) ChangePoint(ctx context.Context, a access.Actor, c ChangePoint) (Written, error) {
	if err := access.May(a, access.ChangePoint); err != nil {
		return Written{}, err
	}
	read, err := register.Point{}.Read(c.PointTexts) // before any lock is taken
	if err != nil {
		return Written{}, domain.Wrap("measuring_point.change", err)
	}
	command := store.Command{Actor: a, Action: "measuring_point.change", Operation: c.Operation, Request: c}
	return store.Write(ctx, s.store, command, func(ctx context.Context, tx *store.Tx) (Written, error) {
		before, err := findPoint(ctx, tx, c.ID, " FOR NO KEY UPDATE")
		if err != nil {
			return Written{}, err
		}
		if before.Version != c.Version {
			return Written{}, domain.StaleThing("measuring point", before)
		}
		after := read
		after.ID, after.ClientID, after.SiteID = before.ID, before.ClientID, before.SiteID
		after.Version, after.CreatedAt, after.ChangedAt = before.Version+1, before.CreatedAt, tx.Now
		if err := tx.Run(ctx, `UPDATE measuring_point SET tag = $2, name = $3, fluid = $4, pipe = $5,
			outside_diameter = $6, outside_diameter_entered = $7, wall = $8, wall_entered = $9,
			straight_before = $10, straight_before_entered = $11, straight_after = $12, straight_after_entered = $13,
			note = $14, version = $15, changed_at = $16 WHERE id = $1`,
			after.ID, after.Tag, after.Name, after.Fluid, after.Pipe,
			after.OutsideDiameter, after.OutsideDiameterEntered, after.Wall, after.WallEntered,
			after.StraightBefore, after.StraightBeforeEntered, after.StraightAfter, after.StraightAfterEntered,
			after.Note, after.Version, tx.Now); err != nil {
			return Written{}, err
		}
		written(tx, before, after)
		return Written{ID: after.ID.String(), Version: after.Version}, nil
	})
}

func written(tx *store.Tx, before any, p register.Point) {
	tx.Changed(audit.Point, p.ID, p.Version, before, p)
	tx.Concerns(audit.Site, p.SiteID)
	tx.Concerns(audit.Client, p.ClientID)
}
