package store

import (
	"context"

	"github.com/jackc/pgx/v5"
)

// AtDoor runs a transaction on the tables of the door: sessions, throttle, kept forms.
// They are no record of the business, so nothing of it is chained; everything else is
// written by Write.
func (s *Store) AtDoor(ctx context.Context, do func(ctx context.Context, tx pgx.Tx) error) error {
	tx, err := s.pool.BeginTx(ctx, pgx.TxOptions{IsoLevel: pgx.ReadCommitted})
	if err != nil {
		return mapError(err)
	}
	defer tx.Rollback(context.WithoutCancel(ctx)) //nolint:errcheck // after COMMIT it does nothing
	if err := do(ctx, tx); err != nil {
		return mapError(err)
	}
	return mapError(tx.Commit(ctx))
}
