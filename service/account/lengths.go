package account

import (
	"context"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/person"
	"rillmark/service/store"
)

// ChooseLengths is the command by which a person chooses in which units lengths are shown.
type ChooseLengths struct {
	Operation domain.OperationID `json:"operation" form:"operation"`
	Lengths   string             `json:"lengths" form:"lengths"`
}

// ChooseLengths keeps the choice of the actor's own.
func (s *Service) ChooseLengths(ctx context.Context, a access.Actor, c ChooseLengths) (Written, error) {
	if err := access.May(a, access.SignedIn); err != nil {
		return Written{}, err
	}
	command := store.Command{Actor: a, Action: "person.lengths", Operation: c.Operation, Request: c}
	return store.Write(ctx, s.store, command, func(ctx context.Context, tx *store.Tx) (Written, error) {
		before, err := find(ctx, tx, a.Person, " FOR NO KEY UPDATE")
		if err != nil {
			return Written{}, err
		}
		after := before
		after.Lengths, after.Version, after.ChangedAt = person.Lengths(c.Lengths), before.Version+1, tx.Now
		if err := after.Validate(); err != nil {
			return Written{}, err
		}
		if err := tx.Run(ctx, "UPDATE person SET lengths = $2, version = $3, changed_at = $4 WHERE id = $1",
			after.ID, after.Lengths, after.Version, tx.Now); err != nil {
			return Written{}, err
		}
		tx.Changed(audit.Person, after.ID, after.Version, before, after)
		return Written{after.ID.String(), after.Version}, nil
	})
}
