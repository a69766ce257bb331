package main

import (
	"context"
	"fmt"

	"rillmark/service/store"
)

func auditVerifyCommand() command {
	return command{
		words: "audit verify", does: "recompute the chain of the audit trail",
		more: "It prints the newest event's number and hash. Keep them elsewhere and compare later: a\n" +
			"trail whose end was cut off is whole in itself. It ends with 1 when something is wrong.",
		settings: []string{"database-url", "database-password-file"},
		run:      runAuditVerify,
	}
}

func runAuditVerify(ctx context.Context, p *program, c *call) error {
	url, err := p.address("database-url", c.config.DatabaseURL, "database-password-file", c.config.DatabasePasswordFile)
	if err != nil {
		return err
	}
	db, err := store.Open(ctx, store.Config{URL: url, Role: store.App, IDs: p.ids})
	if err != nil {
		return err
	}
	defer db.Close()
	head, problems, err := db.Verify(ctx)
	if err != nil {
		return err
	}
	fmt.Fprintf(p.out, "newest event %d\nhash %s\n", head.Seq, head.Hash)
	for _, problem := range problems {
		fmt.Fprintf(p.out, "event %d: %s\n", problem.Seq, problem.Why)
	}
	if len(problems) > 0 {
		return trailBroken.At("", len(problems))
	}
	fmt.Fprintln(p.out, "whole")
	return nil
}
