package store

import "context"

// Inner parts for tests: migrations of their own, and the schema inside a transaction.
var (
	MigrateUpFrom = migrateUp
	SchemaOn      = schemaOn
)

// VerifyBy checks the trail so many events at a time.
func (s *Store) VerifyBy(ctx context.Context, n int64) (Head, []Problem, error) {
	return s.verify(ctx, n)
}
