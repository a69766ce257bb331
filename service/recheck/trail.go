package recheck

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/google/uuid"

	"rillmark/service/store"
)

// trail recomputes the chain, and looks that no certificate it tells of is gone.
func (c *check) trail(ctx context.Context) error {
	head, problems, err := c.Store.Verify(ctx)
	if err != nil {
		return err
	}
	c.sum.Head = head
	for _, p := range problems {
		c.found(TrailBroken.At("audit trail", fmt.Sprint(p.Seq), p.Why))
	}
	gone, err := store.Scalars[uuid.UUID](ctx, c.Store, `SELECT DISTINCT s.id FROM audit.subject s
		WHERE s.kind = 'certificate' AND NOT EXISTS (SELECT FROM certificate c WHERE c.id = s.id) LIMIT 100`)
	for _, id := range gone {
		c.found(CertificateGone.At("certificate " + id.String()))
	}
	return err
}

// told are the tables whose rows are written once, by one event that names them; the
// column with the time of that write; and what the row's id is called.
var told = []struct{ table, at string }{
	{"survey_value", "received_at"}, {"mounting", "received_at"}, {"setup_check", "received_at"}, {"zero_check", "received_at"},
	{"run_plan", "received_at"}, {"run", "received_at"}, {"reading", "received_at"}, {"set_aside", "received_at"},
	{"control_note", "received_at"}, {"adjustment", "received_at"}, {"task_note", "received_at"},
	{"evaluation", "at"}, {"preparation", "at"},
}

// dated are the tables of what is stated, with the time that the document shows. The invented
// company's are dated by its story.
var dated = []struct{ table, at string }{{"approval", "at"}, {"certificate", "issued_at"}}

// received looks that the trail tells of every row, at the time at which the row says that
// it was received. Each operation's own time is the database's.
func (c *check) received(ctx context.Context) error {
	for _, t := range told {
		// Names from the list above alone; the event's text is looked into by position, for a
		// forged one need not be JSON.
		query := strings.NewReplacer("{table}", t.table, "{at}", t.at).Replace(`
			SELECT r.id, EXISTS (
				SELECT FROM audit.subject s JOIN audit.event e ON e.seq = s.seq
				JOIN operation o ON o.id::text = substring(e.payload FROM '"operation":"([0-9a-f-]{36})"')
				WHERE s.kind = '{table}' AND s.id = r.id AND o.at = r.{at}) AS told
			FROM {table} r WHERE r.id > $1 ORDER BY r.id LIMIT $2`)
		if err := c.toldRows(ctx, t.table, query); err != nil {
			return err
		}
	}
	return c.stated(ctx)
}

// stated looks that approvals and certificates are dated by the hour at which they were
// written: a document is rendered with its time just before.
func (c *check) stated(ctx context.Context) error {
	demo, err := store.Scalars[bool](ctx, c.Store, "SELECT to_regnamespace('rillmark_demo') IS NOT NULL")
	if err != nil || demo[0] {
		return err
	}
	for _, t := range dated {
		query := strings.NewReplacer("{table}", t.table, "{at}", t.at).Replace(`
			SELECT r.id, EXISTS (
				SELECT FROM audit.subject s JOIN audit.event e ON e.seq = s.seq
				JOIN operation o ON o.id::text = substring(e.payload FROM '"operation":"([0-9a-f-]{36})"')
				WHERE s.kind = '{table}' AND s.id = r.id AND r.{at} BETWEEN o.at - interval '5 minutes' AND o.at + interval '5 minutes') AS told
			FROM {table} r WHERE r.id > $1 ORDER BY r.id LIMIT $2`)
		if err := c.toldRows(ctx, t.table, query); err != nil {
			return err
		}
	}
	return nil
}

func (c *check) toldRows(ctx context.Context, table, query string) error {
	type row struct {
		ID   uuid.UUID `db:"id"`
		Told bool      `db:"told"`
	}
	for after := uuid.Nil; ; {
		rows, err := store.Rows[row](ctx, c.Store, query, after, page)
		if err != nil {
			return err
		}
		for _, r := range rows {
			if !r.Told {
				c.found(RowUntold.At(table + " " + r.ID.String()))
			}
		}
		c.sum.Rows += len(rows)
		if len(rows) < page {
			return nil
		}
		after = slices.Clip(rows)[len(rows)-1].ID
		c.progress("rows", c.sum.Rows)
	}
}
