// Package storetest gives tests the real Postgres. A package with database tests has
//
//	func TestMain(m *testing.M) { storetest.Main(m) }
//
// and its tests ask for a database of their own (Clone) or for one that all of them only
// read (Shared). The first one asked for starts one private cluster for the package, in
// memory where there is room, runs the migrations once into a template, and copies that.
// RILLMARK_TEST_DATABASE_URL names a server to use instead; its user must be allowed to
// make roles and databases.
//
// Only tests may import it. It follows no standard; the shape is common practice.
package storetest

import (
	"context"
	"fmt"
	"os"
	"testing"

	"github.com/jackc/pgx/v5"

	"rillmark/service/store"
)

// outsideServer names the variable with the address of a server to use instead.
const outsideServer = "RILLMARK_TEST_DATABASE_URL"

// Option changes how Main's cluster is run.
type Option int

// The options. The zero value is invalid.
const (
	_       Option = iota
	Durable        // flush to disk as in earnest, on the disk: for tests of crashes
)

// shared is the package's one cluster.
var shared lazyCluster

// Main runs the package's tests and stops the cluster after them. It does not return.
func Main(m *testing.M, options ...Option) { os.Exit(Run(m, options...)) }

// Run is Main for a package that has something of its own to clear away: it returns the
// exit code.
func Run(m *testing.M, options ...Option) int {
	for _, o := range options {
		shared.durable = shared.durable || o == Durable
	}
	code := m.Run()
	if err := shared.stop(); err != nil && code == 0 {
		fmt.Fprintln(os.Stderr, "storetest:", err)
		code = 1
	}
	return code
}

// DB is one migrated database. The zero value is invalid.
type DB struct {
	// URL logs in someone who may do anything; a Store takes its role upon itself on each
	// connection.
	URL string
}

// Clone returns a new database, dropped after the test.
func Clone(t testing.TB) DB {
	t.Helper()
	return shared.get(t).Clone(t)
}

// Shared returns the database of the tests that only read: the same for all of them, and
// holding what the migrations put there. Whoever writes into it breaks the others.
func Shared(t testing.TB) DB {
	t.Helper()
	return shared.get(t).shared(t)
}

// Open opens the database under the role and closes it after the test.
func (d DB) Open(t testing.TB, role store.Role) *store.Store {
	t.Helper()
	s, err := store.Open(t.Context(), store.Config{URL: d.URL, Role: role, IDs: IDs()})
	if err != nil {
		t.Fatalf("open as %s: %v", role, err)
	}
	t.Cleanup(s.Close)
	return s
}

// Connect opens one bare connection for hand-written SQL, closed after the test. An empty
// role stays the superuser.
func (d DB) Connect(t testing.TB, role store.Role) *pgx.Conn {
	t.Helper()
	c, err := pgx.Connect(t.Context(), d.URL)
	if err != nil {
		t.Fatalf("connect: %v", err)
	}
	t.Cleanup(func() { _ = c.Close(context.Background()) })
	if role != "" {
		if _, err := c.Exec(t.Context(), "SET ROLE "+pgx.Identifier{string(role)}.Sanitize()); err != nil {
			t.Fatalf("set role %s: %v", role, err)
		}
	}
	return c
}
