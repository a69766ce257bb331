package store

import (
	"context"
	"fmt"
	"net/url"
	"strings"

	"github.com/jackc/pgx/v5"
)

// Passwords of the roles for a database that asks for them. An empty one is left as it is.
type Passwords map[Role]string

// initLock is the advisory lock under which roles and database are made: two instances
// that start together do not trip over each other.
const initLock = 7230101

// Init makes the roles and the database, or completes them: it can be run again at any
// time. adminURL logs in someone who may create roles, to any database of the cluster.
// Roles belong to the whole cluster, so migrations never make them.
func Init(ctx context.Context, adminURL, database string, passwords Passwords) error {
	conn, err := pgx.Connect(ctx, adminURL)
	if err != nil {
		return fmt.Errorf("store: init: %w", mapError(err))
	}
	defer conn.Close(context.WithoutCancel(ctx))
	if _, err := conn.Exec(ctx, "SELECT pg_advisory_lock($1)", initLock); err != nil {
		return fmt.Errorf("store: init: %w", mapError(err))
	}
	for _, role := range []Role{Owner, App, Portal, Reader} {
		if err := initRole(ctx, conn, role, passwords[role]); err != nil {
			return fmt.Errorf("store: init: role %s: %w", role, err)
		}
	}
	if err := initDatabase(ctx, conn, database); err != nil {
		return fmt.Errorf("store: init: database %s: %w", database, err)
	}
	return nil
}

func initRole(ctx context.Context, conn *pgx.Conn, role Role, password string) error {
	name := pgx.Identifier{string(role)}.Sanitize()
	// As in CREATE ROLE IF NOT EXISTS, which Postgres has not.
	sql := []string{fmt.Sprintf(`DO $$ BEGIN CREATE ROLE %s;
		EXCEPTION WHEN duplicate_object OR unique_violation THEN NULL; END $$`, name),
		// INHERIT: the owner of a database owns its schema public through a role it inherits.
		fmt.Sprintf("ALTER ROLE %s LOGIN INHERIT NOCREATEDB NOCREATEROLE", name)}
	for setting, value := range settings(role) {
		if strings.HasSuffix(setting, "_timeout") {
			sql = append(sql, fmt.Sprintf("ALTER ROLE %s SET %s = '%s'", name, setting, value))
		}
	}
	if password != "" {
		sql = append(sql, fmt.Sprintf("ALTER ROLE %s PASSWORD %s", name, quoted(password)))
	}
	// The one who makes the database must be able to act as its owner.
	sql = append(sql, fmt.Sprintf(`DO $$ BEGIN IF NOT pg_has_role(current_user, '%s', 'MEMBER') THEN
		EXECUTE format('GRANT %s TO %%I', current_user); END IF; END $$`, role, name))
	for _, s := range sql {
		if _, err := conn.Exec(ctx, s); err != nil {
			return mapError(err)
		}
	}
	return nil
}

func initDatabase(ctx context.Context, conn *pgx.Conn, database string) error {
	var exists bool
	if err := conn.QueryRow(ctx, "SELECT exists(SELECT FROM pg_database WHERE datname = $1)", database).Scan(&exists); err != nil {
		return mapError(err)
	}
	name := pgx.Identifier{database}.Sanitize()
	sql := fmt.Sprintf("CREATE DATABASE %s OWNER %s ENCODING 'UTF8' TEMPLATE template0", name, Owner)
	if exists {
		sql = fmt.Sprintf("ALTER DATABASE %s OWNER TO %s", name, Owner)
	}
	for _, s := range []string{sql, fmt.Sprintf("REVOKE CONNECT, TEMPORARY ON DATABASE %s FROM PUBLIC", name),
		fmt.Sprintf("GRANT CONNECT ON DATABASE %s TO %s, %s, %s", name, App, Portal, Reader)} {
		if _, err := conn.Exec(ctx, s); err != nil {
			return mapError(err)
		}
	}
	return nil
}

func quoted(text string) string {
	return "E'" + strings.NewReplacer(`\`, `\\`, `'`, `\'`).Replace(text) + "'"
}

// withoutAddress takes the address, which may hold a password, out of a parse error.
func withoutAddress(err error) error {
	var u *url.Error
	if ok := asURLError(err, &u); ok {
		return fmt.Errorf("not an address of a database: %w", u.Err)
	}
	return fmt.Errorf("not an address of a database; write it as postgres://user@host:5432/name")
}
