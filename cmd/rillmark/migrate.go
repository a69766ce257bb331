package main

import (
	"context"
	"flag"
	"fmt"

	"rillmark/service/store"
)

var migrateSettings = []string{"owner-database-url", "owner-password-file"}

func migrateUpCommand() command {
	return command{
		words: "migrate up", does: "bring the database's tables up to date", settings: migrateSettings,
		more: "It acts as the database's owner. A migration that was killed is told and mended.",
		run: func(ctx context.Context, p *program, c *call) error {
			return p.migrateUp(ctx, c.config)
		},
	}
}

func migrateDownCommand() command {
	return command{
		words: "migrate down", does: "take migrations back, with the data in their tables", settings: migrateSettings,
		own: func(f *flag.FlagSet) {
			f.Int("steps", 1, "how many migrations to take back")
			f.Bool("lose-data", false, "needed: the data in their tables are lost")
		},
		run: runMigrateDown,
	}
}

func migrateVersionCommand() command {
	return command{
		words: "migrate version", does: "print the database's migration and the program's newest", settings: migrateSettings,
		run: runMigrateVersion,
	}
}

func (p *program) ownerAddress(c Config) (string, error) {
	return p.address("owner-database-url", c.OwnerURL, "owner-password-file", c.OwnerPasswordFile)
}

func (p *program) migrateUp(ctx context.Context, c Config) error {
	url, err := p.ownerAddress(c)
	if err != nil {
		return err
	}
	done, err := store.MigrateUp(ctx, url)
	if err != nil {
		return err
	}
	p.sayMended(done)
	if done.From == done.To {
		fmt.Fprintf(p.out, "The database is at migration %d, the newest.\n", done.To)
		return nil
	}
	fmt.Fprintf(p.out, "The database went from migration %d to %d.\n", done.From, done.To)
	return nil
}

func runMigrateDown(ctx context.Context, p *program, c *call) error {
	if !c.yes("lose-data") {
		return usage(lossNotAccepted.At(""))
	}
	steps := c.number("steps")
	if steps < 1 {
		return usage(settingMalformed.At("", "--steps", fmt.Sprint(steps), "1 or more"))
	}
	url, err := p.ownerAddress(c.config)
	if err != nil {
		return err
	}
	done, err := store.MigrateDown(ctx, url, steps)
	if err != nil {
		return err
	}
	p.sayMended(done)
	fmt.Fprintf(p.out, "The database went from migration %d back to %d.\n", done.From, done.To)
	return nil
}

func (p *program) sayMended(done store.Migrated) {
	if done.Mended > 0 {
		fmt.Fprintf(p.out, "Migration %d had been left half done; that is mended.\n", done.Mended)
	}
}

func runMigrateVersion(ctx context.Context, p *program, c *call) error {
	url, err := p.ownerAddress(c.config)
	if err != nil {
		return err
	}
	at, half, latest, err := store.MigrationVersion(ctx, url)
	if err != nil {
		return err
	}
	note := ""
	if half {
		note = " (half done; “rillmark migrate up” mends it)"
	}
	fmt.Fprintf(p.out, "database %d%s\nprogram %d\n", at, note, latest)
	return nil
}
