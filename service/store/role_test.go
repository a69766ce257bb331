package store_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"rillmark/service/store"
	"rillmark/service/store/storetest"
)

// as logs in as the role itself, who has no way back to a mightier one.
func as(t *testing.T, db storetest.DB, role store.Role) *pgx.Conn {
	t.Helper()
	conn := db.Connect(t, "")
	if _, err := conn.Exec(t.Context(), "SET SESSION AUTHORIZATION "+string(role)); err != nil {
		t.Fatal(err)
	}
	return conn
}

// refused runs a statement that must not be allowed.
func refused(t *testing.T, conn *pgx.Conn, sql string, args ...any) {
	t.Helper()
	tx, err := conn.Begin(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	defer tx.Rollback(t.Context())
	_, err = tx.Exec(t.Context(), sql, args...)
	var pg *pgconn.PgError
	if !errors.As(err, &pg) || pg.Code != "42501" {
		t.Errorf("%s: want it refused, got %v", sql, err)
	}
}

func TestApplicationMayNot(t *testing.T) {
	t.Parallel()
	db, _ := withEvents(t)
	conn := as(t, db, store.App)
	for _, sql := range []string{
		"UPDATE audit.event SET payload = ''", "DELETE FROM audit.event", "TRUNCATE audit.event CASCADE",
		"INSERT INTO audit.event SELECT seq + 9, at, payload, hash, hash FROM audit.event",
		"UPDATE audit.head SET seq = 0", "DELETE FROM audit.head", "INSERT INTO audit.head SELECT * FROM audit.head",
		"SELECT FROM audit.head FOR UPDATE",
		"UPDATE audit.subject SET seq = 1", "DELETE FROM audit.subject", "INSERT INTO audit.subject VALUES ('client', gen_random_uuid(), 1)",
		"SELECT audit.leaf(gen_random_uuid(), 1, now(), '', '')", "SELECT audit.subjects_in('{}')",
		"UPDATE operation SET outcome = ''", "DELETE FROM operation", "TRUNCATE operation",
		"UPDATE private_text SET text = NULL", "DELETE FROM private_text",
		"UPDATE blob SET size = 0", "DELETE FROM blob_part", "UPDATE blob_part SET data = ''",
		"DELETE FROM client", "UPDATE client SET id = gen_random_uuid()", "UPDATE client SET created_at = now()",
		"UPDATE site SET client_id = gen_random_uuid()", "UPDATE measuring_point SET site_id = gen_random_uuid()",
		"DELETE FROM person", "UPDATE security_log SET detail = ''", "DELETE FROM security_log",
		"UPDATE session SET person_id = gen_random_uuid()", "UPDATE session SET ends_at = 'infinity'", "DELETE FROM session",
		"INSERT INTO migration VALUES (99)", "SELECT version FROM schema_migrations",
		"CREATE TABLE t ()", "CREATE TEMPORARY TABLE t ()", "CREATE SCHEMA s", "CREATE FUNCTION audit.f() RETURNS int LANGUAGE sql AS 'SELECT 1'",
		"ALTER TABLE client ADD COLUMN x int", "DROP TABLE client", "ALTER TABLE audit.event DISABLE TRIGGER ALL",
		"DROP TRIGGER event_append_only ON audit.event", "ALTER TABLE client DISABLE ROW LEVEL SECURITY",
		"CREATE OR REPLACE FUNCTION audit.deny() RETURNS trigger LANGUAGE plpgsql AS 'BEGIN RETURN NEW; END'",
		"CREATE ROLE r", "SET session_replication_role = replica",
		"SET ROLE rillmark_owner", "CREATE EXTENSION pgcrypto",
		"COPY client TO PROGRAM 'true'", "SELECT pg_read_file('/etc/passwd')",
	} {
		refused(t, conn, sql)
	}
}

// Not even the owner changes the trail while its triggers stand.
func TestTrailIsClosedToEveryone(t *testing.T) {
	t.Parallel()
	db, _ := withEvents(t)
	conn := db.Connect(t, "")
	for _, sql := range []string{"UPDATE audit.event SET payload = '' WHERE seq = 1", "DELETE FROM audit.event WHERE seq = 1", "TRUNCATE audit.event CASCADE",
		"SET session_replication_role = replica; DELETE FROM audit.event"} {
		refused(t, conn, sql)
	}
}

func TestReaderReadsNothingSecretAndWritesNothing(t *testing.T) {
	t.Parallel()
	db, _ := withEvents(t)
	conn := as(t, db, store.Reader)
	for _, table := range []string{"credential", "session", "login_device", "login_throttle", "kept_entry", "private_text"} {
		refused(t, conn, "SELECT FROM "+table)
	}
	for _, sql := range []string{"SELECT login FROM person", "SELECT name FROM person", "SELECT audit.append('{}')", "INSERT INTO client (id) VALUES (gen_random_uuid())"} {
		refused(t, conn, sql)
	}
	for _, sql := range []string{"SELECT payload FROM audit.event", "SELECT roles FROM person", "SELECT name FROM client", "SELECT bad_seq FROM audit.verify()"} {
		if _, err := conn.Exec(t.Context(), sql); err != nil {
			t.Errorf("%s: %v", sql, err)
		}
	}
}

// found runs a query over the catalogue that lists what breaks a rule.
func found(t *testing.T, sql string) []string {
	t.Helper()
	rows, _ := storetest.Shared(t).Connect(t, "").Query(t.Context(), sql)
	list, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		t.Fatal(err)
	}
	slices.Sort(list)
	return list
}

