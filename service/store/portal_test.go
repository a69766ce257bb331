package store_test

import (
	"bytes"
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"

	"rillmark/service/store"
	"rillmark/service/store/storetest"
)

const (
	ours   = "0190aaaa-0000-7000-8000-000000000001"
	theirs = "0190bbbb-0000-7000-8000-000000000002"
)

// twoClients makes for each of two clients a row in every table that the portal reads. The
// ids of a client's things end like the client's own.
func twoClients(t *testing.T) storetest.DB {
	t.Helper()
	db := storetest.Clone(t)
	for _, c := range []string{ours, theirs} {
		id := func(n int) string { return fmt.Sprintf("%s-%04d%s", c[:18], n, c[23:]) }
		site, point, meter := id(1), id(2), id(3)
		exec(t, db,
			fmt.Sprintf("INSERT INTO client (id, name, address, contact_name, contact_email, contact_phone, note, version, created_at, changed_at) VALUES ('%s', 'Works %s', '', '', '', '', '', 1, now(), now())", c, c),
			fmt.Sprintf("INSERT INTO site VALUES ('%s', '%s', 'Site %s', '', 'Etc/UTC', '', '', 1, now(), now())", site, c, c),
			fmt.Sprintf("INSERT INTO measuring_point (id, client_id, site_id, tag, name, fluid, pipe, note, version, created_at, changed_at) VALUES ('%s', '%s', '%s', 'F1', '', '', '', '', 1, now(), now())", point, c, site),
			fmt.Sprintf("INSERT INTO meter VALUES ('%s', '%s', 'magnetic', '', '', 'S1', '', '', 'volume', '', 1, now(), now())", meter, c),
			fmt.Sprintf("INSERT INTO indication (id, client_id, meter_id, name, way, unit, version, created_at, changed_at) VALUES ('%s', '%s', '%s', 'display', 'display', 'm3/h', 1, now(), now())", id(4), c, meter),
			fmt.Sprintf("INSERT INTO installation (id, client_id, meter_id, point_id, during, installed_by, install_reason, version, created_at, changed_at) VALUES ('%s', '%s', '%s', '%s', '[2026-01-01,)', 'x', 'x', 1, now(), now())", id(5), c, meter, point))
	}
	return db
}

// portalOf connects as the portal for the client; empty: for nobody.
func portalOf(t *testing.T, db storetest.DB, client string) *pgx.Conn {
	t.Helper()
	conn := as(t, db, store.Portal)
	if client != "" {
		if _, err := conn.Exec(t.Context(), "SELECT set_config('rillmark.client_id', $1, false)", client); err != nil {
			t.Fatal(err)
		}
	}
	return conn
}

// portalTables are the tables of which the portal reads anything.
func portalTables(t *testing.T) []string {
	t.Helper()
	list := found(t, `SELECT c.oid::regclass::text FROM `+ourTables+` WHERE has_any_column_privilege('rillmark_portal', c.oid, 'SELECT')`)
	if len(list) < 3 {
		t.Fatalf("the portal reads %v only", list)
	}
	return list
}

func count(t *testing.T, conn *pgx.Conn, sql string, args ...any) (n int) {
	t.Helper()
	if err := conn.QueryRow(t.Context(), sql, args...).Scan(&n); err != nil {
		t.Errorf("%s: %v", sql, err)
	}
	return n
}

