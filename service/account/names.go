package account

import (
	"context"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/person"
	"rillmark/service/store"
)

// Names returns the names of people by their ids, for whoever is logged in: who works
// here stands in histories and on visits anyway. Ids that are unknown are left out.
func (s *Service) Names(ctx context.Context, a access.Actor, ids []string) (map[string]string, error) {
	if err := access.May(a, access.SignedIn); err != nil {
		return nil, err
	}
	list, err := store.Rows[person.Person](ctx, s.store, "SELECT "+personColumns+" FROM person p WHERE p.id::text = ANY($1)", ids)
	names := make(map[string]string, len(list))
	for _, p := range list {
		names[p.ID.String()] = p.Name
	}
	return names, domain.Wrap("names", err)
}

// Named is a person's id and name.
type Named struct {
	ID   domain.PersonID `db:"id"`
	Name string          `db:"name"`
}

// Roster names everyone who is or was in the company, by name, for whoever looks through
// what people did.
func (s *Service) Roster(ctx context.Context, a access.Actor) ([]Named, error) {
	if err := access.May(a, access.SeeAudit); err != nil {
		return nil, err
	}
	list, err := store.Rows[Named](ctx, s.store, "SELECT id, name FROM person ORDER BY lower(name), id LIMIT 1000")
	return list, domain.Wrap("roster", err)
}