const ourTables = ` pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace AND n.nspname IN ('public', 'audit')
	AND c.relkind IN ('r', 'v', 'p', 'm') AND c.relname <> 'schema_migrations' `

// Rules for every table there is, whoever adds it.
func TestEveryTable(t *testing.T) {
	t.Parallel()
	for rule, c := range map[string]struct {
		sql string
		but []string // with the reason beside it
	}{
		"the application deletes nothing that is a record": {
			`SELECT c.relname FROM ` + ourTables + ` WHERE has_table_privilege('rillmark_app', c.oid, 'DELETE, TRUNCATE')`,
			[]string{"kept_entry", "login_device", "login_throttle"}}, // the door's, no record of the business
		"nobody but the owner refers to it or puts triggers on it": {
			`SELECT c.relname || ' ' || r FROM ` + ourTables + `, unnest(ARRAY['rillmark_app', 'rillmark_portal', 'rillmark_read']) r
			 WHERE has_table_privilege(r, c.oid, 'REFERENCES, TRIGGER, TRUNCATE')`, nil},
		"portal and reader only read": {
			`SELECT c.relname || ' ' || r FROM ` + ourTables + `, unnest(ARRAY['rillmark_portal', 'rillmark_read']) r
			 WHERE has_any_column_privilege(r, c.oid, 'INSERT, UPDATE') OR has_table_privilege(r, c.oid, 'DELETE')`, nil},
		"who changes a row says in which version": {
			`SELECT c.relname FROM ` + ourTables + ` WHERE has_any_column_privilege('rillmark_app', c.oid, 'UPDATE')
			 AND NOT EXISTS (SELECT FROM pg_attribute a WHERE a.attrelid = c.oid AND a.attname = 'version')`,
			[]string{"booking", "credential", "equipment_set_item", "login_throttle", "session", "task"}},
		// booking and equipment_set_item: visit and equipment_set carry the version; task: only its
		// agreement, which is replaced by another one; the others are the door's, where the last is right
		"what names a row is never changed": {
			`SELECT c.relname || '.' || a.attname FROM ` + ourTables + ` JOIN pg_attribute a ON a.attrelid = c.oid AND a.attname IN ('id', 'client_id')
			 WHERE has_column_privilege('rillmark_app', c.oid, a.attnum, 'UPDATE')`, nil},
		"it belongs to the owner": {
			`SELECT c.relname FROM ` + ourTables + ` WHERE pg_get_userbyid(c.relowner) <> 'rillmark_owner'`, nil},
		"it says what it is for": {
			`SELECT c.relname FROM ` + ourTables + ` WHERE obj_description(c.oid, 'pg_class') IS NULL`, nil},
		"its constraints have names of ours": {
			`SELECT k.conname FROM ` + ourTables + ` JOIN pg_constraint k ON k.conrelid = c.oid
			 WHERE k.contype <> 'n' AND k.conname ~ '_(pkey|key|fkey|check|excl)[0-9]*$'`, nil},
		"numbers are finite": {
			`SELECT c.relname || '.' || a.attname FROM ` + ourTables + ` JOIN pg_attribute a ON a.attrelid = c.oid AND a.attnum > 0
			 AND a.atttypid IN ('real'::regtype, 'double precision'::regtype, 'numeric'::regtype, 'real[]'::regtype, 'double precision[]'::regtype, 'numeric[]'::regtype)`, nil},
		"times have a zone": {
			`SELECT c.relname || '.' || a.attname FROM ` + ourTables + ` JOIN pg_attribute a ON a.attrelid = c.oid AND a.attnum > 0
			 AND a.atttypid IN ('timestamp'::regtype, 'time'::regtype, 'timetz'::regtype, 'tsrange'::regtype)`, nil},
		"no foreign key takes rows along": {
			`SELECT k.conname FROM ` + ourTables + ` JOIN pg_constraint k ON k.conrelid = c.oid WHERE k.contype = 'f' AND k.confdeltype <> 'a'`, nil},
		"what acts as its owner names its schemas": {
			`SELECT p.oid::regprocedure::text FROM pg_proc p WHERE p.prosecdef AND p.pronamespace::regnamespace::text IN ('public', 'audit')
			 AND NOT coalesce(p.proconfig::text LIKE '%search_path=pg_catalog%', false)`, nil},
		"no function is everyone's": {
			`SELECT p.oid::regprocedure::text FROM pg_proc p WHERE p.pronamespace::regnamespace::text IN ('public', 'audit')
			 AND NOT EXISTS (SELECT FROM pg_depend d WHERE d.objid = p.oid AND d.deptype = 'e')
			 AND has_function_privilege('rillmark_portal', p.oid, 'EXECUTE')`,
			[]string{"check_certificate(bytea)"}}, // what anyone may know who holds a certificate's code
	} {
		if got := found(t, c.sql); !slices.Equal(got, c.but) {
			t.Errorf("%s: broken by %s, expected only %s", rule, strings.Join(got, ", "), strings.Join(c.but, ", "))
		}
	}
}

func TestFiniteRefuses(t *testing.T) {
	t.Parallel()
	conn := storetest.Shared(t).Connect(t, "")
	for text, want := range map[string]bool{"NaN": false, "Infinity": false, "-Infinity": false,
		"0": true, "-0": true, "1e308": true, "-1.7976931348623157e308": true, "5e-324": true} {
		var x float64
		err := conn.QueryRow(t.Context(), "SELECT $1::text::double precision::finite", text).Scan(&x)
		var pg *pgconn.PgError
		if want != (err == nil) || (!want && (!errors.As(err, &pg) || pg.ConstraintName != "finite_number")) {
			t.Errorf("%s: %v", text, err)
		}
	}
}
