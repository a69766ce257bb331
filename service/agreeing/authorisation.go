package agreeing

import (
	"context"
	"time"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/method"
	"rillmark/service/store"
)

// AddAuthorisation is the command to say that a person may act by a method.
type AddAuthorisation struct {
	Operation domain.OperationID     `json:"operation" form:"operation"`
	ID        domain.AuthorisationID `json:"id" form:"id"`
	MethodID  domain.MethodID        `json:"method_id" form:"method_id"`
	PersonID  domain.PersonID        `json:"person_id" form:"person_id"`
	method.AuthorisationTexts
}

// ChangeAuthorisation is the command to change from when to when one holds; person, act
// and ground stay what they are.
type ChangeAuthorisation struct {
	Operation domain.OperationID     `json:"operation" form:"operation"`
	ID        domain.AuthorisationID `json:"id" form:"id"`
	Version   int64                  `json:"version" form:"version"`
	From      string                 `json:"authorised_from" form:"authorised_from"`
	Until     string                 `json:"authorised_until" form:"authorised_until"`
}

// AuthorisationRow is an authorisation with the person's name.
type AuthorisationRow struct {
	method.Authorisation
	Person string `db:"person"`
	Number string `db:"number"` // of the method
}

const authorisationRow = `z.id, z.person_id, z.method_id, z.act, lower(z.during) AS authorised_from, upper(z.during) AS authorised_to,
	z.ground, z.version, z.created_at, z.changed_at, n.name AS person, m.number
	FROM authorisation z JOIN person n ON n.id = z.person_id JOIN method m ON m.id = z.method_id `

// mostAuthorisations bounds what is told at once.
const mostAuthorisations = 500

// Authorised returns a method's authorisations by name, the newest of each first.
func (s *Service) Authorised(ctx context.Context, a access.Actor, of domain.MethodID) ([]AuthorisationRow, error) {
	if err := access.May(a, access.SeeMethods); err != nil {
		return nil, err
	}
	rows, err := store.Rows[AuthorisationRow](ctx, s.store, "SELECT "+authorisationRow+
		"WHERE z.method_id = $1 ORDER BY lower(n.name), z.act, lower(z.during) DESC LIMIT $2", of, mostAuthorisations)
	return rows, domain.Wrap("authorisations", err)
}

// Lapsing returns the authorisations that end before the time and after since, with none
// after them, of people who can still log in; those of one person, or of everyone. The one
// that ends first comes first.
func (s *Service) Lapsing(ctx context.Context, a access.Actor, of domain.PersonID, since, before time.Time, limit int) ([]AuthorisationRow, error) {
	if err := access.May(a, access.SeeMethods); err != nil {
		return nil, err
	}
	var person any
	if of.Valid() {
		person = of
	}
	rows, err := store.Rows[AuthorisationRow](ctx, s.store, "SELECT "+authorisationRow+`
		WHERE upper(z.during) > $1 AND upper(z.during) < $2 AND ($3::uuid IS NULL OR z.person_id = $3) AND n.disabled_at IS NULL
		  AND NOT EXISTS (SELECT FROM authorisation y WHERE y.person_id = z.person_id AND y.method_id = z.method_id AND y.act = z.act
		                  AND (upper_inf(y.during) OR upper(y.during) > upper(z.during)))
		ORDER BY upper(z.during), z.id LIMIT $4`, since, before, person, limit)
	return rows, domain.Wrap("authorisations that lapse", err)
}

// Authorisation returns one.
func (s *Service) Authorisation(ctx context.Context, a access.Actor, id domain.AuthorisationID) (AuthorisationRow, error) {
	if err := access.May(a, access.SeeMethods); err != nil {
		return AuthorisationRow{}, err
	}
	z, err := findAuthorisation(ctx, s.store, id, "")
	return z, domain.Wrap("authorisation", err)
}

func findAuthorisation(ctx context.Context, q store.Querier, id domain.AuthorisationID, lock string) (AuthorisationRow, error) {
	return store.Row[AuthorisationRow](ctx, q, "authorisation", "SELECT "+authorisationRow+"WHERE z.id = $1"+lock, id)
}

// AddAuthorisation says that a person may act by a method.
func (s *Service) AddAuthorisation(ctx context.Context, a access.Actor, c AddAuthorisation) (Written, error) {
	if err := access.May(a, access.Authorise); err != nil {
		return Written{}, err
	}
	z, problems := method.Authorisation{ID: c.ID, PersonID: c.PersonID, MethodID: c.MethodID, Version: 1}.Read(c.AuthorisationTexts, s.zone)
	var check domain.Check
	if !c.PersonID.Valid() {
		check.Add(domain.Required.At("person_id"))
	}
	check.Merge(problems)
	if err := domain.New(z.ID.Valid(), check.Err()); err != nil {
		return Written{}, domain.Wrap("authorisation.add", err)
	}
	command := store.Command{Actor: a, Action: "authorisation.add", Operation: c.Operation, Request: c}
	return store.Write(ctx, s.store, command, func(ctx context.Context, tx *store.Tx) (Written, error) {
		if err := tx.Run(ctx, `INSERT INTO authorisation (id, person_id, method_id, act, during, ground, version, created_at, changed_at)
			VALUES ($1, $2, $3, $4, tstzrange($5, $6), $7, $8, $9, $9)`,
			z.ID, z.PersonID, z.MethodID, z.Act, z.From, z.To, z.Ground, z.Version, tx.Now); err != nil {
			return Written{}, err
		}
		return authorised(tx, nil, z)
	})
}

// ChangeAuthorisation changes from when to when an authorisation holds.
func (s *Service) ChangeAuthorisation(ctx context.Context, a access.Actor, c ChangeAuthorisation) (Written, error) {
	if err := access.May(a, access.Authorise); err != nil {
		return Written{}, err
	}
	command := store.Command{Actor: a, Action: "authorisation.change", Operation: c.Operation, Request: c}
	return store.Write(ctx, s.store, command, func(ctx context.Context, tx *store.Tx) (Written, error) {
		row, err := findAuthorisation(ctx, tx, c.ID, " FOR NO KEY UPDATE OF z")
		if err != nil {
			return Written{}, err
		}
		before := row.Authorisation
		if before.Version != c.Version {
			return Written{}, domain.StaleThing("authorisation", before)
		}
		texts := before.Texts(s.zone)
		texts.From, texts.Until = c.From, c.Until
		after, err := before.Read(texts, s.zone)
		if err != nil {
			return Written{}, err
		}
		after.Version++
		if err := tx.Run(ctx, "UPDATE authorisation SET during = tstzrange($2, $3), version = $4, changed_at = $5 WHERE id = $1",
			after.ID, after.From, after.To, after.Version, tx.Now); err != nil {
			return Written{}, err
		}
		return authorised(tx, before, after)
	})
}

func authorised(tx *store.Tx, before any, z method.Authorisation) (Written, error) {
	tx.Changed(audit.Authorisation, z.ID, z.Version, before, z)
	tx.Concerns(audit.Method, z.MethodID)
	tx.Concerns(audit.Person, z.PersonID)
	return Written{ID: z.ID.String(), Version: z.Version}, nil
}
