package store

// schemaTables writes each table or view with all that belongs to it but what would need
// another one to be there: foreign keys and triggers.
const schemaTables = `
	WITH c AS (
		SELECT c.*, c.oid::regclass::text AS name, CASE c.relkind WHEN 'v' THEN 'VIEW' ELSE 'TABLE' END AS what
		FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace
		WHERE c.relkind IN ('r', 'v') AND ` + oursRelation + `),
	col AS (
		SELECT c.oid, c.name, a.attnum, a.attname, a.attacl, t.typstorage, a.attstorage,
			format('    %I %s%s%s%s', a.attname, format_type(a.atttypid, a.atttypmod),
				CASE WHEN a.attcollation <> t.typcollation THEN ' COLLATE ' || a.attcollation::regcollation ELSE '' END,
				CASE WHEN a.attgenerated <> '' THEN format(' GENERATED ALWAYS AS (%s) %s', pg_get_expr(d.adbin, d.adrelid),
						CASE a.attgenerated WHEN 's' THEN 'STORED' ELSE 'VIRTUAL' END)
					WHEN d.adbin IS NOT NULL THEN ' DEFAULT ' || pg_get_expr(d.adbin, d.adrelid)
					WHEN a.attidentity <> '' THEN format(' GENERATED %s AS IDENTITY', CASE a.attidentity WHEN 'a' THEN 'ALWAYS' ELSE 'BY DEFAULT' END)
					ELSE '' END,
				CASE WHEN a.attnotnull THEN ' NOT NULL' ELSE '' END) AS line
		FROM c JOIN pg_attribute a ON a.attrelid = c.oid JOIN pg_type t ON t.oid = a.atttypid
			LEFT JOIN pg_attrdef d ON d.adrelid = c.oid AND d.adnum = a.attnum
		WHERE a.attnum > 0 AND NOT a.attisdropped),
	options AS (SELECT c.oid, ' WITH (' || array_to_string(c.reloptions, ', ') || ')' AS text FROM c WHERE c.reloptions IS NOT NULL)
	SELECT x.statement, x.k = 1 FROM (
		SELECT c.name, 1 AS k, '' AS sub, format(E'CREATE TABLE %s (\n%s\n)%s', c.name,
			(SELECT string_agg(col.line, E',\n' ORDER BY col.attnum) FROM col WHERE col.oid = c.oid), o.text) AS statement
		FROM c LEFT JOIN options o ON o.oid = c.oid WHERE c.relkind = 'r'
		UNION ALL
		SELECT c.name, 1, '', format(E'CREATE VIEW %s%s AS\n%s', c.name, o.text, pg_get_viewdef(c.oid))
		FROM c LEFT JOIN options o ON o.oid = c.oid WHERE c.relkind = 'v'
		UNION ALL
		SELECT c.name, 2, '', format('ALTER %s %s OWNER TO %I', c.what, c.name, pg_get_userbyid(c.relowner))
		FROM c WHERE pg_get_userbyid(c.relowner) <> 'rillmark_owner'
		UNION ALL
		SELECT col.name, 3, col.attname, format('ALTER TABLE %s ALTER COLUMN %I SET STORAGE %s', col.name, col.attname,
			CASE col.attstorage WHEN 'p' THEN 'PLAIN' WHEN 'e' THEN 'EXTERNAL' WHEN 'm' THEN 'MAIN' ELSE 'EXTENDED' END)
		FROM col WHERE col.attstorage <> col.typstorage
		UNION ALL
		SELECT c.name, CASE k.contype WHEN 'p' THEN 4 WHEN 'u' THEN 5 WHEN 'x' THEN 6 ELSE 7 END, k.conname,
			format('ALTER TABLE %s ADD CONSTRAINT %I %s', c.name, k.conname, pg_get_constraintdef(k.oid))
		FROM c JOIN pg_constraint k ON k.conrelid = c.oid WHERE k.contype IN ('p', 'u', 'x', 'c')
		UNION ALL
		SELECT c.name, 8, i.indexrelid::regclass::text, pg_get_indexdef(i.indexrelid)
		FROM c JOIN pg_index i ON i.indrelid = c.oid
		WHERE NOT EXISTS (SELECT FROM pg_constraint k WHERE k.conindid = i.indexrelid AND k.contype IN ('p', 'u', 'x'))
		UNION ALL
		SELECT c.name, 9, '', format('ALTER TABLE %s ENABLE ROW LEVEL SECURITY', c.name) FROM c WHERE c.relrowsecurity
		UNION ALL
		SELECT c.name, 10, '', format('ALTER TABLE %s FORCE ROW LEVEL SECURITY', c.name) FROM c WHERE c.relforcerowsecurity
		UNION ALL
		SELECT c.name, 11, p.polname, format('CREATE POLICY %I ON %s%s FOR %s TO %s%s%s', p.polname, c.name,
			CASE WHEN p.polpermissive THEN '' ELSE ' AS RESTRICTIVE' END,
			CASE p.polcmd WHEN 'r' THEN 'SELECT' WHEN 'a' THEN 'INSERT' WHEN 'w' THEN 'UPDATE' WHEN 'd' THEN 'DELETE' ELSE 'ALL' END,
			(SELECT string_agg(CASE r WHEN 0 THEN 'PUBLIC' ELSE quote_ident(pg_get_userbyid(r)) END, ', ' ORDER BY pg_get_userbyid(r) COLLATE "C") FROM unnest(p.polroles) r),
			' USING (' || pg_get_expr(p.polqual, p.polrelid) || ')', ' WITH CHECK (' || pg_get_expr(p.polwithcheck, p.polrelid) || ')')
		FROM c JOIN pg_policy p ON p.polrelid = c.oid
		UNION ALL
		SELECT c.name, 12, ` + grantee + `, format('GRANT %s ON TABLE %s TO %s%s',
			string_agg(a.privilege_type, ', ' ORDER BY a.privilege_type COLLATE "C"), c.name, ` + grantee + `, ` + option + `)
		FROM c, aclexplode(c.relacl) a WHERE a.grantee <> c.relowner GROUP BY c.name, a.grantee, a.is_grantable
		UNION ALL
		SELECT c.name, 13, ` + grantee + `, format('GRANT %s (%s) ON TABLE %s TO %s%s', a.privilege_type,
			string_agg(quote_ident(col.attname), ', ' ORDER BY col.attnum), c.name, ` + grantee + `, ` + option + `)
		FROM c JOIN col ON col.oid = c.oid, aclexplode(col.attacl) a WHERE a.grantee <> c.relowner
		GROUP BY c.name, a.grantee, a.privilege_type, a.is_grantable
		UNION ALL
		SELECT c.name, 14, '', format('COMMENT ON %s %s IS %L', c.what, c.name, obj_description(c.oid, 'pg_class'))
		FROM c WHERE obj_description(c.oid, 'pg_class') IS NOT NULL
		UNION ALL
		SELECT col.name, 15, to_char(col.attnum, 'FM0000'), format('COMMENT ON COLUMN %s.%I IS %L', col.name, col.attname, col_description(col.oid, col.attnum))
		FROM col WHERE col_description(col.oid, col.attnum) IS NOT NULL) x
	ORDER BY x.name COLLATE "C", x.k, x.sub COLLATE "C", x.statement COLLATE "C"`
