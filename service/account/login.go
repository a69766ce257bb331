package account

import (
	"context"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/person"
	"rillmark/service/store"
)

// Attempt is someone at the door.
type Attempt struct {
	Login    string
	Password string
	Address  string // where the request came from
	Agent    string // what the browser calls itself
	Device   string // the secret of a known browser, empty if none
}

// Entrance is what a successful login gives: two secrets for cookies.
type Entrance struct {
	Session string
	Device  string
	Ends    time.Time
	Actor   access.Actor
}

type credentialRow struct {
	person.Person
	Password string `db:"password"`
}

const personColumns = "p.id, p.login, p.name, p.roles, p.disabled_at, p.lengths, p.version, p.created_at, p.changed_at"

// Login lets a person in. What is wrong is not told beyond "login or password": neither
// whether there is such a person, nor, by the time it takes, how far it came.
func (s *Service) Login(ctx context.Context, a Attempt) (Entrance, error) {
	login := strings.ToLower(domain.Line(a.Login))
	if r := []rune(login); len(r) > 64 {
		login = string(r[:64])
	}
	known, err := s.knownDevice(ctx, login, a.Device)
	if err != nil {
		return Entrance{}, domain.Wrap("login", err)
	}
	if err := s.try(ctx, login, a.Address, known); err != nil {
		if domain.KindOf(err) == domain.Throttled {
			s.note(ctx, "login.throttled", domain.PersonID{}, a.Address, "")
		}
		return Entrance{}, domain.Wrap("login", err)
	}
	who, err := s.check(ctx, login, a)
	if err != nil {
		return Entrance{}, domain.Wrap("login", err)
	}
	in, err := s.enter(ctx, who, login, a, known)
	if err != nil {
		return Entrance{}, domain.Wrap("login", err)
	}
	s.note(ctx, "login.ok", who.ID, a.Address, "")
	return in, nil
}

// check compares the password and says who it is.
func (s *Service) check(ctx context.Context, login string, a Attempt) (person.Person, error) {
	row, err := store.Row[credentialRow](ctx, s.store, "person", "SELECT "+personColumns+`, c.password
		FROM person p JOIN credential c ON c.person_id = p.id WHERE p.login = $1`, login)
	if err != nil && domain.KindOf(err) != domain.NotFound {
		return person.Person{}, err
	}
	password := a.Password
	if len(password) > 4*person.PasswordLimit { // never a right one, and not worth hashing whole
		password = ""
	}
	same, err := s.hasher.match(ctx, password, row.Password)
	switch {
	case err != nil:
		return person.Person{}, err
	case !same:
		s.note(ctx, "login.failed", row.ID, a.Address, "")
		return person.Person{}, domain.Refuse(domain.Unauthenticated, LoginWrong.At("login"))
	case row.DisabledAt != nil:
		s.note(ctx, "login.disabled", row.ID, a.Address, "")
		return person.Person{}, domain.Refuse(domain.Unauthenticated, PersonDisabled.At("login"))
	}
	return row.Person, nil
}

// enter makes the session and, for a new browser, the mark by which it is known again.
func (s *Service) enter(ctx context.Context, who person.Person, login string, a Attempt, known []byte) (Entrance, error) {
	secret, hash, err := s.newToken()
	if err != nil {
		return Entrance{}, err
	}
	in := Entrance{Session: secret, Device: a.Device}
	id := domain.NewID[domain.SessionKind](s.ids)
	return in, s.store.AtDoor(ctx, func(ctx context.Context, tx pgx.Tx) error {
		err := tx.QueryRow(ctx, `
			INSERT INTO session (id, token, person_id, address, agent, created_at, seen_at, idle_until, ends_at)
			SELECT $1, $2, $3, $4, $5, t.now, t.now, t.now + $6, t.now + $7 FROM (SELECT clock_timestamp() AS now) AS t
			RETURNING ends_at`, id, hash, who.ID, a.Address, cut(a.Agent, 300), IdleLimit, SessionLimit).Scan(&in.Ends)
		if err != nil {
			return err
		}
		in.Actor = who.Actor(id)
		if err := forgive(ctx, tx, login, a.Address, known); err != nil || known != nil {
			return err
		}
		device, deviceHash, err := s.newToken()
		if err != nil {
			return err
		}
		in.Device = device
		if _, err = tx.Exec(ctx, "INSERT INTO login_device (token, person_id, created_at) VALUES ($1, $2, clock_timestamp())", deviceHash, who.ID); err != nil {
			return err
		}
		// The oldest give way: a browser that forgets its secret each day adds one a day.
		_, err = tx.Exec(ctx, `DELETE FROM login_device WHERE token IN
			(SELECT token FROM login_device WHERE person_id = $1 ORDER BY created_at DESC OFFSET $2)`, who.ID, devicesMost)
		return err
	})
}

// devicesMost is how many known browsers of a person are kept.
const devicesMost = 50

// knownDevice returns the hash of the browser's secret if that person logged in there before.
func (s *Service) knownDevice(ctx context.Context, login, secret string) ([]byte, error) {
	if secret == "" {
		return nil, nil
	}
	hash := tokenHash(secret)
	found, err := store.Scalars[bool](ctx, s.store, `SELECT true FROM login_device d JOIN person p ON p.id = d.person_id
		WHERE d.token = $1 AND p.login = $2`, hash, login)
	if err != nil || len(found) == 0 {
		return nil, err
	}
	return hash, nil
}

// note writes to the security log. The door does not stay shut because the log does.
func (s *Service) note(ctx context.Context, event string, who domain.PersonID, address, detail string) {
	_ = s.store.LogSecurity(context.WithoutCancel(ctx), store.SecurityEvent{Event: event, Person: who, Address: address, Detail: detail})
}

func cut(text string, most int) string {
	text = strings.ToValidUTF8(strings.Map(func(r rune) rune {
		if r < ' ' {
			return -1
		}
		return r
	}, text), "")
	if r := []rune(text); len(r) > most {
		return string(r[:most])
	}
	return text
}
