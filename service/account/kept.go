package account

import (
	"context"
	"fmt"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/jackc/pgx/v5"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/service/store"
)

// Kept is a form that was sent on an ended session: where to, and its fields as they came.
type Kept struct {
	ID   domain.EntryID `db:"id"`
	Path string         `db:"path"`
	Form string         `db:"form"` // URL-encoded
	At   time.Time      `db:"at"`
}

// EntryLimit is the largest form in bytes that is kept; keptMost is how many a person may
// have, beyond which the oldest goes.
const (
	EntryLimit = 256 << 10
	pathLimit  = 2000 // characters of the path that it was sent to
	keptMost   = 50
)

// Keep keeps a form for the person whose session has ended. The form must not hold a
// password; the caller sees to it.
func (s *Service) Keep(ctx context.Context, v Visitor, path, form string) (domain.EntryID, error) {
	if len(form) > EntryLimit {
		return domain.EntryID{}, domain.Refuse(domain.TooLarge, EntryTooLarge.At("", EntryLimit>>10))
	}
	if n := utf8.RuneCountInString(path); n > pathLimit {
		return domain.EntryID{}, domain.Refuse(domain.TooLarge, domain.TooLong.At("path", pathLimit, n))
	}
	// It is offered again as a form to that path, so "//host" would send it to another program.
	if !strings.HasPrefix(path, "/") || strings.HasPrefix(path, "//") || strings.HasPrefix(path, `/\`) {
		return domain.EntryID{}, fmt.Errorf("account: keep: %q is no path of this program", path)
	}
	if !v.Person.ID.Valid() {
		return domain.EntryID{}, domain.Refuse(domain.Unauthenticated, domain.NotLoggedIn.At(""))
	}
	id := domain.NewID[domain.EntryKind](s.ids)
	err := s.store.AtDoor(ctx, func(ctx context.Context, tx pgx.Tx) error {
		_, err := tx.Exec(ctx, "INSERT INTO kept_entry (id, person_id, path, form, at) VALUES ($1, $2, $3, $4, clock_timestamp())",
			id, v.Person.ID, path, form)
		if err != nil {
			return err
		}
		_, err = tx.Exec(ctx, `DELETE FROM kept_entry WHERE person_id = $1 AND id NOT IN
			(SELECT id FROM kept_entry WHERE person_id = $1 ORDER BY at DESC, id DESC LIMIT $2)`, v.Person.ID, keptMost)
		return err
	})
	return id, domain.Wrap("keep", err)
}

// KeptFor lists what is kept for the actor, newest first.
func (s *Service) KeptFor(ctx context.Context, a access.Actor) ([]Kept, error) {
	list, err := store.Rows[Kept](ctx, s.store, "SELECT id, path, form, at FROM kept_entry WHERE person_id = $1 ORDER BY at DESC, id DESC", a.Person)
	return list, domain.Wrap("kept", err)
}

// Drop throws a kept form away: it was sent, or the person does not want it.
func (s *Service) Drop(ctx context.Context, a access.Actor, id domain.EntryID) error {
	return domain.Wrap("drop", s.store.AtDoor(ctx, func(ctx context.Context, tx pgx.Tx) error {
		_, err := tx.Exec(ctx, "DELETE FROM kept_entry WHERE id = $1 AND person_id = $2", id, a.Person)
		return err
	}))
}
