package store

import (
	"context"
	"fmt"
	"strings"

	"github.com/jackc/pgx/v5"
)

// schemaHead stands at the top of what Schema writes.
const schemaHead = `-- What the migrations add up to, written from the catalogues; do not edit.
-- The roles are made by "database init" beforehand; whatever does not name its owner
-- belongs to rillmark_owner.
`

// Schema reads the database's structure from its catalogues and writes it as SQL: in a
// fixed order, with every name in full, and the same on all supported versions of
// Postgres. What is not ours is left out: extensions' objects, the migrator's table, the
// demo mark. An object of a kind that it cannot write is an error, never an omission.
func Schema(ctx context.Context, address string) (string, error) {
	c, err := pgx.ParseConfig(address)
	if err != nil {
		return "", fmt.Errorf("store: schema: %w", withoutAddress(err))
	}
	c.RuntimeParams["search_path"] = "" // so that names are written in full
	conn, err := pgx.ConnectConfig(ctx, c)
	if err != nil {
		return "", fmt.Errorf("store: schema: %w", mapError(err))
	}
	defer conn.Close(context.WithoutCancel(ctx))
	return schemaOn(ctx, conn)
}

func schemaOn(ctx context.Context, conn *pgx.Conn) (string, error) {
	var b strings.Builder
	b.WriteString(schemaHead)
	for _, part := range schemaParts {
		if err := part.write(ctx, conn, &b); err != nil {
			return "", fmt.Errorf("store: schema: %s: %w", part.title, err)
		}
	}
	return b.String(), nil
}

// schemaPart is a query whose rows are statements, in the order in which they are to stand.
// A row's second column is true where an empty line goes before it.
type schemaPart struct{ title, sql string }

func (p schemaPart) write(ctx context.Context, conn *pgx.Conn, b *strings.Builder) error {
	type row struct {
		Statement string
		Apart     bool
	}
	rows, err := conn.Query(ctx, p.sql)
	if err != nil {
		return err
	}
	all, err := pgx.CollectRows(rows, pgx.RowToStructByPos[row])
	if err != nil || len(all) == 0 {
		return err
	}
	if p.title == schemaUnknown {
		return fmt.Errorf("this reader cannot write %s; teach it", all[0].Statement)
	}
	fmt.Fprintf(b, "\n-- %s\n", p.title)
	for i, r := range all {
		if r.Apart && i > 0 {
			b.WriteString("\n")
		}
		b.WriteString(strings.TrimRight(r.Statement, "\n;") + ";\n")
	}
	return nil
}

const schemaUnknown = "objects of unknown kinds"

// ours tells our namespaces, and what in them is not an extension's.
const (
	oursNamespace = ` n.nspname !~ '^pg_' AND n.nspname NOT IN ('information_schema', '` + markSchema + `') `
	oursRelation  = oursNamespace + ` AND c.relname <> 'schema_migrations'
		AND NOT EXISTS (SELECT FROM pg_depend d WHERE d.classid = 'pg_class'::regclass AND d.objid = c.oid AND d.deptype = 'e') `
	// grantees are the rows of an access list but the owner's own.
	grantee = ` CASE a.grantee WHEN 0 THEN 'PUBLIC' ELSE quote_ident(pg_get_userbyid(a.grantee)) END `
	option  = ` CASE WHEN a.is_grantable THEN ' WITH GRANT OPTION' ELSE '' END `
)

