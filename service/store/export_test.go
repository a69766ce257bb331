package store

// Inner parts for tests: migrations of their own, and the schema inside a transaction.
var (
	MigrateUpFrom = migrateUp
	SchemaOn      = schemaOn
)
