package account

import (
	"context"
	"slices"
	"time"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/person"
	"rillmark/service/store"
)

// AddPerson is the command to add a person. The password never reaches the trail, nor
// the hash by which a repeated command is known.
type AddPerson struct {
	Operation domain.OperationID `json:"operation" form:"operation"`
	ID        domain.PersonID    `json:"id" form:"id"`
	Login     string             `json:"login" form:"login"`
	Name      string             `json:"name" form:"name"`
	Roles     []string           `json:"roles" form:"roles"`
	Password  string             `json:"-" form:"password"`
}

// ChangePerson is the command to change a person's login, name, roles, or standing.
type ChangePerson struct {
	Operation domain.OperationID `json:"operation" form:"operation"`
	ID        domain.PersonID    `json:"id" form:"id"`
	Version   int64              `json:"version" form:"version"`
	Login     string             `json:"login" form:"login"`
	Name      string             `json:"name" form:"name"`
	Roles     []string           `json:"roles" form:"roles"`
	Disabled  bool               `json:"disabled" form:"disabled"`
}

// SetPassword is the command to set a password: one's own with the present one, anyone's
// by an administrator.
type SetPassword struct {
	Operation domain.OperationID `json:"operation" form:"operation"`
	ID        domain.PersonID    `json:"id" form:"id"`
	Present   string             `json:"-" form:"present"`
	Password  string             `json:"-" form:"password"`
}

// Written is the outcome of a command on a person.
type Written struct {
	ID      string `json:"id"`
	Version int64  `json:"version,string"`
}

// Person returns one person.
func (s *Service) Person(ctx context.Context, a access.Actor, id domain.PersonID) (person.Person, error) {
	if a.Person != id {
		if err := access.May(a, access.SeePeople); err != nil {
			return person.Person{}, err
		}
	}
	p, err := find(ctx, s.store, id, "")
	return p, domain.Wrap("person", err)
}

// People lists everyone by name.
func (s *Service) People(ctx context.Context, a access.Actor) ([]person.Person, error) {
	if err := access.May(a, access.SeePeople); err != nil {
		return nil, err
	}
	list, err := store.Rows[person.Person](ctx, s.store, "SELECT "+personColumns+" FROM person p ORDER BY lower(p.name), p.id LIMIT 1000")
	return list, domain.Wrap("people", err)
}

func find(ctx context.Context, q store.Querier, id domain.PersonID, lock string) (person.Person, error) {
	return store.Row[person.Person](ctx, q, "person", "SELECT "+personColumns+" FROM person p WHERE p.id = $1"+lock, id)
}

// AddPerson adds a person with a first password.
func (s *Service) AddPerson(ctx context.Context, a access.Actor, c AddPerson) (Written, error) {
	if err := access.May(a, access.ManagePeople); err != nil {
		return Written{}, err
	}
	p := person.Person{ID: c.ID, Login: c.Login, Name: c.Name, Roles: c.Roles, Version: 1}.Tidy()
	hash, err := s.newPassword(ctx, p, c.Password)
	if err != nil {
		return Written{}, domain.Wrap("person.add", err)
	}
	command := store.Command{Actor: a, Action: "person.add", Operation: c.Operation, Request: c}
	return store.Write(ctx, s.store, command, func(ctx context.Context, tx *store.Tx) (Written, error) {
		p.CreatedAt, p.ChangedAt = tx.Now, tx.Now
		if err := tx.Run(ctx, `INSERT INTO person (id, login, name, roles, lengths, version, created_at, changed_at)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $7)`, p.ID, p.Login, p.Name, p.Roles, p.Lengths, p.Version, tx.Now); err != nil {
			return Written{}, err
		}
		if err := tx.Run(ctx, "INSERT INTO credential (person_id, password, changed_at) VALUES ($1, $2, $3)", p.ID, hash, tx.Now); err != nil {
			return Written{}, err
		}
		tx.Changed(audit.Person, p.ID, p.Version, nil, p)
		return Written{p.ID.String(), p.Version}, nil
	})
}

// newPassword validates person and password together, so that one look shows all that is
// wrong, and hashes the password before any lock is taken.
func (s *Service) newPassword(ctx context.Context, p person.Person, password string) (string, error) {
	var check domain.Check
	if !p.ID.Valid() {
		check.Add(domain.NotAnID.At("id"))
	}
	check.Merge(p.Validate())
	check.Merge(person.CheckPassword(p.Login, password))
	if err := check.Err(); err != nil {
		return "", err
	}
	return s.hasher.hash(ctx, password)
}

// ChangePerson changes a person. Disabling ends the person's sessions in the same
// transaction; the last active administrator stays.
func (s *Service) ChangePerson(ctx context.Context, a access.Actor, c ChangePerson) (Written, error) {
	if err := access.May(a, access.ManagePeople); err != nil {
		return Written{}, err
	}
	if c.Disabled && c.ID == a.Person {
		return Written{}, domain.Refuse(domain.Invalid, CannotDisableMe.At("disabled"))
	}
	command := store.Command{Actor: a, Action: "person.change", Operation: c.Operation, Request: c}
	return store.Write(ctx, s.store, command, func(ctx context.Context, tx *store.Tx) (Written, error) {
		if err := tx.Run(ctx, "SELECT FROM person WHERE 'administrator' = any(roles) ORDER BY id FOR NO KEY UPDATE"); err != nil {
			return Written{}, err
		}
		before, err := find(ctx, tx, c.ID, " FOR NO KEY UPDATE")
		if err != nil {
			return Written{}, err
		}
		if before.Version != c.Version {
			return Written{}, domain.StaleThing("person", before)
		}
		after := c.applied(before, tx.Now)
		if err := after.Validate(); err != nil {
			return Written{}, err
		}
		return s.saveChange(ctx, tx, before, after)
	})
}

