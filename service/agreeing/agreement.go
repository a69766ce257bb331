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

// AddAgreement is the command to note what is agreed for a measuring point. Replaces names
// the agreement that held when the form was opened; where there was none it is empty.
type AddAgreement struct {
	Operation domain.OperationID `json:"operation" form:"operation"`
	ID        domain.AgreementID `json:"id" form:"id"`
	PointID   domain.PointID     `json:"point_id" form:"point_id"`
	Replaces  domain.AgreementID `json:"replaces" form:"replaces"`
	method.AgreementTexts
}

// AgreementRow is an agreement with the words that a page needs.
type AgreementRow struct {
	method.Agreement
	Number     string  `db:"number"` // of the method
	Title      string  `db:"title"`
	Edition    int     `db:"edition"`
	ReplacedBy *string `db:"replaced_by"` // id of the agreement that replaces it
}

const agreementRow = `g.id, g.client_id, g.point_id, g.method_edition_id, g.order_number, g.rule, g.guard_factor, g.no_statement_ratio,
	g.overall_rule, g.adjusting_allowed, g.interval_months, g.interval_printed, g.public_shows, g.agreed_by,
	g.agreed_on::timestamptz AS agreed_on, g.replaces, g.consent, g.note, g.by, g.received_at,
	m.number, m.title, e.edition, (SELECT r.id::text FROM agreement r WHERE r.replaces = g.id ORDER BY r.received_at LIMIT 1) AS replaced_by
	FROM agreement g JOIN method_edition e ON e.id = g.method_edition_id JOIN method m ON m.id = e.method_id `

// mostAgreements bounds what is told at once of a measuring point.
const mostAgreements = 100

// Agreements returns what was agreed for a measuring point, the newest first: that one holds.
func (s *Service) Agreements(ctx context.Context, a access.Actor, of domain.PointID) ([]AgreementRow, error) {
	if err := access.May(a, access.SeeRegister); err != nil {
		return nil, err
	}
	rows, err := store.Rows[AgreementRow](ctx, s.store, "SELECT "+agreementRow+
		"WHERE g.point_id = $1 ORDER BY g.received_at DESC, g.id DESC LIMIT $2", of, mostAgreements)
	if err == nil {
		err = addLimits(ctx, s.store, rows)
	}
	return rows, domain.Wrap("agreements", err)
}

// Agreement returns one agreement with its limits.
func (s *Service) Agreement(ctx context.Context, a access.Actor, id domain.AgreementID) (AgreementRow, error) {
	if err := access.May(a, access.SeeRegister); err != nil {
		return AgreementRow{}, err
	}
	g, err := store.Row[AgreementRow](ctx, s.store, "agreement", "SELECT "+agreementRow+"WHERE g.id = $1", id)
	rows := []AgreementRow{g}
	if err == nil {
		err = addLimits(ctx, s.store, rows)
	}
	return rows[0], domain.Wrap("agreement", err)
}

type limitRow struct {
	AgreementID domain.AgreementID `db:"agreement_id"`
	method.Limit
}

func addLimits(ctx context.Context, q store.Querier, list []AgreementRow) error {
	ids := make([]string, len(list))
	for i, g := range list {
		ids[i] = g.ID.String()
	}
	limits, err := store.Rows[limitRow](ctx, q, `SELECT agreement_id, n, phase, from_flow, from_entered, to_flow, to_entered, kind,
		lower_limit, upper_limit, span, combine, other_kind, other_limit, other_span FROM agreement_limit WHERE agreement_id = ANY($1::uuid[]) ORDER BY agreement_id, n`, ids)
	for _, l := range limits {
		for i := range list {
			if list[i].ID == l.AgreementID {
				list[i].Limits = append(list[i].Limits, l.Limit)
			}
		}
	}
	return err
}

// point is what an agreement needs of its measuring point.
type point struct {
	ClientID domain.ClientID `db:"client_id"`
	SiteID   domain.SiteID   `db:"site_id"`
}

// AddAgreement notes what is agreed. Tasks of the point in which no run was taken yet go
// by it from now on; in the others the one they began with stays.
func (s *Service) AddAgreement(ctx context.Context, a access.Actor, c AddAgreement) (Written, error) {
	if err := access.May(a, access.ChangeAgreement); err != nil {
		return Written{}, err
	}
	g := method.Agreement{ID: c.ID, PointID: c.PointID, By: a.Name()}
	if c.Replaces.Valid() {
		g.Replaces = &c.Replaces
	}
	g, problems := g.Read(c.AgreementTexts)
	if err := domain.New(g.ID.Valid(), problems); err != nil {
		return Written{}, domain.Wrap("agreement.add", err)
	}
	command := store.Command{Actor: a, Action: "agreement.add", Operation: c.Operation, Request: c}
	return store.Write(ctx, s.store, command, func(ctx context.Context, tx *store.Tx) (Written, error) {
		g := g
		p, err := store.Row[point](ctx, tx, "measuring point", "SELECT client_id, site_id FROM measuring_point WHERE id = $1 FOR NO KEY UPDATE", c.PointID)
		if err != nil {
			return Written{}, err
		}
		g.ClientID, g.ReceivedAt = p.ClientID, tx.Now
		if err := newest(ctx, tx, g); err != nil {
			return Written{}, err
		}
		if err := agreeable(ctx, tx, g.EditionID, tx.Now); err != nil {
			return Written{}, err
		}
		if err := insertAgreement(ctx, tx, g); err != nil {
			return Written{}, err
		}
		tx.Changed(audit.Agreement, g.ID, 1, nil, g)
		tx.Changed(audit.Agreement, g.ID, 1, nil, toldLimits{method.TellLimits(g.Limits)})
		tx.Concerns(audit.Point, g.PointID)
		tx.Concerns(audit.Site, p.SiteID)
		tx.Concerns(audit.Client, g.ClientID)
		return Written{ID: g.ID.String(), Version: 1}, moveTasks(ctx, tx, g)
	})
}

