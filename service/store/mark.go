package store

import (
	"context"
	"errors"
	"fmt"

	"github.com/jackc/pgx/v5"
)

// markSchema is the mark of a demo database: a schema that holds nothing. It is made
// before anything else, so that a demo killed while it was being made is still a demo.
const markSchema = "rillmark_demo"

// Standing says what a database is to the demo.
type Standing int

// What a database can be. The zero value is invalid.
const (
	_        Standing = iota
	Empty             // nothing of anybody's is in it
	Demo              // it carries the demo mark
	Somebody          // it holds somebody's data
)

// ErrNotADemo says that a database is not the demo's to use or to drop.
var ErrNotADemo = errors.New("this database holds data and does not carry the demo mark; the demo uses an empty database or its own, nothing else")

// somebodys looks for the mark, and for anything that an extension did not bring: a
// database with nothing but a function or a schema is somebody's too.
const somebodys = `
	WITH n AS (SELECT oid, nspname FROM pg_namespace WHERE nspname !~ '^pg_' AND nspname <> 'information_schema'),
	thing AS (
		SELECT 'pg_class'::regclass AS class, c.oid FROM pg_class c JOIN n ON n.oid = c.relnamespace
		UNION ALL SELECT 'pg_proc'::regclass, p.oid FROM pg_proc p JOIN n ON n.oid = p.pronamespace
		UNION ALL SELECT 'pg_type'::regclass, t.oid FROM pg_type t JOIN n ON n.oid = t.typnamespace WHERE t.typtype IN ('d', 'e', 'r')
		UNION ALL SELECT 'pg_namespace'::regclass, n.oid FROM n WHERE n.nspname <> 'public'
		UNION ALL SELECT 'pg_largeobject'::regclass, l.oid FROM pg_largeobject_metadata l)
	SELECT exists(SELECT FROM n WHERE n.nspname = $1),
	       exists(SELECT FROM thing t WHERE NOT exists(
	           SELECT FROM pg_depend d WHERE d.classid = t.class AND d.objid = t.oid AND d.deptype = 'e'))`

// StandingOf looks at a database without changing it.
func StandingOf(ctx context.Context, address string) (Standing, error) {
	conn, err := pgx.Connect(ctx, address)
	if err != nil {
		return 0, fmt.Errorf("store: %w", mapError(err))
	}
	defer conn.Close(context.WithoutCancel(ctx))
	var marked, used bool
	err = conn.QueryRow(ctx, somebodys, markSchema).Scan(&marked, &used)
	switch {
	case err != nil:
		return 0, fmt.Errorf("store: %w", mapError(err))
	case marked:
		return Demo, nil
	case used:
		return Somebody, nil
	}
	return Empty, nil
}

// MarkDemo puts the mark on an empty database.
func MarkDemo(ctx context.Context, ownerURL string) error {
	standing, err := StandingOf(ctx, ownerURL)
	if err != nil || standing == Demo {
		return err
	}
	if standing == Somebody {
		return ErrNotADemo
	}
	return asOwner(ctx, ownerURL, "CREATE SCHEMA IF NOT EXISTS "+markSchema)
}

// SettleDemo returns when everything that was committed late is on the disk: its own commit
// waits for all that was written before it.
func SettleDemo(ctx context.Context, ownerURL string) error {
	return asOwner(ctx, ownerURL, "COMMENT ON SCHEMA "+markSchema+" IS 'filled'")
}

// ResetDemo drops all that is in a database with the mark and leaves the mark.
func ResetDemo(ctx context.Context, ownerURL string) error {
	standing, err := StandingOf(ctx, ownerURL)
	if err != nil {
		return err
	}
	if standing == Somebody {
		return ErrNotADemo
	}
	return asOwner(ctx, ownerURL, "DROP SCHEMA IF EXISTS audit CASCADE; DROP SCHEMA IF EXISTS public CASCADE; CREATE SCHEMA public; GRANT USAGE ON SCHEMA public TO PUBLIC")
}

func asOwner(ctx context.Context, address, sql string) error {
	address, err := addressAs(address, Owner)
	if err != nil {
		return err
	}
	conn, err := pgx.Connect(ctx, address)
	if err != nil {
		return fmt.Errorf("store: %w", mapError(err))
	}
	defer conn.Close(context.WithoutCancel(ctx))
	if _, err := conn.Exec(ctx, sql); err != nil {
		return fmt.Errorf("store: %w", mapError(err))
	}
	return nil
}