func (c ChangePerson) applied(before person.Person, now time.Time) person.Person {
	after := before
	after.Login, after.Name, after.Roles = c.Login, c.Name, c.Roles
	after = after.Tidy()
	after.Version, after.ChangedAt = before.Version+1, now
	switch {
	case !c.Disabled:
		after.DisabledAt = nil
	case before.DisabledAt == nil:
		after.DisabledAt = &now
	}
	return after
}

func (s *Service) saveChange(ctx context.Context, tx *store.Tx, before, after person.Person) (Written, error) {
	if administers(before) && !administers(after) {
		others, err := store.Scalars[int64](ctx, tx, `SELECT count(*) FROM person
			WHERE 'administrator' = any(roles) AND disabled_at IS NULL AND id <> $1`, before.ID)
		if err != nil {
			return Written{}, err
		}
		if others[0] == 0 {
			return Written{}, domain.Refuse(domain.Invalid, person.LastAdmin.At("roles"))
		}
	}
	if err := tx.Run(ctx, `UPDATE person SET login = $2, name = $3, roles = $4, disabled_at = $5, version = $6, changed_at = $7
		WHERE id = $1`, after.ID, after.Login, after.Name, after.Roles, after.DisabledAt, after.Version, tx.Now); err != nil {
		return Written{}, err
	}
	if after.DisabledAt != nil {
		if err := tx.Run(ctx, "UPDATE session SET revoked_at = $2 WHERE person_id = $1 AND revoked_at IS NULL", after.ID, tx.Now); err != nil {
			return Written{}, err
		}
	}
	tx.Changed(audit.Person, after.ID, after.Version, before, after)
	return Written{after.ID.String(), after.Version}, nil
}

func administers(p person.Person) bool {
	return p.DisabledAt == nil && slices.Contains(p.Roles, string(access.Administrator))
}

// SetPassword sets a password and ends the person's other sessions. The trail tells that
// it was done and by whom.
func (s *Service) SetPassword(ctx context.Context, a access.Actor, c SetPassword) (Written, error) {
	if err := own(a, c.ID); err != nil {
		return Written{}, err
	}
	command := store.Command{Actor: a, Action: "person.set-password", Operation: c.Operation, Request: c}
	if w, done, err := store.Outcome[Written](ctx, s.store, command); done || err != nil {
		return w, err // sent again: by now the present password is another one
	}
	p, hash, err := s.readyPassword(ctx, a, c)
	if err != nil {
		return Written{}, domain.Wrap(command.Action, err)
	}
	return store.Write(ctx, s.store, command, func(ctx context.Context, tx *store.Tx) (Written, error) {
		if err := tx.Run(ctx, `INSERT INTO credential (person_id, password, changed_at) VALUES ($1, $2, $3)
			ON CONFLICT (person_id) DO UPDATE SET password = excluded.password, changed_at = excluded.changed_at`, p.ID, hash, tx.Now); err != nil {
			return Written{}, err
		}
		if err := tx.Run(ctx, "UPDATE session SET revoked_at = $2 WHERE person_id = $1 AND revoked_at IS NULL AND id <> $3", p.ID, tx.Now, a.Session); err != nil {
			return Written{}, err
		}
		if err := tx.Run(ctx, "DELETE FROM login_throttle WHERE kind = 'account' AND key = $1", p.Login); err != nil {
			return Written{}, err
		}
		tx.Concerns(audit.Person, p.ID)
		return Written{p.ID.String(), p.Version}, nil
	})
}

// readyPassword checks what there is to check before any lock is taken.
func (s *Service) readyPassword(ctx context.Context, a access.Actor, c SetPassword) (person.Person, string, error) {
	p, err := find(ctx, s.store, c.ID, "")
	if err != nil {
		return p, "", err
	}
	if a.Person == c.ID {
		if err := s.present(ctx, p, c.Present); err != nil {
			return p, "", err
		}
	}
	hash, err := s.newPassword(ctx, p, c.Password)
	return p, hash, err
}

// present checks the password that the person has now, counted like a login: an open
// session on a borrowed phone is no place to guess it.
func (s *Service) present(ctx context.Context, p person.Person, password string) error {
	if err := s.try(ctx, p.Login, "own-password:"+p.ID.String(), nil); err != nil {
		return err
	}
	stored, err := store.Scalars[string](ctx, s.store, "SELECT password FROM credential WHERE person_id = $1", p.ID)
	if err != nil {
		return err
	}
	same, err := s.hasher.match(ctx, password, append(stored, "")[0])
	if err != nil {
		return err
	}
	if !same {
		return domain.Refuse(domain.Invalid, PasswordWrong.At("present"))
	}
	return nil
}
