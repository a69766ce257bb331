package registry

import (
	"context"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/register"
	"rillmark/service/store"
)

// AddClient is the command to add a client.
type AddClient struct {
	Operation    domain.OperationID `json:"operation" form:"operation"`
	ID           domain.ClientID    `json:"id" form:"id"`
	Name         string             `json:"name" form:"name"`
	Address      string             `json:"address" form:"address"`
	ContactName  string             `json:"contact_name" form:"contact_name"`
	ContactEmail string             `json:"contact_email" form:"contact_email"`
	ContactPhone string             `json:"contact_phone" form:"contact_phone"`
	Note         string             `json:"note" form:"note"`
}

// ChangeClient is the command to change one.
type ChangeClient struct {
	Operation    domain.OperationID `json:"operation" form:"operation"`
	ID           domain.ClientID    `json:"id" form:"id"`
	Version      int64              `json:"version" form:"version"`
	Name         string             `json:"name" form:"name"`
	Address      string             `json:"address" form:"address"`
	ContactName  string             `json:"contact_name" form:"contact_name"`
	ContactEmail string             `json:"contact_email" form:"contact_email"`
	ContactPhone string             `json:"contact_phone" form:"contact_phone"`
	Note         string             `json:"note" form:"note"`
}

// ClientRow is a client in a list.
type ClientRow struct {
	ID      domain.ClientID `db:"id"`
	Name    string          `db:"name"`
	Address string          `db:"address"`
	Sites   int             `db:"sites"`
	Points  int             `db:"points"`
	Key     string          `db:"key"`
}

const clientColumns = "id, name, address, contact_name, contact_email, contact_phone, note, version, created_at, changed_at"

// Clients lists clients by name.
func (s *Service) Clients(ctx context.Context, a access.Actor, f Filter) (Page[ClientRow], error) {
	var none Page[ClientRow]
	if err := access.May(a, access.SeeRegister); err != nil {
		return none, err
	}
	from, err := f.From()
	if err != nil {
		return none, err
	}
	rows, err := store.Rows[ClientRow](ctx, s.store, `
		SELECT c.id, c.name, c.address, lower(c.name) AS key,
		       (SELECT count(*) FROM site s WHERE s.client_id = c.id) AS sites,
		       (SELECT count(*) FROM measuring_point m WHERE m.client_id = c.id) AS points
		FROM client c
		WHERE (lower(c.name), c.id) > ($1, $2) AND c.name ILIKE $3
		ORDER BY lower(c.name), c.id LIMIT $4`, from.Key, from.ID, f.Pattern(), f.Rows()+1)
	if err != nil {
		return none, domain.Wrap("clients", err)
	}
	return store.PageOf(rows, f, func(r ClientRow) mark { return mark{Key: r.Key, ID: r.ID.UUID} }), nil
}

// Client returns one client.
func (s *Service) Client(ctx context.Context, a access.Actor, id domain.ClientID) (register.Client, error) {
	if err := access.May(a, access.SeeRegister); err != nil {
		return register.Client{}, err
	}
	c, err := findClient(ctx, s.store, id, "")
	return c, domain.Wrap("client", err)
}

func findClient(ctx context.Context, q store.Querier, id domain.ClientID, lock string) (register.Client, error) {
	return store.Row[register.Client](ctx, q, "client", "SELECT "+clientColumns+" FROM client WHERE id = $1"+lock, id)
}

// AddClient adds a client.
func (s *Service) AddClient(ctx context.Context, a access.Actor, c AddClient) (Written, error) {
	if err := access.May(a, access.ChangeClient); err != nil {
		return Written{}, err
	}
	client := register.Client{ID: c.ID, Name: c.Name, Address: c.Address, ContactName: c.ContactName,
		ContactEmail: c.ContactEmail, ContactPhone: c.ContactPhone, Note: c.Note, Version: 1}.Tidy()
	if err := domain.New(client.ID.Valid(), client.Validate()); err != nil {
		return Written{}, domain.Wrap("client.add", err)
	}
	command := store.Command{Actor: a, Action: "client.add", Operation: c.Operation, Request: c}
	return store.Write(ctx, s.store, command, func(ctx context.Context, tx *store.Tx) (Written, error) {
		if err := tx.Run(ctx, "INSERT INTO client ("+clientColumns+") VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $9)",
			client.ID, client.Name, client.Address, client.ContactName, client.ContactEmail, client.ContactPhone,
			client.Note, client.Version, tx.Now); err != nil {
			return Written{}, err
		}
		tx.Changed(audit.Client, client.ID, client.Version, nil, client)
		return Written{ID: client.ID.String(), Version: client.Version}, nil
	})
}

// ChangeClient changes a client; on a version that is no longer the newest it is refused
// with the client as it stands.
func (s *Service) ChangeClient(ctx context.Context, a access.Actor, c ChangeClient) (Written, error) {
	if err := access.May(a, access.ChangeClient); err != nil {
		return Written{}, err
	}
	command := store.Command{Actor: a, Action: "client.change", Operation: c.Operation, Request: c}
	return store.Write(ctx, s.store, command, func(ctx context.Context, tx *store.Tx) (Written, error) {
		before, err := findClient(ctx, tx, c.ID, " FOR NO KEY UPDATE")
		if err != nil {
			return Written{}, err
		}
		if before.Version != c.Version {
			return Written{}, domain.StaleThing("client", before)
		}
		after := before
		after.Name, after.Address, after.Note = c.Name, c.Address, c.Note
		after.ContactName, after.ContactEmail, after.ContactPhone = c.ContactName, c.ContactEmail, c.ContactPhone
		after = after.Tidy()
		after.Version++
		if err := after.Validate(); err != nil {
			return Written{}, err
		}
		if err := tx.Run(ctx, `UPDATE client SET name = $2, address = $3, contact_name = $4, contact_email = $5,
			contact_phone = $6, note = $7, version = $8, changed_at = $9 WHERE id = $1`,
			after.ID, after.Name, after.Address, after.ContactName, after.ContactEmail, after.ContactPhone,
			after.Note, after.Version, tx.Now); err != nil {
			return Written{}, err
		}
		tx.Changed(audit.Client, after.ID, after.Version, before, after)
		return Written{ID: after.ID.String(), Version: after.Version}, nil
	})
}