func TestPortalSeesItsClientAlone(t *testing.T) {
	t.Parallel()
	db := twoClients(t)
	owner, portal := db.Connect(t, ""), portalOf(t, db, ours)
	for _, table := range portalTables(t) {
		if n := count(t, owner, "SELECT count(*) FROM "+table+" WHERE client_id = $1", theirs); n == 0 {
			t.Errorf("%s: this test's data has no row of the other client; add one", table)
		}
		if n := count(t, portal, "SELECT count(*) FROM "+table); n != 1 {
			t.Errorf("%s: sees %d rows of its own", table, n)
		}
		readable := func(condition string) string {
			return strings.Join(found(t, `SELECT a.attname::text FROM pg_attribute a WHERE a.attrelid = '`+table+`'::regclass AND a.attnum > 0 AND NOT a.attisdropped
				AND has_column_privilege('rillmark_portal', a.attrelid, a.attnum, 'SELECT') AND `+condition+` ORDER BY a.attnum`), ", ")
		}
		columns, copied := readable("true"), readable("a.attgenerated = ''")
		for _, sql := range []string{
			"SELECT count(*) FROM %[1]s WHERE client_id = '%[2]s'",
			"SELECT count(*) FROM %[1]s WHERE client_id <> '%[3]s'",
			"SELECT count(*) FROM %[1]s WHERE client_id IS DISTINCT FROM '%[3]s'",
			"SELECT count(*) FROM %[1]s WHERE id IN (SELECT id FROM %[1]s WHERE client_id = '%[2]s')",
			"SELECT count(*) FROM (SELECT COLUMNS, 0 FROM %[1]s t UNION ALL SELECT COLUMNS, 1 FROM %[1]s u) x WHERE client_id = '%[2]s'",
			"SELECT count(*) FROM client c JOIN %[1]s t ON t.client_id = '%[2]s' OR c.id = '%[2]s'",
			"SELECT count(*) FROM client c FULL JOIN %[1]s t ON false WHERE t.client_id = '%[2]s' OR c.id = '%[2]s'",
			"WITH x AS MATERIALIZED (SELECT COLUMNS FROM %[1]s) SELECT count(*) FROM x WHERE x::text LIKE '%%%[2]s%%'",
			"SELECT count(*) FROM %[1]s t, LATERAL (SELECT 1 / (CASE WHEN t.client_id = '%[2]s' THEN 0 ELSE 1 END)) x WHERE t.client_id = '%[2]s'",
			"SELECT count(*) FROM %[1]s WHERE 1 / (CASE WHEN client_id = '%[2]s' THEN 0 ELSE 1 END) = 0",
			"SELECT count(*) FROM %[1]s TABLESAMPLE SYSTEM (100) WHERE client_id = '%[2]s'",
		} {
			if n := count(t, portal, fmt.Sprintf(strings.ReplaceAll(sql, "COLUMNS", columns), table, theirs, ours)); n != 0 {
				t.Errorf("%d rows by "+sql, n, table, theirs, ours)
			}
		}
		var id string
		if err := owner.QueryRow(t.Context(), "SELECT id FROM "+table+" WHERE client_id = $1", theirs).Scan(&id); err != nil {
			t.Fatal(err)
		}
		if n := count(t, portal, "SELECT count(*) FROM "+table+" WHERE id = $1", id); n != 0 {
			t.Errorf("%s: sees a foreign row by its id", table)
		}
		var out bytes.Buffer
		if _, err := portal.PgConn().CopyTo(t.Context(), &out, "COPY "+table+" ("+copied+") TO STDOUT"); err != nil || !strings.Contains(out.String(), ours) || strings.Contains(out.String(), theirs) {
			t.Errorf("copied %q, %v", out.String(), err)
		}
		refused(t, portal, "SET LOCAL row_security = off; SELECT FROM "+table)
	}
}

func TestPortalOfNobodySeesNothing(t *testing.T) {
	t.Parallel()
	db := twoClients(t)
	for name, set := range map[string]string{"never set": "", "set to nothing": "SET rillmark.client_id = ''",
		"reset":                         "SET rillmark.client_id = '" + ours + "'; RESET rillmark.client_id",
		"set in an earlier transaction": "BEGIN; SET LOCAL rillmark.client_id = '" + ours + "'; COMMIT",
		"set to a stranger":             "SET rillmark.client_id = '0190cccc-0000-7000-8000-000000000003'"} {
		portal := portalOf(t, db, "")
		if _, err := portal.Exec(t.Context(), set); err != nil {
			t.Fatal(err)
		}
		for _, table := range portalTables(t) {
			if n := count(t, portal, "SELECT count(*) FROM "+table); n != 0 {
				t.Errorf("%s: %s: sees %d rows", name, table, n)
			}
		}
	}
	portal := portalOf(t, db, "")
	if _, err := portal.Exec(t.Context(), "SET rillmark.client_id = 'all of them'"); err != nil {
		t.Fatal(err)
	}
	for _, table := range portalTables(t) {
		if _, err := portal.Exec(t.Context(), "SELECT FROM "+table); err == nil {
			t.Errorf("%s: read with a setting that is no id", table)
		}
	}
}

func TestPortalWritesNothingAndReadsNothingElse(t *testing.T) {
	t.Parallel()
	db := twoClients(t)
	portal := portalOf(t, db, ours)
	readable := portalTables(t)
	for _, table := range found(t, "SELECT c.oid::regclass::text FROM "+ourTables) {
		if !slices.Contains(readable, table) {
			refused(t, portal, "SELECT FROM "+table)
		}
		refused(t, portal, "INSERT INTO "+table+" DEFAULT VALUES")
		refused(t, portal, "DELETE FROM "+table)
		refused(t, portal, "TRUNCATE "+table)
	}
	for _, sql := range []string{"UPDATE client SET name = 'x'", "UPDATE site SET client_id = '" + ours + "'", "SELECT audit.append('{}')",
		"SELECT bad_seq FROM audit.verify()", "SET ROLE rillmark_app", "CREATE TABLE t ()", "CREATE TEMPORARY TABLE t ()",
		"CREATE FUNCTION public.leak(text) RETURNS bool LANGUAGE plpgsql COST 0.001 AS 'BEGIN RAISE NOTICE ''%'', $1; RETURN true; END'"} {
		refused(t, portal, sql)
	}
}

const clientOwned = ` c.relkind IN ('r', 'p') AND EXISTS (SELECT FROM pg_attribute a WHERE a.attrelid = c.oid AND a.attname = 'client_id' AND NOT a.attisdropped) `

