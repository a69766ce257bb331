package main

import (
	"context"
	"fmt"

	"rillmark/service/store"
)

func databaseInitCommand() command {
	return command{
		words: "database init", does: "make the roles and the database, or complete them",
		more: "--admin-database-url logs in somebody who may make roles and databases, to any database of\n" +
			"the server. The new database has the name that --database-url ends with. Each role gets the\n" +
			"password in its file; a role without a file keeps the one it has. It can be run again.",
		settings: []string{"admin-database-url", "admin-password-file", "database-url", "database-password-file",
			"owner-password-file", "portal-password-file", "read-password-file"},
		run: runDatabaseInit,
	}
}

func runDatabaseInit(ctx context.Context, p *program, c *call) error {
	admin, err := p.address("admin-database-url", c.config.AdminURL, "admin-password-file", c.config.AdminPasswordFile)
	if err != nil {
		return err
	}
	url, err := p.address("database-url", c.config.DatabaseURL, "database-password-file", "")
	if err != nil {
		return err
	}
	passwords, err := p.rolePasswords(c.config)
	if err != nil {
		return err
	}
	name := databaseName(url)
	if err := store.Init(ctx, admin, name, passwords); err != nil {
		return err
	}
	fmt.Fprintf(p.out, "The roles and the database %s are there. Next: rillmark migrate up\n", name)
	return nil
}

func (p *program) rolePasswords(c Config) (store.Passwords, error) {
	passwords := store.Passwords{}
	for _, r := range []struct {
		role          store.Role
		setting, file string
	}{
		{store.App, "database-password-file", c.DatabasePasswordFile},
		{store.Owner, "owner-password-file", c.OwnerPasswordFile},
		{store.Portal, "portal-password-file", c.PortalPasswordFile},
		{store.Reader, "read-password-file", c.ReaderPasswordFile},
	} {
		if r.file == "" {
			continue
		}
		secret, err := p.readSecret(r.setting, r.file)
		if err != nil {
			return nil, err
		}
		passwords[r.role] = secret
	}
	return passwords, nil
}
