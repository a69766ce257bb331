package store_test

import (
	"context"
	"fmt"
	"net/url"
	"os"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/jackc/pgx/v5"

	"rillmark/service/store"
	"rillmark/service/store/storetest"
)

// childTask names the variable that makes this test binary do one thing and end: a test
// runs it again as a process that can be killed.
const childTask = "RILLMARK_STORE_TEST_CHILD"

func TestMain(m *testing.M) {
	if task := os.Getenv(childTask); task != "" {
		if err := children[task](context.Background(), os.Args[1:]); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	storetest.Main(m)
}

var children = map[string]func(context.Context, []string) error{
	"migrate": func(ctx context.Context, args []string) error {
		_, err := store.MigrateUp(ctx, args[0])
		return err
	},
}

// supers are the superuser's connections by test and database: opening one takes longer
// than most of what is asked on it.
var supers sync.Map

func super(t *testing.T, db storetest.DB) *pgx.Conn {
	t.Helper()
	key := t.Name() + " " + db.URL
	if conn, found := supers.Load(key); found && conn.(*pgx.Conn).Ping(t.Context()) == nil {
		return conn.(*pgx.Conn)
	}
	conn := db.Connect(t, "")
	supers.Store(key, conn)
	t.Cleanup(func() { supers.Delete(key) })
	return conn
}

// exec runs statements as the superuser.
func exec(t *testing.T, db storetest.DB, sql ...string) {
	t.Helper()
	conn := super(t, db)
	for _, s := range sql {
		if _, err := conn.Exec(t.Context(), s); err != nil {
			t.Fatalf("%s: %v", s, err)
		}
	}
}

// one reads a single value as the superuser.
func one[T any](t *testing.T, db storetest.DB, sql string, args ...any) T {
	t.Helper()
	var x T
	if err := super(t, db).QueryRow(t.Context(), sql, args...).Scan(&x); err != nil {
		t.Fatalf("%s: %v", sql, err)
	}
	return x
}

var empties atomic.Int64

// emptyDatabase makes a database as "database init" leaves it, before any migration.
func emptyDatabase(t *testing.T) storetest.DB {
	t.Helper()
	admin := storetest.Shared(t).URL
	name := fmt.Sprintf("empty_%d_%d", os.Getpid(), empties.Add(1))
	if err := store.Init(t.Context(), admin, name, nil); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { drop(t, admin, name) })
	return storetest.DB{URL: addressOf(t, admin, name)}
}

func addressOf(t *testing.T, admin, database string) string {
	t.Helper()
	u, err := url.Parse(admin)
	if err != nil {
		t.Fatal(err)
	}
	u.Path = "/" + database
	return u.String()
}

func drop(t *testing.T, admin, name string) {
	conn, err := pgx.Connect(context.Background(), admin)
	if err != nil {
		t.Error(err)
		return
	}
	defer conn.Close(context.Background())
	if _, err := conn.Exec(context.Background(), "DROP DATABASE IF EXISTS "+pgx.Identifier{name}.Sanitize()+" WITH (FORCE)"); err != nil {
		t.Error(err)
	}
}
