package account

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/person"
	"rillmark/service/store"
)

// State is how a session stands. The zero value is Unknown and lets nobody in.
type State int

// The states of a session.
const (
	Unknown  State = iota // the cookie names no session
	Open                  // the person is logged in
	Expired               // idle too long, or at its end
	Revoked               // logged out, or ended by the person or an administrator
	Disabled              // the person is disabled
)

// Session is a login on one device.
type Session struct {
	ID        domain.SessionID `db:"id"`
	PersonID  domain.PersonID  `db:"person_id"`
	Address   string           `db:"address"`
	Agent     string           `db:"agent"`
	CreatedAt time.Time        `db:"created_at"`
	SeenAt    time.Time        `db:"seen_at"`
	IdleUntil time.Time        `db:"idle_until"`
	EndsAt    time.Time        `db:"ends_at"`
	RevokedAt *time.Time       `db:"revoked_at"`
}

// Visitor is who sent a request: the session's person even when the session has ended,
// so that a form sent too late is kept for the right one.
type Visitor struct {
	State   State
	Session Session
	Person  person.Person
	Kept    int       // forms kept for the person
	Now     time.Time // the database's
}

// Actor is the person as an actor; nobody unless the session is open.
func (v Visitor) Actor() access.Actor {
	if v.State != Open {
		return access.Actor{}
	}
	return v.Person.Actor(v.Session.ID)
}

const sessionColumns = "s.id, s.person_id, s.address, s.agent, s.created_at, s.seen_at, s.idle_until, s.ends_at, s.revoked_at"

// seenEvery is how stale a session's last sight may be: not every request is a write.
const seenEvery = time.Minute

// Visitor finds out who holds the secret of a session cookie.
func (s *Service) Visitor(ctx context.Context, secret string) (Visitor, error) {
	if secret == "" || len(secret) > 100 {
		return Visitor{}, nil
	}
	type row struct {
		Session
		Login      string     `db:"login"`
		Name       string     `db:"name"`
		Roles      []string   `db:"roles"`
		DisabledAt *time.Time `db:"disabled_at"`
		Lengths    string     `db:"lengths"`
		Version    int64      `db:"version"`
		Kept       int        `db:"kept"`
		Now        time.Time  `db:"now"`
	}
	r, err := store.Row[row](ctx, s.store, "session", "SELECT "+sessionColumns+`,
		p.login, p.name, p.roles, p.disabled_at, p.lengths, p.version,
		(SELECT count(*) FROM kept_entry k WHERE k.person_id = p.id) AS kept, clock_timestamp() AS now
		FROM session s JOIN person p ON p.id = s.person_id WHERE s.token = $1`, tokenHash(secret))
	if domain.KindOf(err) == domain.NotFound && err != nil {
		return Visitor{}, nil
	}
	if err != nil {
		return Visitor{}, domain.Wrap("session", err)
	}
	v := Visitor{Session: r.Session, Kept: r.Kept, Now: r.Now.UTC(), State: stateOf(r.Session, r.DisabledAt, r.Now),
		Person: person.Person{ID: r.PersonID, Login: r.Login, Name: r.Name, Roles: r.Roles, DisabledAt: r.DisabledAt, Lengths: person.Lengths(r.Lengths), Version: r.Version}}
	if v.State == Open && r.Now.Sub(r.SeenAt) > seenEvery {
		return v, domain.Wrap("session", s.seen(ctx, r.Session.ID))
	}
	return v, nil
}

func stateOf(s Session, disabledAt *time.Time, now time.Time) State {
	switch {
	case disabledAt != nil:
		return Disabled
	case s.RevokedAt != nil:
		return Revoked
	case !now.Before(s.IdleUntil), !now.Before(s.EndsAt):
		return Expired
	}
	return Open
}

func (s *Service) seen(ctx context.Context, id domain.SessionID) error {
	return s.store.AtDoor(ctx, func(ctx context.Context, tx pgx.Tx) error {
		_, err := tx.Exec(ctx, `UPDATE session SET seen_at = clock_timestamp(), idle_until = clock_timestamp() + $2
			WHERE id = $1 AND revoked_at IS NULL AND idle_until > clock_timestamp()`, id, IdleLimit)
		return err
	})
}

// Logout ends the actor's own session.
func (s *Service) Logout(ctx context.Context, a access.Actor) error {
	if !a.Session.Valid() {
		return nil
	}
	s.note(ctx, "logout", a.Person, "", "")
	return domain.Wrap("logout", s.revoke(ctx, "s.id = $1", a.Session))
}

// Sessions lists a person's open sessions, newest first: one's own, or anyone's for an
// administrator.
func (s *Service) Sessions(ctx context.Context, a access.Actor, of domain.PersonID) ([]Session, error) {
	if err := own(a, of); err != nil {
		return nil, err
	}
	list, err := store.Rows[Session](ctx, s.store, "SELECT "+sessionColumns+` FROM session s
		WHERE s.person_id = $1 AND s.revoked_at IS NULL AND s.idle_until > clock_timestamp() AND s.ends_at > clock_timestamp()
		ORDER BY s.created_at DESC LIMIT 100`, of)
	return list, domain.Wrap("sessions", err)
}

// Revoke ends one session of a person, or all of them but the actor's own when no
// session is named.
func (s *Service) Revoke(ctx context.Context, a access.Actor, of domain.PersonID, session domain.SessionID) error {
	if err := own(a, of); err != nil {
		return err
	}
	s.note(ctx, "session.revoked", of, "", "by "+a.Name())
	if session.Valid() {
		return domain.Wrap("revoke", s.revoke(ctx, "s.person_id = $1 AND s.id = $2", of, session))
	}
	return domain.Wrap("revoke", s.revoke(ctx, "s.person_id = $1 AND s.id <> $2", of, a.Session))
}

func (s *Service) revoke(ctx context.Context, which string, args ...any) error {
	return s.store.AtDoor(ctx, func(ctx context.Context, tx pgx.Tx) error {
		_, err := tx.Exec(ctx, "UPDATE session s SET revoked_at = clock_timestamp() WHERE s.revoked_at IS NULL AND "+which, args...)
		return err
	})
}

// own allows what is one's own, and everything to those who manage people.
func own(a access.Actor, of domain.PersonID) error {
	if a.Person.Valid() && a.Person == of {
		return nil
	}
	return access.May(a, access.ManagePeople)
}
