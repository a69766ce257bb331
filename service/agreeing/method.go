package agreeing

import (
	"context"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/method"
	"rillmark/service/store"
)

// AddMethod is the command to add a method; its number stays what it is.
type AddMethod struct {
	Operation domain.OperationID `json:"operation" form:"operation"`
	ID        domain.MethodID    `json:"id" form:"id"`
	Number    string             `json:"number" form:"number"`
	Title     string             `json:"title" form:"title"`
}

// ChangeMethod is the command to change a method's title.
type ChangeMethod struct {
	Operation domain.OperationID `json:"operation" form:"operation"`
	ID        domain.MethodID    `json:"id" form:"id"`
	Version   int64              `json:"version" form:"version"`
	Title     string             `json:"title" form:"title"`
}

// MethodRow is a method in a list.
type MethodRow struct {
	ID      domain.MethodID `db:"id"`
	Number  string          `db:"number"`
	Title   string          `db:"title"`
	InForce *int            `db:"in_force"` // the edition in force now; nil: none
	Key     string          `db:"key"`
}

const methodColumns = "id, number, title, version, created_at, changed_at"

// Methods lists the methods by number.
func (s *Service) Methods(ctx context.Context, a access.Actor, f Filter) (Page[MethodRow], error) {
	var none Page[MethodRow]
	if err := access.May(a, access.SeeMethods); err != nil {
		return none, err
	}
	from, err := f.From()
	if err != nil {
		return none, err
	}
	rows, err := store.Rows[MethodRow](ctx, s.store, `SELECT m.id, m.number, m.title, lower(m.number) AS key,
		(SELECT e.edition FROM method_edition e WHERE e.method_id = m.id AND e.in_force @> clock_timestamp()) AS in_force
		FROM method m WHERE (lower(m.number), m.id) > ($1, $2) AND (m.number ILIKE $3 OR m.title ILIKE $3)
		ORDER BY lower(m.number), m.id LIMIT $4`, from.Key, from.ID, f.Pattern(), f.Rows()+1)
	if err != nil {
		return none, domain.Wrap("methods", err)
	}
	return store.PageOf(rows, f, func(r MethodRow) store.Mark { return store.Mark{Key: r.Key, ID: r.ID.UUID} }), nil
}

// Method returns one method.
func (s *Service) Method(ctx context.Context, a access.Actor, id domain.MethodID) (method.Method, error) {
	if err := access.May(a, access.SeeMethods); err != nil {
		return method.Method{}, err
	}
	m, err := findMethod(ctx, s.store, id, "")
	return m, domain.Wrap("method", err)
}

func findMethod(ctx context.Context, q store.Querier, id domain.MethodID, lock string) (method.Method, error) {
	return store.Row[method.Method](ctx, q, "method", "SELECT "+methodColumns+" FROM method WHERE id = $1"+lock, id)
}

// AddMethod adds a method, yet without an edition.
func (s *Service) AddMethod(ctx context.Context, a access.Actor, c AddMethod) (Written, error) {
	if err := access.May(a, access.ChangeMethod); err != nil {
		return Written{}, err
	}
	m := method.Method{ID: c.ID, Number: c.Number, Title: c.Title, Version: 1}.Tidy()
	if err := domain.New(m.ID.Valid(), m.Validate()); err != nil {
		return Written{}, domain.Wrap("method.add", err)
	}
	command := store.Command{Actor: a, Action: "method.add", Operation: c.Operation, Request: c}
	return store.Write(ctx, s.store, command, func(ctx context.Context, tx *store.Tx) (Written, error) {
		if err := tx.Run(ctx, "INSERT INTO method ("+methodColumns+") VALUES ($1, $2, $3, $4, $5, $5)",
			m.ID, m.Number, m.Title, m.Version, tx.Now); err != nil {
			return Written{}, err
		}
		tx.Changed(audit.Method, m.ID, m.Version, nil, m)
		return Written{ID: m.ID.String(), Version: m.Version}, nil
	})
}

// ChangeMethod changes a method's title.
func (s *Service) ChangeMethod(ctx context.Context, a access.Actor, c ChangeMethod) (Written, error) {
	if err := access.May(a, access.ChangeMethod); err != nil {
		return Written{}, err
	}
	command := store.Command{Actor: a, Action: "method.change", Operation: c.Operation, Request: c}
	return store.Write(ctx, s.store, command, func(ctx context.Context, tx *store.Tx) (Written, error) {
		before, err := findMethod(ctx, tx, c.ID, " FOR NO KEY UPDATE")
		if err != nil {
			return Written{}, err
		}
		if before.Version != c.Version {
			return Written{}, domain.StaleThing("method", before)
		}
		after := before
		after.Title, after.Version = c.Title, before.Version+1
		after = after.Tidy()
		if err := after.Validate(); err != nil {
			return Written{}, err
		}
		if err := tx.Run(ctx, "UPDATE method SET title = $2, version = $3, changed_at = $4 WHERE id = $1",
			after.ID, after.Title, after.Version, tx.Now); err != nil {
			return Written{}, err
		}
		tx.Changed(audit.Method, after.ID, after.Version, before, after)
		return Written{ID: after.ID.String(), Version: after.Version}, nil
	})
}