var schemaParts = []schemaPart{
	{schemaUnknown, `
		SELECT format('the relation %s of kind %s', c.oid::regclass, c.relkind), false
		FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace
		WHERE ` + oursRelation + ` AND NOT (c.relkind IN ('r', 'v', 'i', 't')
			OR c.relkind = 'S' AND EXISTS (SELECT FROM pg_depend d WHERE d.objid = c.oid AND d.deptype = 'i'))
		UNION ALL
		SELECT format('the type %s of kind %s', t.oid::regtype, t.typtype), false
		FROM pg_type t JOIN pg_namespace n ON n.oid = t.typnamespace LEFT JOIN pg_class c ON c.oid = t.typrelid
		WHERE ` + oursNamespace + ` AND t.typtype <> 'd' AND t.typcategory <> 'A' AND coalesce(c.relkind, ' ') NOT IN ('r', 'v')
			AND NOT EXISTS (SELECT FROM pg_depend d WHERE d.objid = t.oid AND d.deptype = 'e')
		UNION ALL
		SELECT format('the routine %s of kind %s', p.oid::regprocedure, p.prokind), false
		FROM pg_proc p JOIN pg_namespace n ON n.oid = p.pronamespace
		WHERE ` + oursNamespace + ` AND p.prokind NOT IN ('f', 'p')
			AND NOT EXISTS (SELECT FROM pg_depend d WHERE d.objid = p.oid AND d.deptype = 'e')
		UNION ALL
		SELECT format('the rule %s on %s', r.rulename, c.oid::regclass), false
		FROM pg_rewrite r JOIN pg_class c ON c.oid = r.ev_class JOIN pg_namespace n ON n.oid = c.relnamespace
		WHERE r.rulename <> '_RETURN' AND ` + oursRelation + `
		UNION ALL
		SELECT format('the event trigger %s', e.evtname), false FROM pg_event_trigger e`},

	{"Extensions", `
		SELECT format('CREATE EXTENSION %I WITH SCHEMA %s', e.extname, e.extnamespace::regnamespace), false
		FROM pg_extension e WHERE e.extname <> 'plpgsql' ORDER BY e.extname COLLATE "C"`},

	{"Schemas", `
		WITH s AS (SELECT n.oid, n.nspname, n.nspowner, n.nspacl FROM pg_namespace n WHERE ` + oursNamespace + `)
		SELECT x.statement, x.k = 1 FROM (
			SELECT s.nspname, 1 AS k, format('CREATE SCHEMA %I', s.nspname) AS statement FROM s WHERE s.nspname <> 'public'
			UNION ALL
			SELECT s.nspname, 2, format('ALTER SCHEMA %I OWNER TO %I', s.nspname, pg_get_userbyid(s.nspowner)) FROM s
			WHERE pg_get_userbyid(s.nspowner) NOT IN ('rillmark_owner', 'pg_database_owner')
			UNION ALL
			SELECT s.nspname, 3, format('GRANT %s ON SCHEMA %I TO %s%s',
				string_agg(a.privilege_type, ', ' ORDER BY a.privilege_type COLLATE "C"), s.nspname, ` + grantee + `, ` + option + `)
			FROM s, aclexplode(s.nspacl) a WHERE a.grantee <> s.nspowner GROUP BY s.nspname, a.grantee, a.is_grantable
			UNION ALL
			SELECT s.nspname, 4, format('COMMENT ON SCHEMA %I IS %L', s.nspname, obj_description(s.oid, 'pg_namespace'))
			FROM s WHERE s.nspname <> 'public' AND obj_description(s.oid, 'pg_namespace') IS NOT NULL) x
		ORDER BY x.nspname COLLATE "C", x.k, x.statement COLLATE "C"`},

	{"Domains", `
		WITH t AS (SELECT t.* FROM pg_type t JOIN pg_namespace n ON n.oid = t.typnamespace WHERE t.typtype = 'd' AND ` + oursNamespace + `)
		SELECT x.statement, x.k = 1 FROM (
			SELECT t.oid::regtype::text AS name, 1 AS k, format('CREATE DOMAIN %s AS %s%s%s', t.oid::regtype,
				format_type(t.typbasetype, t.typtypmod), ' DEFAULT ' || t.typdefault,
				CASE WHEN t.typnotnull THEN ' NOT NULL' ELSE '' END) AS statement FROM t
			UNION ALL
			SELECT t.oid::regtype::text, 2, format('ALTER DOMAIN %s ADD CONSTRAINT %I %s', t.oid::regtype, k.conname, pg_get_constraintdef(k.oid))
			FROM t JOIN pg_constraint k ON k.contypid = t.oid WHERE k.contype = 'c'
			UNION ALL
			SELECT t.oid::regtype::text, 3, format('COMMENT ON DOMAIN %s IS %L', t.oid::regtype, obj_description(t.oid, 'pg_type'))
			FROM t WHERE obj_description(t.oid, 'pg_type') IS NOT NULL) x
		ORDER BY x.name COLLATE "C", x.k, x.statement COLLATE "C"`},

	{"Tables and views", schemaTables},

	{"Foreign keys", `
		SELECT format('ALTER TABLE %s ADD CONSTRAINT %I %s', c.oid::regclass, k.conname, pg_get_constraintdef(k.oid)), false
		FROM pg_constraint k JOIN pg_class c ON c.oid = k.conrelid JOIN pg_namespace n ON n.oid = c.relnamespace
		WHERE k.contype = 'f' AND ` + oursRelation + `
		ORDER BY c.oid::regclass::text COLLATE "C", k.conname COLLATE "C"`},

	{"Functions and procedures", `
		WITH p AS (SELECT p.oid, p.oid::regprocedure::text AS name, p.proowner, p.proacl,
				CASE p.prokind WHEN 'p' THEN 'PROCEDURE' ELSE 'FUNCTION' END AS what
			FROM pg_proc p JOIN pg_namespace n ON n.oid = p.pronamespace
			WHERE ` + oursNamespace + ` AND NOT EXISTS (SELECT FROM pg_depend d WHERE d.objid = p.oid AND d.deptype = 'e'))
		SELECT x.statement, x.k = 1 FROM (
			SELECT p.name, 1 AS k, pg_get_functiondef(p.oid) AS statement FROM p
			UNION ALL
			SELECT p.name, 2, format('ALTER %s %s OWNER TO %I', p.what, p.name, pg_get_userbyid(p.proowner)) FROM p
			WHERE pg_get_userbyid(p.proowner) <> 'rillmark_owner'
			UNION ALL
			SELECT p.name, 3, format('REVOKE ALL ON %s %s FROM PUBLIC', p.what, p.name) FROM p
			WHERE p.proacl IS NOT NULL AND NOT EXISTS (SELECT FROM aclexplode(p.proacl) a WHERE a.grantee = 0)
			UNION ALL
			SELECT p.name, 4, format('GRANT EXECUTE ON %s %s TO %s%s', p.what, p.name, ` + grantee + `, ` + option + `)
			FROM p, aclexplode(p.proacl) a WHERE a.grantee NOT IN (p.proowner, 0)
			UNION ALL
			SELECT p.name, 5, format('COMMENT ON %s %s IS %L', p.what, p.name, obj_description(p.oid, 'pg_proc'))
			FROM p WHERE obj_description(p.oid, 'pg_proc') IS NOT NULL) x
		ORDER BY x.name COLLATE "C", x.k, x.statement COLLATE "C"`},

	{"Triggers", `
		SELECT x.statement, x.k = 1 FROM (
			SELECT c.oid::regclass::text AS name, t.tgname, 1 AS k, pg_get_triggerdef(t.oid) AS statement
			FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid JOIN pg_namespace n ON n.oid = c.relnamespace
			WHERE NOT t.tgisinternal AND ` + oursRelation + `
			UNION ALL
			SELECT c.oid::regclass::text, t.tgname, 2, format('ALTER TABLE %s %s TRIGGER %I', c.oid::regclass,
				CASE t.tgenabled WHEN 'A' THEN 'ENABLE ALWAYS' WHEN 'R' THEN 'ENABLE REPLICA' ELSE 'DISABLE' END, t.tgname)
			FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid JOIN pg_namespace n ON n.oid = c.relnamespace
			WHERE NOT t.tgisinternal AND t.tgenabled <> 'O' AND ` + oursRelation + `) x
		ORDER BY x.name COLLATE "C", x.tgname COLLATE "C", x.k`},

	{"Further comments", `
		SELECT format('COMMENT ON %s %s IS %L', upper(regexp_replace(i.type, '^table ', '')), regexp_replace(i.identity, ' on ', ' ON '), d.description), false
		FROM pg_description d, pg_identify_object(d.classoid, d.objoid, d.objsubid) i
		WHERE (d.classoid IN ('pg_constraint'::regclass, 'pg_trigger'::regclass, 'pg_policy'::regclass)
			OR d.classoid = 'pg_class'::regclass AND EXISTS (SELECT FROM pg_class c WHERE c.oid = d.objoid AND c.relkind = 'i'))
			AND i.identity !~ ' on (information_schema|pg_[a-z_]*)\.' AND coalesce(i.schema, '') !~ '^(pg_|information_schema)'
		ORDER BY 1`},
}
