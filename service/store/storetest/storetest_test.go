package storetest_test

import (
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"rillmark/domain"
	"rillmark/service/store"
	"rillmark/service/store/storetest"
)

func TestMain(m *testing.M) { storetest.Main(m) }

func TestClonesAreMigratedAndApart(t *testing.T) {
	a, b := storetest.Clone(t), storetest.Clone(t)
	if a.URL == b.URL {
		t.Fatalf("both are %s", a.URL)
	}
	if _, err := a.Connect(t, "").Exec(t.Context(), "CREATE TABLE only_here ()"); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		db   storetest.DB
		want bool
	}{"the one": {a, true}, "the other": {b, false}, "the shared one": {storetest.Shared(t), false}} {
		var there, migrated bool
		err := c.db.Connect(t, "").QueryRow(t.Context(),
			"SELECT to_regclass('only_here') IS NOT NULL, exists(SELECT FROM migration)").Scan(&there, &migrated)
		if err != nil || there != c.want || !migrated {
			t.Errorf("%s: table there %v, migrated %v, %v", name, there, migrated, err)
		}
	}
	if one, other := storetest.Shared(t), storetest.Shared(t); one != other {
		t.Errorf("the shared clone is not one: %s, %s", one.URL, other.URL)
	}
}

func TestOpenTakesTheRole(t *testing.T) {
	db := storetest.Shared(t)
	for _, role := range []store.Role{store.App, store.Portal, store.Reader} {
		if err := db.Open(t, role).Ping(t.Context()); err != nil {
			t.Errorf("%s: %v", role, err)
		}
		var user string
		if err := db.Connect(t, role).QueryRow(t.Context(), "SELECT current_user").Scan(&user); err != nil || user != string(role) {
			t.Errorf("%s: acts as %q, %v", role, user, err)
		}
	}
}

// Nobody but the roles may connect to a copy either.
func TestCloneKeepsWhoMayConnect(t *testing.T) {
	var stranger, app bool
	err := storetest.Clone(t).Connect(t, "").QueryRow(t.Context(), `SELECT has_database_privilege('pg_monitor', current_database(), 'CONNECT'),
		has_database_privilege('rillmark_app', current_database(), 'CONNECT')`).Scan(&stranger, &app)
	if err != nil || stranger || !app {
		t.Errorf("stranger %v, app %v, %v", stranger, app, err)
	}
}

func TestIDsAreOfVersion7AndSorted(t *testing.T) {
	ids := storetest.IDs()
	before := domain.NewID[domain.ClientKind](ids)
	for range 1000 {
		next := domain.NewID[domain.ClientKind](storetest.IDs())
		if !next.Valid() || next.String() <= before.String() {
			t.Fatalf("%s after %s", next, before)
		}
		before = next
	}
	if !storetest.Operation().Valid() {
		t.Error("an operation's id is not valid")
	}
}

func TestKilledClusterComesBackWithItsRows(t *testing.T) {
	c := storetest.NewCluster(t, true)
	db := c.Clone(t)
	conn := db.Connect(t, "")
	if _, err := conn.Exec(t.Context(), "CREATE TABLE kept AS SELECT 7 AS x"); err != nil {
		t.Fatal(err)
	}
	var fsync string
	if err := conn.QueryRow(t.Context(), "SELECT current_setting('fsync') || current_setting('synchronous_commit')").Scan(&fsync); err != nil || fsync != "onon" {
		t.Errorf("durable cluster has fsync, synchronous_commit %s, %v", fsync, err)
	}
	c.Kill(t)
	c.Restart(t)
	var x int
	if err := db.Connect(t, "").QueryRow(t.Context(), "SELECT x FROM kept").Scan(&x); err != nil || x != 7 {
		t.Errorf("row %d, %v", x, err)
	}
}

// A run that was killed leaves its folder; the next one removes it, and nothing that a
// living process holds.
func TestFoldersOfKilledRunsAreRemoved(t *testing.T) {
	parent := t.TempDir()
	t.Setenv("TMPDIR", parent)
	const beyondAnyProcess = "4194999" // Linux numbers end at 4194304
	orphan := filepath.Join(parent, "rillmark-test-"+beyondAnyProcess+"-1")
	living := filepath.Join(parent, "rillmark-test-"+strconv.Itoa(os.Getpid())+"-1")
	foreign := filepath.Join(parent, "rillmark-test-notes")
	for _, dir := range []string{orphan, living, foreign} {
		if err := os.MkdirAll(filepath.Join(dir, "cluster"), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, "cluster", "lock"), nil, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Chmod(parent, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(filepath.Dir(parent), 0o755); err != nil {
		t.Fatal(err)
	}
	storetest.NewCluster(t, true)
	for dir, want := range map[string]bool{orphan: false, living: true, foreign: true} {
		if _, err := os.Stat(dir); (err == nil) != want {
			t.Errorf("%s is there: %v, want %v", dir, err == nil, want)
		}
	}
}
