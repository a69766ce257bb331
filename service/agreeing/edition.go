package agreeing

import (
	"context"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/method"
	"rillmark/service/store"
)

// AddEdition is the command to add the next edition of a method. The one before ends when
// it begins.
type AddEdition struct {
	Operation domain.OperationID     `json:"operation" form:"operation"`
	ID        domain.MethodEditionID `json:"id" form:"id"`
	MethodID  domain.MethodID        `json:"method_id" form:"method_id"`
	method.EditionTexts
}

// ChangeEdition is the command to change an edition: its content while no agreement names
// it, and the time it is in force.
type ChangeEdition struct {
	Operation domain.OperationID     `json:"operation" form:"operation"`
	ID        domain.MethodEditionID `json:"id" form:"id"`
	Version   int64                  `json:"version" form:"version"`
	method.EditionTexts
}

// EditionRow is an edition with what a page needs beside it.
type EditionRow struct {
	method.Edition
	Number string `db:"number"` // of the method
	Title  string `db:"title"`
	Used   bool   `db:"used"` // named by an agreement, and so frozen
}

const editionColumns = `e.id, e.method_id, e.edition, e.content, lower(e.in_force) AS in_force_from, upper(e.in_force) AS in_force_to,
	e.version, e.created_at, e.changed_at`

const editionRow = editionColumns + `, m.number, m.title, EXISTS (SELECT FROM agreement g WHERE g.method_edition_id = e.id) AS used
	FROM method_edition e JOIN method m ON m.id = e.method_id `

// mostEditions bounds the editions of a method that are told at once.
const mostEditions = 200

// Editions returns a method's editions, the newest first.
func (s *Service) Editions(ctx context.Context, a access.Actor, of domain.MethodID) ([]EditionRow, error) {
	if err := access.May(a, access.SeeMethods); err != nil {
		return nil, err
	}
	rows, err := store.Rows[EditionRow](ctx, s.store, "SELECT "+editionRow+"WHERE e.method_id = $1 ORDER BY e.edition DESC LIMIT $2", of, mostEditions)
	return rows, domain.Wrap("editions", err)
}

// EditionsToAgree returns the editions that are or will be in force, by method: those that
// an agreement can name.
func (s *Service) EditionsToAgree(ctx context.Context, a access.Actor) ([]EditionRow, error) {
	if err := access.May(a, access.SeeMethods); err != nil {
		return nil, err
	}
	rows, err := store.Rows[EditionRow](ctx, s.store, "SELECT "+editionRow+`WHERE upper_inf(e.in_force) OR upper(e.in_force) > clock_timestamp()
		ORDER BY lower(m.number), e.edition LIMIT $1`, mostEditions)
	return rows, domain.Wrap("editions", err)
}

// Edition returns one edition.
func (s *Service) Edition(ctx context.Context, a access.Actor, id domain.MethodEditionID) (EditionRow, error) {
	if err := access.May(a, access.SeeMethods); err != nil {
		return EditionRow{}, err
	}
	e, err := findEdition(ctx, s.store, id)
	return e, domain.Wrap("edition", err)
}

func findEdition(ctx context.Context, q store.Querier, id domain.MethodEditionID) (EditionRow, error) {
	return store.Row[EditionRow](ctx, q, "method edition", "SELECT "+editionRow+"WHERE e.id = $1", id)
}

// AddEdition adds the next edition.
func (s *Service) AddEdition(ctx context.Context, a access.Actor, c AddEdition) (Written, error) {
	if err := access.May(a, access.ChangeMethod); err != nil {
		return Written{}, err
	}
	e, problems := method.Edition{ID: c.ID, MethodID: c.MethodID, Version: 1}.Read(c.EditionTexts, s.zone)
	if err := domain.New(e.ID.Valid(), problems); err != nil {
		return Written{}, domain.Wrap("method_edition.add", err)
	}
	command := store.Command{Actor: a, Action: "method_edition.add", Operation: c.Operation, Request: c}
	return store.Write(ctx, s.store, command, func(ctx context.Context, tx *store.Tx) (Written, error) {
		if _, err := findMethod(ctx, tx, c.MethodID, " FOR NO KEY UPDATE"); err != nil {
			return Written{}, err
		}
		e := e
		if err := follow(ctx, tx, &e); err != nil {
			return Written{}, err
		}
		if err := tx.Run(ctx, `INSERT INTO method_edition (id, method_id, edition, content, in_force, version, created_at, changed_at)
			VALUES ($1, $2, $3, $4, tstzrange($5, $6), $7, $8, $8)`,
			e.ID, e.MethodID, e.Edition, e.Content, e.InForceFrom, e.InForceTo, e.Version, tx.Now); err != nil {
			return Written{}, err
		}
		tx.Changed(audit.MethodEdition, e.ID, e.Version, nil, e)
		tx.Concerns(audit.Method, e.MethodID)
		return Written{ID: e.ID.String(), Version: e.Version}, nil
	})
}

