package main

import (
	"context"
	"flag"
	"fmt"
	"strings"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/service/account"
	"rillmark/service/store"
)

func personAddCommand() command {
	return command{
		words: "person add", does: "add a person, such as the first administrator",
		more:     "The audit trail names the command line as the one who did it.",
		settings: []string{"database-url", "database-password-file"},
		own: func(f *flag.FlagSet) {
			f.String("login", "", "name to log in with: lower-case letters, digits, . _ -")
			f.String("name", "", "the person's name")
			f.String("role", "", "one or more, with commas between: "+roleNames())
			f.String("password-file", "", "file that holds the first password; - reads it from the standard input")
		},
		run: runPersonAdd,
	}
}

func roleNames() string {
	names := make([]string, len(access.Roles))
	for i, r := range access.Roles {
		names[i] = string(r)
	}
	return strings.Join(names, ", ")
}

func runPersonAdd(ctx context.Context, p *program, c *call) error {
	for _, needed := range []string{"login", "name", "role", "password-file"} {
		if c.text(needed) == "" {
			return usage(operandMissing.At("", "person add", "--"+needed))
		}
	}
	password, err := p.readSecret("password-file", c.text("password-file"))
	if err != nil {
		return err
	}
	url, err := p.address("database-url", c.config.DatabaseURL, "database-password-file", c.config.DatabasePasswordFile)
	if err != nil {
		return err
	}
	db, err := store.Open(ctx, store.Config{URL: url, Role: store.App, IDs: p.ids})
	if err != nil {
		return err
	}
	defer db.Close()
	add := account.AddPerson{
		Operation: domain.NewID[domain.OperationKind](p.ids), ID: domain.NewID[domain.PersonKind](p.ids),
		Login: c.text("login"), Name: c.text("name"), Roles: splitList(c.text("role")), Password: password,
	}
	service := account.New(account.Config{Store: db, IDs: p.ids, Random: p.random})
	written, err := service.AddPerson(ctx, access.System("command-line"), add)
	if err != nil {
		return err
	}
	fmt.Fprintf(p.out, "%s can log in (person %s).\n", add.Login, written.ID)
	return nil
}