// toldLimits is what the trail tells of an agreement beside its row.
type toldLimits struct {
	Limits string `db:"limits" audit:"text"`
}

// newest refuses an agreement that was written without knowing the newest one.
func newest(ctx context.Context, tx *store.Tx, g method.Agreement) error {
	found, err := store.Scalars[domain.AgreementID](ctx, tx, "SELECT id FROM agreement WHERE point_id = $1 ORDER BY received_at DESC, id DESC LIMIT 1", g.PointID)
	if err != nil {
		return err
	}
	known := domain.AgreementID{}
	if g.Replaces != nil {
		known = *g.Replaces
	}
	if len(found) == 1 && found[0] != known || len(found) == 0 && known.Valid() {
		return domain.Refuse(domain.Taken, method.NewerAgreement.At(""))
	}
	return nil
}

// agreeable looks that the edition is there and not out of force. The lock keeps its
// content from changing until the agreement stands.
func agreeable(ctx context.Context, tx *store.Tx, id domain.MethodEditionID, now time.Time) error {
	if err := tx.Run(ctx, "SELECT FROM method_edition WHERE id = $1 FOR KEY SHARE", id); err != nil {
		return err
	}
	e, err := findEdition(ctx, tx, id)
	if err == nil && e.InForceTo != nil && !now.Before(*e.InForceTo) {
		return domain.Refuse(domain.Invalid, method.EditionOver.At("method_edition_id"))
	}
	return err
}

func insertAgreement(ctx context.Context, tx *store.Tx, g method.Agreement) error {
	if err := tx.Run(ctx, `INSERT INTO agreement (id, client_id, point_id, method_edition_id, order_number, rule, guard_factor, no_statement_ratio,
		overall_rule, adjusting_allowed, interval_months, interval_printed, public_shows, agreed_by, agreed_on, replaces, consent, note, by, received_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20)`,
		g.ID, g.ClientID, g.PointID, g.EditionID, g.OrderNumber, g.Rule, g.GuardFactor, g.NoStatementRatio, g.OverallRule,
		g.AdjustingAllowed, g.IntervalMonths, g.IntervalPrinted, g.PublicShows, g.AgreedBy, g.AgreedOn.Format(time.DateOnly), g.Replaces,
		g.Consent, g.Note, g.By, g.ReceivedAt); err != nil {
		return err
	}
	for _, l := range g.Limits {
		if err := tx.Run(ctx, `INSERT INTO agreement_limit (agreement_id, client_id, n, phase, from_flow, from_entered, to_flow, to_entered,
			kind, lower_limit, upper_limit, span, combine, other_kind, other_limit, other_span)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16)`,
			g.ID, g.ClientID, l.N, l.Phase, l.From, l.FromEntered, l.To, l.ToEntered, l.Kind, l.Lower, l.Upper, l.Span,
			l.Combine, l.OtherKind, l.Other, l.OtherSpan); err != nil {
			return err
		}
	}
	return nil
}

// moveTasks lets the tasks of the point in which no run was taken go by the agreement.
func moveTasks(ctx context.Context, tx *store.Tx, g method.Agreement) error {
	if g.Replaces == nil {
		return nil
	}
	rows, err := tx.Query(ctx, `UPDATE task t SET agreement_id = $1 WHERE t.point_id = $2 AND t.agreement_id <> $1
		AND NOT EXISTS (SELECT FROM run r WHERE r.task_id = t.id) RETURNING t.id`, g.ID, g.PointID)
	if err != nil {
		return err
	}
	defer rows.Close()
	var moved []domain.TaskID
	for rows.Next() {
		var id domain.TaskID
		if err := rows.Scan(&id); err != nil {
			return err
		}
		moved = append(moved, id)
	}
	for _, id := range moved {
		tx.Changed(audit.Task, id, 1, toldAgreement{g.Replaces.String()}, toldAgreement{g.ID.String()})
	}
	return rows.Err()
}

// toldAgreement is what the trail tells of a task that goes by another agreement.
type toldAgreement struct {
	Agreement string `db:"agreement_id" audit:"text"`
}
