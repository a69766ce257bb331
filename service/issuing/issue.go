package issuing

import (
	"bytes"
	"context"
	"crypto/sha256"
	"crypto/subtle"
	"errors"
	"slices"
	"strings"
	"time"

	"github.com/jackc/pgx/v5/pgconn"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/certificate"
	"rillmark/service/store"
)

// Issue is the command to issue what was prepared, with the token that was given then.
type Issue struct {
	Operation     domain.OperationID   `json:"operation" form:"operation"`
	ID            domain.CertificateID `json:"id" form:"id"`
	PreparationID domain.PreparationID `json:"preparation_id" form:"preparation_id"`
	Token         string               `json:"token" form:"token"`
}

// Issued is the outcome: the certificate and its number.
type Issued struct {
	ID     string `json:"id"`
	Number string `json:"number"`
}

// tries bounds how often a document is rendered anew because another program took the
// number in the meantime.
const tries = 8

type toldCertificate struct {
	Number   string                `db:"number" audit:"text"`
	Kind     string                `db:"certificate_kind" audit:"text"`
	Amends   *domain.CertificateID `db:"amends" audit:"text"`
	Approval domain.ApprovalID     `db:"approval_id" audit:"text"`
	Snapshot string                `db:"snapshot" audit:"text"`
	Document string                `db:"document" audit:"text"`
	Verdict  string                `db:"verdict" audit:"text"`
}

// Issue gives the certificate the next number of the year and keeps it with its snapshot
// and its document, all in one transaction. The document is rendered with the number
// that comes next before any lock is taken; if another took it, once more.
//
// Errors: TokenWrong, TokenUsed, TokenExpired; what certificate.Record.Issue says;
// FactsNewer where the sheet has grown.
func (s *Service) Issue(ctx context.Context, a access.Actor, c Issue) (Issued, error) {
	const op = "certificate.issue"
	if err := access.May(a, access.Issue); err != nil {
		return Issued{}, err
	}
	if !c.ID.Valid() {
		return Issued{}, domain.Wrap(op, domain.Refuse(domain.Invalid, domain.NotAnID.At("id")))
	}
	command := store.Command{Actor: a, Action: op, Operation: c.Operation, Request: c}
	if done, found, err := store.Outcome[Issued](ctx, s.Store, command); err != nil || found {
		return done, err
	}
	p, k, err := s.prepared(ctx, c.PreparationID)
	if err != nil {
		return Issued{}, domain.Wrap(op, err)
	}
	if err := s.mayIssue(ctx, p, k, c.Token); err != nil {
		return Issued{}, domain.Wrap(op, err)
	}
	select {
	case s.turn <- struct{}{}:
		defer func() { <-s.turn }()
	case <-ctx.Done():
		return Issued{}, domain.Wrap(op, ctx.Err())
	}
	for try := 1; ; try++ {
		issued, err := s.issueOnce(ctx, a, c, command, p, k)
		if !tookNumber(err) || try == tries {
			return issued, domain.Wrap(op, err)
		}
	}
}

// mayIssue looks at the token.
func (s *Service) mayIssue(ctx context.Context, p Prepared, k kept, token string) error {
	sum := sha256.Sum256([]byte(token))
	switch {
	case subtle.ConstantTimeCompare(sum[:], k.Token) != 1:
		return domain.Refuse(domain.Forbidden, TokenWrong.At("token"))
	case p.Certificate != nil:
		number := ""
		if there, err := s.one(ctx, *p.Certificate); err == nil {
			number = there.Number().String()
		}
		return domain.Refuse(domain.Taken, TokenUsed.At("token", number))
	case !k.Now.Before(p.ExpiresAt):
		return domain.Refuse(domain.Taken, TokenExpired.At("token"))
	}
	return nil
}

// tookNumber reports that another program issued under the number in the meantime.
func tookNumber(err error) bool {
	var pg *pgconn.PgError
	return errors.As(err, &pg) && (pg.ConstraintName == "certificate_number_next" || pg.ConstraintName == "certificate_number_once")
}

