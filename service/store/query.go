package store

import (
	"context"

	"github.com/jackc/pgx/v5"
)

// Querier is what rows are read from: the Store itself, or a transaction.
type Querier interface {
	Query(ctx context.Context, sql string, args ...any) (pgx.Rows, error)
}

// Query implements Querier outside a transaction.
func (s *Store) Query(ctx context.Context, sql string, args ...any) (pgx.Rows, error) {
	return s.pool.Query(ctx, sql, args...)
}

// Rows reads all rows into structs, columns by name.
func Rows[T any](ctx context.Context, q Querier, sql string, args ...any) ([]T, error) {
	rows, err := q.Query(ctx, sql, args...)
	if err != nil {
		return nil, mapError(err)
	}
	all, err := pgx.CollectRows(rows, pgx.RowToStructByName[T])
	return all, mapError(err)
}

// Row reads the one row; an absent one is a not-found error that names the kind of thing.
func Row[T any](ctx context.Context, q Querier, kind, sql string, args ...any) (T, error) {
	var none T
	rows, err := q.Query(ctx, sql, args...)
	if err != nil {
		return none, mapError(err)
	}
	one, err := pgx.CollectExactlyOneRow(rows, pgx.RowToStructByName[T])
	if err != nil {
		return none, notFound(err, kind)
	}
	return one, nil
}

// Scalars reads one column.
func Scalars[T any](ctx context.Context, q Querier, sql string, args ...any) ([]T, error) {
	rows, err := q.Query(ctx, sql, args...)
	if err != nil {
		return nil, mapError(err)
	}
	all, err := pgx.CollectRows(rows, pgx.RowTo[T])
	return all, mapError(err)
}
