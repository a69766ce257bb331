package store_test

import (
	"errors"
	"testing"

	"rillmark/service/store"
	"rillmark/service/store/storetest"
)

func wantStanding(t *testing.T, db storetest.DB, want store.Standing) {
	t.Helper()
	if got, err := store.StandingOf(t.Context(), db.URL); got != want || err != nil {
		t.Errorf("standing %d, %v; want %d", got, err, want)
	}
}

func TestDemoTakesAnEmptyDatabase(t *testing.T) {
	t.Parallel()
	db := emptyDatabase(t)
	wantStanding(t, db, store.Empty)
	for range 2 {
		if err := store.MarkDemo(t.Context(), db.URL); err != nil {
			t.Fatal(err)
		}
		wantStanding(t, db, store.Demo)
	}
}

func TestDemoIsMadeAnew(t *testing.T) {
	t.Parallel()
	db := emptyDatabase(t)
	if err := store.MarkDemo(t.Context(), db.URL); err != nil {
		t.Fatal(err)
	}
	fresh := schemaOf(t, db)
	for range 2 {
		if _, err := store.MigrateUp(t.Context(), db.URL); err != nil {
			t.Fatal(err)
		}
		if diff := firstDifference(schemaOf(t, storetest.Shared(t)), schemaOf(t, db)); diff != "" {
			t.Errorf("the demo's database is another: %s", diff)
		}
		mustAdd(t, db.Open(t, store.App), newClient("A client of the demo"))
		if err := store.ResetDemo(t.Context(), db.URL); err != nil {
			t.Fatal(err)
		}
		wantStanding(t, db, store.Demo)
		if diff := firstDifference(fresh, schemaOf(t, db)); diff != "" {
			t.Errorf("after the reset something is left: %s", diff)
		}
	}
}

func TestDemoLeavesSomebodysDatabaseAlone(t *testing.T) {
	t.Parallel()
	db := emptyDatabase(t)
	for name, c := range map[string]struct{ sql, undo string }{
		"table":        {"CREATE TABLE theirs ()", "DROP TABLE theirs"},
		"view":         {"CREATE VIEW theirs AS SELECT 1 AS x", "DROP VIEW theirs"},
		"function":     {"CREATE FUNCTION theirs() RETURNS int LANGUAGE sql AS 'SELECT 1'", "DROP FUNCTION theirs"},
		"type":         {"CREATE TYPE theirs AS ENUM ('a')", "DROP TYPE theirs"},
		"schema":       {"CREATE SCHEMA theirs", "DROP SCHEMA theirs"},
		"large object": {"SELECT lo_create(7)", "SELECT lo_unlink(7)"},
	} {
		wantStanding(t, db, store.Empty)
		exec(t, db, c.sql)
		wantStanding(t, db, store.Somebody)
		if err := store.MarkDemo(t.Context(), db.URL); !errors.Is(err, store.ErrNotADemo) {
			t.Errorf("%s: marked, %v", name, err)
		}
		if err := store.ResetDemo(t.Context(), db.URL); !errors.Is(err, store.ErrNotADemo) {
			t.Errorf("%s: dropped, %v", name, err)
		}
		wantStanding(t, db, store.Somebody)
		exec(t, db, c.undo)
	}
}

func TestDemoLeavesARealRillmarkAlone(t *testing.T) {
	t.Parallel()
	db := storetest.Clone(t)
	mustAdd(t, db.Open(t, store.App), newClient("A real client"))
	wantStanding(t, db, store.Somebody)
	if err := store.ResetDemo(t.Context(), db.URL); !errors.Is(err, store.ErrNotADemo) {
		t.Errorf("dropped, %v", err)
	}
	holds(t, db, 1, 1, 1)
}

// What an extension brought is nobody's data.
func TestExtensionsDoNotMakeADatabaseSomebodys(t *testing.T) {
	t.Parallel()
	db := emptyDatabase(t)
	exec(t, db, "CREATE EXTENSION btree_gist", "CREATE EXTENSION pg_stat_statements")
	wantStanding(t, db, store.Empty)
}

func TestStandingOfNoDatabase(t *testing.T) {
	t.Parallel()
	if got, err := store.StandingOf(t.Context(), "postgres://u@/d?host=/nowhere-at-all"); err == nil || got != 0 {
		t.Errorf("standing %d, %v", got, err)
	}
}
