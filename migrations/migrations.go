// Package migrations holds the database's migrations as embedded SQL: numbered pairs,
// one purpose each. They run as the owner's role and only GRANT to the other roles,
// which are cluster-wide and made by a separate, idempotent step. Running them is the
// business of service/store. schema.sql beside them is what they add up to, written
// from the catalogues and compared in a test.
package migrations

import "embed"

// Files are the pairs NNNN_name.up.sql and NNNN_name.down.sql.
//
//go:embed *.up.sql *.down.sql
var Files embed.FS