// follow numbers the edition and ends the one before it, which must have begun earlier.
func follow(ctx context.Context, tx *store.Tx, e *method.Edition) error {
	last, err := store.Rows[method.Edition](ctx, tx, "SELECT "+editionColumns+
		" FROM method_edition e WHERE e.method_id = $1 ORDER BY e.edition DESC LIMIT 1 FOR NO KEY UPDATE", e.MethodID)
	if err != nil {
		return err
	}
	e.Edition = 1
	if len(last) == 0 {
		return nil
	}
	before := last[0]
	e.Edition = before.Edition + 1
	if !e.InForceFrom.After(before.InForceFrom) {
		return domain.Refuse(domain.Invalid, method.EditionBeginsEarly.At("in_force_from", before.Edition, before.InForceFrom.Format("2006-01-02")))
	}
	if before.InForceTo != nil && !before.InForceTo.After(e.InForceFrom) {
		return nil
	}
	after := before
	after.InForceTo, after.Version = &e.InForceFrom, before.Version+1
	if err := tx.Run(ctx, "UPDATE method_edition SET in_force = tstzrange($2, $3), version = $4, changed_at = $5 WHERE id = $1",
		after.ID, after.InForceFrom, after.InForceTo, after.Version, tx.Now); err != nil {
		return err
	}
	tx.Changed(audit.MethodEdition, after.ID, after.Version, before, after)
	return nil
}

// ChangeEdition changes an edition. Once an agreement names it, its content stays and only
// the time it is in force can be changed.
func (s *Service) ChangeEdition(ctx context.Context, a access.Actor, c ChangeEdition) (Written, error) {
	if err := access.May(a, access.ChangeMethod); err != nil {
		return Written{}, err
	}
	read, err := method.Edition{}.Read(c.EditionTexts, s.zone)
	if err != nil {
		return Written{}, domain.Wrap("method_edition.change", err)
	}
	command := store.Command{Actor: a, Action: "method_edition.change", Operation: c.Operation, Request: c}
	return store.Write(ctx, s.store, command, func(ctx context.Context, tx *store.Tx) (Written, error) {
		// The strongest lock: nobody may agree on the edition while its content changes.
		if err := tx.Run(ctx, "SELECT FROM method_edition WHERE id = $1 FOR UPDATE", c.ID); err != nil {
			return Written{}, err
		}
		row, err := findEdition(ctx, tx, c.ID)
		if err != nil {
			return Written{}, err
		}
		before := row.Edition
		if before.Version != c.Version {
			return Written{}, domain.StaleThing("method edition", before)
		}
		if row.Used && read.Content != before.Content {
			return Written{}, domain.Refuse(domain.Invalid, method.ContentFrozen.At("content"))
		}
		after := before
		after.Content, after.InForceFrom, after.InForceTo, after.Version = read.Content, read.InForceFrom, read.InForceTo, before.Version+1
		if err := tx.Run(ctx, "UPDATE method_edition SET content = $2, in_force = tstzrange($3, $4), version = $5, changed_at = $6 WHERE id = $1",
			after.ID, after.Content, after.InForceFrom, after.InForceTo, after.Version, tx.Now); err != nil {
			return Written{}, err
		}
		tx.Changed(audit.MethodEdition, after.ID, after.Version, before, after)
		tx.Concerns(audit.Method, after.MethodID)
		return Written{ID: after.ID.String(), Version: after.Version}, nil
	})
}
