package store

import "context"

// The expressions of the indexes of the trail.
const (
	ActionOf = actionOf
	ActorOf  = actorOf
)

// Inner parts for tests: migrations of their own, and the schema inside a transaction.
var (
	MigrateUpFrom = migrateUp
	SchemaOn      = schemaOn
)

// VerifyBy checks the trail so many events at a time.
func (s *Store) VerifyBy(ctx context.Context, n int64) (Head, []Problem, error) {
	return s.verify(ctx, n)
}