func (s *Service) issueOnce(ctx context.Context, a access.Actor, c Issue, command store.Command, p Prepared, k kept) (Issued, error) {
	snapshot, now, err := s.complete(ctx, p, k)
	if err != nil {
		return Issued{}, err
	}
	record := certificate.Record{State: certificate.Prepared, Content: hexOf(k.Content)}
	if err := record.Issue(snapshot); err != nil {
		return Issued{}, err
	}
	text, err := snapshot.Canonical()
	if err != nil {
		return Issued{}, err
	}
	pdf, err := s.Render(snapshot)
	if err != nil {
		return Issued{}, err
	}
	row := certificateRow{c: c, p: p, k: k, by: a.Person, number: record.Number, at: now, zone: s.Zone.String(), snapshot: snapshot}
	return store.Write(ctx, s.Store, command, func(ctx context.Context, tx *store.Tx) (Issued, error) {
		if err := lockTask(ctx, tx, p.TaskID); err != nil {
			return Issued{}, err
		}
		if row.text, err = tx.PutBlob(ctx, a.Name(), "application/json", bytes.NewReader(text)); err != nil {
			return Issued{}, err
		}
		if row.pdf, err = tx.PutBlob(ctx, a.Name(), "application/pdf", bytes.NewReader(pdf)); err != nil {
			return Issued{}, err
		}
		return Issued{c.ID.String(), record.Number.String()}, row.put(ctx, tx)
	})
}

// certificateRow is a certificate about to be written.
type certificateRow struct {
	c         Issue
	p         Prepared
	k         kept
	by        domain.PersonID
	number    certificate.Number
	at        time.Time
	zone      string
	snapshot  certificate.Snapshot
	text, pdf [32]byte
}

func (r certificateRow) put(ctx context.Context, tx *store.Tx) error {
	code := sha256.Sum256([]byte(r.k.Code))
	verdict := r.snapshot.Verdict()
	tx.Concerns(audit.Evaluation, r.p.EvaluationID)
	tx.Concerns(audit.Task, r.p.TaskID)
	tx.Concerns(audit.Visit, r.k.VisitID)
	tx.Concerns(audit.Point, r.k.PointID)
	tx.Concerns(audit.Client, r.k.ClientID)
	if r.k.Amends != nil {
		tx.Concerns(audit.Certificate, *r.k.Amends)
	}
	tx.Changed(audit.Certificate, r.c.ID, 1, nil, toldCertificate{Number: r.number.String(), Kind: r.p.Kind, Amends: r.k.Amends, Approval: r.k.ApprovalID,
		Snapshot: hexOf(r.text[:]), Document: hexOf(r.pdf[:]), Verdict: verdict})
	return tx.Run(ctx, `INSERT INTO certificate (id, client_id, task_id, point_id, evaluation_id, approval_id, preparation_id, kind, amends,
			year, serial, zone, snapshot, document, content, check_hash, public_shows, client_name, point_name, meter_name, verdict, issued_by, issued_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20, $21, $22, $23)`,
		r.c.ID, r.k.ClientID, r.p.TaskID, r.k.PointID, r.p.EvaluationID, r.k.ApprovalID, r.p.ID, r.p.Kind, r.k.Amends,
		r.number.Year, r.number.Serial, r.zone, r.text[:], r.pdf[:], r.k.Content, code[:], r.k.Shows, r.snapshot.Client.Name,
		joined(r.snapshot.Place.Site, r.snapshot.Place.Tag), meterName(r.snapshot.Meter), verdict, r.by, r.at)
}

// meterName is the meter as people call it.
func meterName(m certificate.Meter) string {
	return strings.Join(slices.DeleteFunc([]string{m.Maker, m.Model, m.Serial}, func(t string) bool { return t == "" }), " ")
}
