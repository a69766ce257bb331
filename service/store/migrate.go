package store

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"strconv"
	"strings"
	"time"

	"github.com/golang-migrate/migrate/v4"
	"github.com/golang-migrate/migrate/v4/database"
	_ "github.com/golang-migrate/migrate/v4/database/pgx/v5" // registers the address scheme pgx5
	"github.com/golang-migrate/migrate/v4/source"
	"github.com/golang-migrate/migrate/v4/source/iofs"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"rillmark/migrations"
)

// migrateLockTimeout is how long an instance waits for another one that migrates.
const migrateLockTimeout = 5 * time.Minute

// Migrated says what a run of the migrator found and did.
type Migrated struct {
	From, To int
	Mended   int // the number of a migration that had been killed or had failed, 0 if none
}

// ErrDraft says that the database was made by an earlier draft of a migration.
var ErrDraft = errors.New("the database was made by an earlier draft of this program's migrations; a demo is made anew with --reset, anything else needs its data moved by hand")

// ErrNewer says that the database is ahead of this program.
var ErrNewer = errors.New("the database was made by a newer version of this program; start that version, or restore a backup from before the upgrade")

// MigrateUp brings the database to the newest migration, acting as the owner. Instances
// that start together wait for each other. A migration that was killed or failed is told
// by our own record, which each one completes as its last statement, and is mended.
func MigrateUp(ctx context.Context, ownerURL string) (Migrated, error) {
	return migrateUp(ctx, ownerURL, migrations.Files)
}

func migrateUp(ctx context.Context, ownerURL string, files fs.FS) (Migrated, error) {
	var done Migrated
	err := withMigrator(ctx, ownerURL, files, func(m *migrate.Migrate, conn *pgx.Conn) error {
		var err error
		if done.Mended, err = mend(ctx, m, conn); err != nil {
			return err
		}
		if done.From, err = version(m); err != nil {
			return err
		}
		if err := checkDrafts(ctx, conn, files); err != nil {
			return err
		}
		if done.From > newest(files) {
			return ErrNewer
		}
		if err := m.Up(); err != nil && !errors.Is(err, migrate.ErrNoChange) {
			at, _, _ := markOf(ctx, conn)
			return fmt.Errorf("migration %d: %w", at, short(err))
		}
		if done.To, err = version(m); err != nil {
			return err
		}
		return recordHashes(ctx, conn, files)
	})
	return done, err
}

// MigrateDown takes steps migrations back; data in their tables is lost.
func MigrateDown(ctx context.Context, ownerURL string, steps int) (Migrated, error) {
	var done Migrated
	err := withMigrator(ctx, ownerURL, migrations.Files, func(m *migrate.Migrate, conn *pgx.Conn) error {
		var err error
		if done.Mended, err = mend(ctx, m, conn); err != nil {
			return err
		}
		if done.From, err = version(m); err != nil {
			return err
		}
		if steps > done.From {
			return fmt.Errorf("only %d migrations are there to take back", done.From)
		}
		if err := m.Steps(-steps); err != nil {
			return short(err)
		}
		done.To, err = version(m)
		return err
	})
	return done, err
}

// MigrationVersion returns the database's migration, whether it is half done, and the
// newest one that this program has.
func MigrationVersion(ctx context.Context, ownerURL string) (at int, dirty bool, latest int, err error) {
	err = withMigrator(ctx, ownerURL, migrations.Files, func(_ *migrate.Migrate, conn *pgx.Conn) error {
		v, d, err := markOf(ctx, conn)
		at, dirty = max(v, 0), d
		return err
	})
	return at, dirty, newest(migrations.Files), err
}

// withMigrator holds a lock of ours while the migrator works: its own does not cover the
// check for a half-done migration before and the record of hashes after.
func withMigrator(ctx context.Context, ownerURL string, files fs.FS, do func(*migrate.Migrate, *pgx.Conn) error) (err error) {
	defer func() {
		if err != nil {
			err = fmt.Errorf("store: migrate: %w", mapError(err))
		}
	}()
	asOwner, err := addressAs(ownerURL, Owner)
	if err != nil {
		return err
	}
	conn, err := pgx.Connect(ctx, asOwner)
	if err != nil {
		return err
	}
	defer conn.Close(context.WithoutCancel(ctx))
	lockCtx, cancel := context.WithTimeout(ctx, migrateLockTimeout)
	defer cancel()
	if _, err := conn.Exec(lockCtx, "SELECT pg_advisory_lock($1)", initLock); err != nil {
		return fmt.Errorf("another instance has been migrating for %v: %w", migrateLockTimeout, err)
	}
	read, err := iofs.New(files, ".")
	if err != nil {
		return err
	}
	m, err := migrate.NewWithSourceInstance("iofs", read, strings.Replace(asOwner, "postgres://", "pgx5://", 1))
	if err != nil {
		return err
	}
	defer func() {
		fromSource, fromDatabase := m.Close()
		err = errors.Join(err, fromSource, fromDatabase)
	}()
	return do(m, conn)
}

