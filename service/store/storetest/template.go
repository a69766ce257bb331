package storetest

import (
	"context"
	"crypto/sha256"
	"fmt"
	"io/fs"

	"github.com/jackc/pgx/v5"

	"rillmark/migrations"
	"rillmark/service/store"
)

// templateLock is the advisory lock under which the template is made: on a server that
// several packages use, one makes it and the others wait.
const templateLock = 7230190

// prepare makes roles and template. The template's name tells the migrations apart, and
// it takes that name only when it is whole.
func (c *Cluster) prepare(ctx context.Context) error {
	hash, err := hashOfMigrations()
	if err != nil {
		return err
	}
	c.template = "rillmark_template_" + hash
	conn, err := pgx.Connect(ctx, c.admin)
	if err != nil {
		return err
	}
	defer conn.Close(context.WithoutCancel(ctx))
	if _, err := conn.Exec(ctx, "SELECT pg_advisory_lock($1)", templateLock); err != nil {
		return err
	}
	var whole bool
	err = conn.QueryRow(ctx, "SELECT exists(SELECT FROM pg_database WHERE datname = $1)", c.template).Scan(&whole)
	if err != nil || whole {
		return err
	}
	return c.makeTemplate(ctx, c.template+"_making")
}

func (c *Cluster) makeTemplate(ctx context.Context, making string) error {
	if err := c.drop(ctx, making); err != nil { // a killed run's
		return err
	}
	if err := store.Init(ctx, c.admin, making, nil); err != nil {
		return err
	}
	if _, err := store.MigrateUp(ctx, c.address(making)); err != nil {
		return err
	}
	return c.run(ctx, fmt.Sprintf("ALTER DATABASE %s RENAME TO %s",
		pgx.Identifier{making}.Sanitize(), pgx.Identifier{c.template}.Sanitize()))
}

func hashOfMigrations() (string, error) {
	names, err := fs.Glob(migrations.Files, "*.sql")
	if err != nil {
		return "", err
	}
	h := sha256.New()
	for _, name := range names {
		text, err := fs.ReadFile(migrations.Files, name)
		if err != nil {
			return "", err
		}
		fmt.Fprintf(h, "%s %d\n", name, len(text))
		h.Write(text)
	}
	return fmt.Sprintf("%x", h.Sum(nil)[:6]), nil
}
