package registry

import (
	"context"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/register"
	"rillmark/service/store"
)

// AddSite is the command to add a site to a client.
type AddSite struct {
	Operation  domain.OperationID `json:"operation" form:"operation"`
	ID         domain.SiteID      `json:"id" form:"id"`
	ClientID   domain.ClientID    `json:"client_id" form:"client_id"`
	Name       string             `json:"name" form:"name"`
	Address    string             `json:"address" form:"address"`
	TimeZone   string             `json:"time_zone" form:"time_zone"`
	AccessNote string             `json:"access_note" form:"access_note"`
	SafetyNote string             `json:"safety_note" form:"safety_note"`
}

// ChangeSite is the command to change one.
type ChangeSite struct {
	Operation  domain.OperationID `json:"operation" form:"operation"`
	ID         domain.SiteID      `json:"id" form:"id"`
	Version    int64              `json:"version" form:"version"`
	Name       string             `json:"name" form:"name"`
	Address    string             `json:"address" form:"address"`
	TimeZone   string             `json:"time_zone" form:"time_zone"`
	AccessNote string             `json:"access_note" form:"access_note"`
	SafetyNote string             `json:"safety_note" form:"safety_note"`
}

// SiteRow is a site in a list.
type SiteRow struct {
	ID      domain.SiteID `db:"id"`
	Name    string        `db:"name"`
	Address string        `db:"address"`
	Points  int           `db:"points"`
	Key     string        `db:"key"`
}

const siteColumns = "id, client_id, name, address, time_zone, access_note, safety_note, version, created_at, changed_at"

// Sites lists a client's sites by name.
func (s *Service) Sites(ctx context.Context, a access.Actor, of domain.ClientID, f Filter) (Page[SiteRow], error) {
	var none Page[SiteRow]
	if err := access.May(a, access.SeeRegister); err != nil {
		return none, err
	}
	from, err := f.From()
	if err != nil {
		return none, err
	}
	rows, err := store.Rows[SiteRow](ctx, s.store, `
		SELECT s.id, s.name, s.address, lower(s.name) AS key,
		       (SELECT count(*) FROM measuring_point m WHERE m.site_id = s.id) AS points
		FROM site s
		WHERE s.client_id = $5 AND (lower(s.name), s.id) > ($1, $2) AND s.name ILIKE $3
		ORDER BY lower(s.name), s.id LIMIT $4`, from.Key, from.ID, f.Pattern(), f.Rows()+1, of)
	if err != nil {
		return none, domain.Wrap("sites", err)
	}
	return store.PageOf(rows, f, func(r SiteRow) mark { return mark{Key: r.Key, ID: r.ID.UUID} }), nil
}

// Site returns one site.
func (s *Service) Site(ctx context.Context, a access.Actor, id domain.SiteID) (register.Site, error) {
	if err := access.May(a, access.SeeRegister); err != nil {
		return register.Site{}, err
	}
	site, err := findSite(ctx, s.store, id, "")
	return site, domain.Wrap("site", err)
}

func findSite(ctx context.Context, q store.Querier, id domain.SiteID, lock string) (register.Site, error) {
	return store.Row[register.Site](ctx, q, "site", "SELECT "+siteColumns+" FROM site WHERE id = $1"+lock, id)
}

// AddSite adds a site.
func (s *Service) AddSite(ctx context.Context, a access.Actor, c AddSite) (Written, error) {
	if err := access.May(a, access.ChangeSite); err != nil {
		return Written{}, err
	}
	site := register.Site{ID: c.ID, ClientID: c.ClientID, Name: c.Name, Address: c.Address, TimeZone: c.TimeZone,
		AccessNote: c.AccessNote, SafetyNote: c.SafetyNote, Version: 1}.Tidy()
	if err := domain.New(site.ID.Valid(), site.Validate()); err != nil {
		return Written{}, domain.Wrap("site.add", err)
	}
	command := store.Command{Actor: a, Action: "site.add", Operation: c.Operation, Request: c}
	return store.Write(ctx, s.store, command, func(ctx context.Context, tx *store.Tx) (Written, error) {
		if err := tx.Run(ctx, "INSERT INTO site ("+siteColumns+") VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $9)",
			site.ID, site.ClientID, site.Name, site.Address, site.TimeZone, site.AccessNote, site.SafetyNote,
			site.Version, tx.Now); err != nil {
			return Written{}, err
		}
		tx.Changed(audit.Site, site.ID, site.Version, nil, site)
		tx.Concerns(audit.Client, site.ClientID)
		return Written{ID: site.ID.String(), Version: site.Version}, nil
	})
}

// ChangeSite changes a site.
func (s *Service) ChangeSite(ctx context.Context, a access.Actor, c ChangeSite) (Written, error) {
	if err := access.May(a, access.ChangeSite); err != nil {
		return Written{}, err
	}
	command := store.Command{Actor: a, Action: "site.change", Operation: c.Operation, Request: c}
	return store.Write(ctx, s.store, command, func(ctx context.Context, tx *store.Tx) (Written, error) {
		before, err := findSite(ctx, tx, c.ID, " FOR NO KEY UPDATE")
		if err != nil {
			return Written{}, err
		}
		if before.Version != c.Version {
			return Written{}, domain.StaleThing("site", before)
		}
		after := before
		after.Name, after.Address, after.TimeZone = c.Name, c.Address, c.TimeZone
		after.AccessNote, after.SafetyNote = c.AccessNote, c.SafetyNote
		after = after.Tidy()
		after.Version++
		if err := after.Validate(); err != nil {
			return Written{}, err
		}
		if err := tx.Run(ctx, `UPDATE site SET name = $2, address = $3, time_zone = $4, access_note = $5, safety_note = $6,
			version = $7, changed_at = $8 WHERE id = $1`,
			after.ID, after.Name, after.Address, after.TimeZone, after.AccessNote, after.SafetyNote, after.Version, tx.Now); err != nil {
			return Written{}, err
		}
		tx.Changed(audit.Site, after.ID, after.Version, before, after)
		tx.Concerns(audit.Client, after.ClientID)
		return Written{ID: after.ID.String(), Version: after.Version}, nil
	})
}
