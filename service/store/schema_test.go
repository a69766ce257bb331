package store_test

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"

	"rillmark/service/store"
	"rillmark/service/store/storetest"
)

var update = flag.Bool("update", false, "write the golden files anew")

var schemaFile = filepath.Join("..", "..", "migrations", "schema.sql")

func schemaOf(t *testing.T, db storetest.DB) string {
	t.Helper()
	text, err := store.Schema(t.Context(), db.URL)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

func TestSchemaIsAsWritten(t *testing.T) {
	t.Parallel()
	got := schemaOf(t, storetest.Shared(t))
	if *update {
		if err := os.WriteFile(schemaFile, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(schemaFile)
	if err != nil {
		t.Fatalf("%v (write it with -update)", err)
	}
	if diff := firstDifference(string(want), got); diff != "" {
		t.Errorf("the migrations no longer add up to %s; look, then write it with -update:\n%s", schemaFile, diff)
	}
}

func firstDifference(want, got string) string {
	if want == got {
		return ""
	}
	w, g := strings.Split(want, "\n"), strings.Split(got, "\n")
	for i := range min(len(w), len(g)) {
		if w[i] != g[i] {
			return fmt.Sprintf("line %d\n  written: %s\n  read:    %s", i+1, w[i], g[i])
		}
	}
	return fmt.Sprintf("written %d lines, read %d", len(w), len(g))
}

// The text stands for the structure: run on an empty database it makes the same one again.
func TestSchemaMakesTheSameAgain(t *testing.T) {
	t.Parallel()
	want := schemaOf(t, storetest.Shared(t))
	db := emptyDatabase(t)
	conn := db.Connect(t, store.Owner)
	if _, err := conn.Exec(t.Context(), want); err != nil {
		t.Fatal(err)
	}
	if diff := firstDifference(want, schemaOf(t, db)); diff != "" {
		t.Error(diff)
	}
}

// Whatever changes the structure changes the text, or is refused.
func TestSchemaSees(t *testing.T) {
	t.Parallel()
	db := storetest.Clone(t)
	before, conn := schemaOf(t, db), db.Connect(t, "")
	for name, sql := range map[string]string{
		"column":               "ALTER TABLE client ADD COLUMN x text",
		"type":                 "ALTER TABLE kept_entry ALTER COLUMN form TYPE varchar(300000)",
		"nullable":             "ALTER TABLE client ALTER COLUMN note DROP NOT NULL",
		"default":              "ALTER TABLE client ALTER COLUMN note SET DEFAULT ''",
		"collation":            "ALTER TABLE client ALTER COLUMN note TYPE text COLLATE \"C\"",
		"storage":              "ALTER TABLE client ALTER COLUMN note SET STORAGE EXTERNAL",
		"table option":         "ALTER TABLE session SET (fillfactor = 80)",
		"constraint":           "ALTER TABLE client DROP CONSTRAINT client_note_length",
		"foreign key":          "ALTER TABLE site DROP CONSTRAINT site_client_fk",
		"index":                "DROP INDEX session_by_person",
		"domain's constraint":  "ALTER DOMAIN finite DROP CONSTRAINT finite_number",
		"row-level security":   "ALTER TABLE site DISABLE ROW LEVEL SECURITY",
		"forced security":      "ALTER TABLE site FORCE ROW LEVEL SECURITY",
		"policy":               "ALTER POLICY site_portal ON site USING (true)",
		"grant":                "GRANT DELETE ON site TO rillmark_app",
		"grant of a column":    "GRANT UPDATE (id) ON site TO rillmark_app",
		"grant to everyone":    "GRANT SELECT ON person TO PUBLIC",
		"grant of the schema":  "GRANT CREATE ON SCHEMA public TO rillmark_app",
		"owner":                "ALTER TABLE site OWNER TO CURRENT_USER",
		"function's text":      "CREATE OR REPLACE FUNCTION audit.deny() RETURNS trigger LANGUAGE plpgsql AS 'BEGIN RETURN NEW; END'",
		"function's grant":     "GRANT EXECUTE ON FUNCTION audit.append(text) TO rillmark_portal",
		"function for all":     "GRANT EXECUTE ON FUNCTION audit.append(text) TO PUBLIC",
		"trigger":              "DROP TRIGGER event_no_truncate ON audit.event",
		"trigger's state":      "ALTER TABLE audit.event DISABLE TRIGGER event_append_only",
		"view":                 "CREATE VIEW v WITH (security_invoker) AS SELECT id FROM site",
		"comment on a table":   "COMMENT ON TABLE site IS 'x'",
		"comment on a column":  "COMMENT ON COLUMN site.time_zone IS 'x'",
		"comment on an index":  "COMMENT ON INDEX session_by_person IS 'x'",
		"comment on a policy":  "COMMENT ON POLICY site_portal ON site IS 'x'",
		"comment on a trigger": "COMMENT ON TRIGGER event_no_truncate ON audit.event IS 'x'",
		"extension":            "CREATE EXTENSION pgcrypto",
	} {
		if got, err := schemaAfter(t, conn, sql); err != nil {
			t.Errorf("%s: %v", name, err)
		} else if got == before {
			t.Errorf("%s: %s: not seen", name, sql)
		}
	}
	for name, sql := range map[string]string{
		"sequence":          "CREATE SEQUENCE s",
		"materialized view": "CREATE MATERIALIZED VIEW m AS SELECT 1 AS x",
		"enumeration":       "CREATE TYPE e AS ENUM ('a')",
		"aggregate":         "CREATE AGGREGATE a (int) (SFUNC = int4pl, STYPE = int)",
		"rule":              "CREATE RULE r AS ON DELETE TO site DO INSTEAD NOTHING",
		"partitioned table": "CREATE TABLE p (x int) PARTITION BY RANGE (x)",
	} {
		if _, err := schemaAfter(t, conn, sql); err == nil {
			t.Errorf("%s: %s: neither written nor refused", name, sql)
		}
	}
}

// schemaAfter reads the schema after a statement that is then taken back.
func schemaAfter(t *testing.T, conn *pgx.Conn, sql string) (string, error) {
	t.Helper()
	tx, err := conn.Begin(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	defer tx.Rollback(t.Context())
	for _, statement := range []string{sql, "SET LOCAL search_path = ''"} {
		if _, err := tx.Exec(t.Context(), statement); err != nil {
			t.Fatalf("%s: %v", statement, err)
		}
	}
	return store.SchemaOn(t.Context(), tx.Conn())
}

// What is not ours changes nothing.
func TestSchemaLeavesOutTheDemoMark(t *testing.T) {
	t.Parallel()
	db := storetest.Clone(t)
	before := schemaOf(t, db)
	exec(t, db, "CREATE SCHEMA rillmark_demo")
	if diff := firstDifference(before, schemaOf(t, db)); diff != "" {
		t.Error(diff)
	}
}