// Rules for every table whose rows belong to a client, whoever adds it.
func TestEveryClientsTable(t *testing.T) {
	t.Parallel()
	const portalSees = `(client_id = (NULLIF(current_setting('rillmark.client_id'::text, true), ''::text))::uuid)`
	all := found(t, "SELECT c.relname FROM "+ourTables+" WHERE "+clientOwned)
	if len(all) < 3 {
		t.Fatalf("only %v belong to a client", all)
	}
	t.Logf("%d tables belong to a client", len(all))
	for rule, sql := range map[string]string{
		"client_id is never missing": `SELECT c.relname FROM ` + ourTables + ` JOIN pg_attribute b ON b.attrelid = c.oid AND b.attname = 'client_id'
			WHERE NOT (b.attnotnull AND b.atttypid = 'uuid'::regtype)`,
		"row-level security is on": `SELECT c.relname FROM ` + ourTables + ` WHERE ` + clientOwned + ` AND NOT c.relrowsecurity`,
		"one policy lets the portal read its client's rows": `SELECT c.relname FROM ` + ourTables + ` WHERE ` + clientOwned + ` AND 1 <>
			(SELECT count(*) FROM pg_policy p WHERE p.polrelid = c.oid AND p.polroles = ARRAY['rillmark_portal'::regrole::oid]
				AND p.polcmd = 'r' AND p.polpermissive AND p.polname = c.relname || '_portal'
				AND pg_get_expr(p.polqual, p.polrelid) = $$` + portalSees + `$$)`,
		"no other policy is the portal's": `SELECT c.relname || ' ' || p.polname FROM ` + ourTables + ` JOIN pg_policy p ON p.polrelid = c.oid
			WHERE (p.polroles && ARRAY['rillmark_portal'::regrole::oid, 0::oid]) AND p.polname <> c.relname || '_portal'`,
		"it is tied to the client by a foreign key": `SELECT c.relname FROM ` + ourTables + ` WHERE ` + clientOwned + ` AND c.relname <> 'client' AND NOT EXISTS
			(SELECT FROM pg_constraint k JOIN pg_attribute a ON a.attrelid = c.oid AND a.attnum = any(k.conkey) AND a.attname = 'client_id'
				WHERE k.conrelid = c.oid AND k.contype = 'f')`,
		"what hangs on a client's row is the client's too": `SELECT c.relname || ' → ' || k.confrelid::regclass FROM ` + ourTables + ` JOIN pg_constraint k ON k.conrelid = c.oid AND k.contype = 'f'
			WHERE NOT (` + clientOwned + `) AND EXISTS (SELECT FROM pg_attribute a WHERE a.attrelid = k.confrelid AND a.attname = 'client_id')`,
		"the portal reads nothing that belongs to nobody": `SELECT c.relname FROM ` + ourTables + ` WHERE NOT (` + clientOwned + `)
			AND has_any_column_privilege('rillmark_portal', c.oid, 'SELECT')`,
		"nobody steps over the policies": `SELECT rolname FROM pg_roles c WHERE rolname LIKE 'rillmark\_%' AND (rolbypassrls OR rolsuper)`,
	} {
		if got := found(t, sql); len(got) > 0 {
			t.Errorf("%s: broken by %s", rule, strings.Join(got, ", "))
		}
	}
}

// The rules themselves are seen to find what breaks them.
func TestEveryClientsTableRuleFinds(t *testing.T) {
	t.Parallel()
	db := storetest.Clone(t)
	exec(t, db, "CREATE TABLE careless (id uuid, client_id uuid)")
	var bare, nullable bool
	err := db.Connect(t, "").QueryRow(context.Background(), `SELECT
		EXISTS (SELECT FROM `+ourTables+` WHERE c.relname = 'careless' AND `+clientOwned+` AND NOT c.relrowsecurity),
		EXISTS (SELECT FROM `+ourTables+` JOIN pg_attribute b ON b.attrelid = c.oid AND b.attname = 'client_id' WHERE c.relname = 'careless' AND NOT b.attnotnull)`).Scan(&bare, &nullable)
	if err != nil || !bare || !nullable {
		t.Errorf("bare %v, nullable %v, %v", bare, nullable, err)
	}
}

// What the company notes about a client, its points and meters is not the client's to read.
func TestPortalReadsNoNotes(t *testing.T) {
	t.Parallel()
	portal := portalOf(t, twoClients(t), ours)
	for _, table := range []string{"client", "measuring_point", "meter"} {
		if n := count(t, portal, "SELECT count(*) FROM "+table+" WHERE id IS NOT NULL"); n != 1 {
			t.Errorf("%s: sees %d rows", table, n)
		}
		var note string
		if err := portal.QueryRow(t.Context(), "SELECT note FROM "+table).Scan(&note); err == nil || !strings.Contains(err.Error(), "permission denied") {
			t.Errorf("%s.note: %q, %v", table, note, err)
		}
	}
}