// short takes the text of the whole file out of a migration's error.
func short(err error) error {
	var failed database.Error
	if !errors.As(err, &failed) {
		return err
	}
	var pg *pgconn.PgError
	switch {
	case failed.OrigErr == nil:
		return err
	case !errors.As(failed.OrigErr, &pg):
		return failed.OrigErr
	case pg.Position == 0: // the server did not say where, and the migrator's guess is line 1
		return pg
	}
	return fmt.Errorf("line %d: %w", failed.Line, pg)
}

// addressAs is the address with the owner's role and without the time-outs of ordinary
// work, which a long migration would break. Our lock is waited for by a connection that
// sits idle, so nothing here may time it out.
func addressAs(address string, role Role) (string, error) {
	u, err := url.Parse(address)
	if err != nil || (u.Scheme != "postgres" && u.Scheme != "postgresql") {
		return "", withoutAddress(err)
	}
	u.Scheme = "postgres"
	q := u.Query()
	for name, value := range map[string]string{"role": string(role), "timezone": "UTC", "application_name": "rillmark",
		"lock_timeout": "0", "statement_timeout": "0", "idle_in_transaction_session_timeout": "0"} {
		q.Set(name, value)
	}
	u.RawQuery = q.Encode()
	return u.String(), nil
}

func version(m *migrate.Migrate) (int, error) {
	v, dirty, err := m.Version()
	switch {
	case errors.Is(err, migrate.ErrNilVersion):
		return 0, nil
	case err != nil:
		return 0, err
	case dirty:
		return 0, fmt.Errorf("migration %d is half done", v)
	}
	return int(v), nil
}

// markOf reads the migrator's own mark: -1 when no migration is done. The migrator hides
// the dirt of a killed step down from the first migration, which leaves -1 and dirty.
func markOf(ctx context.Context, conn *pgx.Conn) (version int, dirty bool, err error) {
	err = conn.QueryRow(ctx, "SELECT version, dirty FROM schema_migrations").Scan(&version, &dirty)
	if errors.Is(err, pgx.ErrNoRows) {
		return -1, false, nil
	}
	return version, dirty, err
}

// mend looks whether a migration was left half done, asks our own record whether it had
// in truth finished, and sets the migrator's mark accordingly. Files are one transaction
// each, so a migration is done or not there at all. It returns the migration's number.
func mend(ctx context.Context, m *migrate.Migrate, conn *pgx.Conn) (int, error) {
	v, dirty, err := markOf(ctx, conn)
	if err != nil || !dirty {
		return 0, err
	}
	finished, err := recorded(ctx, conn)
	if err != nil {
		return 0, err
	}
	// A killed step down leaves the mark on the version below it. Either way the truth is
	// the highest number in our record.
	last := -1
	if len(finished) > 0 {
		last = finished[len(finished)-1]
	}
	return max(v, last, 1), m.Force(last)
}

func recorded(ctx context.Context, conn *pgx.Conn) ([]int, error) {
	var there bool
	if err := conn.QueryRow(ctx, "SELECT to_regclass('public.migration') IS NOT NULL").Scan(&there); err != nil || !there {
		return nil, err
	}
	rows, _ := conn.Query(ctx, "SELECT number FROM migration ORDER BY number")
	return pgx.CollectRows(rows, pgx.RowTo[int])
}

// checkDrafts compares the hash of each file with the one recorded when it ran.
func checkDrafts(ctx context.Context, conn *pgx.Conn, files fs.FS) error {
	finished, err := recorded(ctx, conn)
	if err != nil || len(finished) == 0 {
		return err
	}
	hashes, err := fileHashes(files)
	if err != nil {
		return err
	}
	rows, _ := conn.Query(ctx, "SELECT number, file FROM migration WHERE file IS NOT NULL ORDER BY number")
	var number int
	var hash []byte
	_, err = pgx.ForEachRow(rows, []any{&number, &hash}, func() error {
		if want, known := hashes[number]; known && string(want[:]) != string(hash) {
			return fmt.Errorf("migration %d: %w", number, ErrDraft)
		}
		return nil
	})
	return err
}

func recordHashes(ctx context.Context, conn *pgx.Conn, files fs.FS) error {
	hashes, err := fileHashes(files)
	if err != nil {
		return err
	}
	for number, hash := range hashes {
		if _, err := conn.Exec(ctx, "UPDATE migration SET file = $2 WHERE number = $1 AND file IS NULL", number, hash[:]); err != nil {
			return err
		}
	}
	return nil
}

// fileHashes are the SHA-256 of the up files by number.
func fileHashes(files fs.FS) (map[int][sha256.Size]byte, error) {
	names, err := fs.Glob(files, "*.up.sql")
	if err != nil {
		return nil, err
	}
	hashes := map[int][sha256.Size]byte{}
	for _, name := range names {
		parsed, err := source.DefaultParse(name)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		text, err := fs.ReadFile(files, name)
		if err != nil {
			return nil, err
		}
		hashes[int(parsed.Version)] = sha256.Sum256(text)
	}
	return hashes, nil
}

func newest(files fs.FS) int {
	names, _ := fs.Glob(files, "*.up.sql")
	last := 0
	for _, name := range names {
		n, _ := strconv.Atoi(name[:4])
		last = max(last, n)
	}
	return last
}
