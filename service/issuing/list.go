package issuing

import (
	"context"
	"fmt"
	"time"

	"github.com/google/uuid"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/certificate"
	"rillmark/service/store"
)

// Certificate is an issued document with its state as it stands.
type Certificate struct {
	numbered
	ID           domain.CertificateID  `db:"id"`
	ClientID     domain.ClientID       `db:"client_id"`
	SiteID       domain.SiteID         `db:"site_id"`
	PointID      domain.PointID        `db:"point_id"`
	TaskID       domain.TaskID         `db:"task_id"`
	EvaluationID domain.EvaluationID   `db:"evaluation_id"`
	Kind         string                `db:"kind"`
	Amends       *domain.CertificateID `db:"amends"`
	ReplacedBy   *domain.CertificateID `db:"replaced_by"`
	State        certificate.State     `db:"state"`
	Reason       string                `db:"reason"` // of the withdrawal
	Client       string                `db:"client_name"`
	Point        string                `db:"point_name"` // site and tag, as printed
	Meter        string                `db:"meter_name"`
	Verdict      string                `db:"verdict"`
	Snapshot     []byte                `db:"snapshot"` // hash
	Document     []byte                `db:"document"` // hash
	CheckCode    string                `db:"check_code"`
	Shows        string                `db:"public_shows"`
	ApprovedBy   string                `db:"approved_by"` // names
	IssuedBy     string                `db:"issued_by"`
	IssuedAt     time.Time             `db:"issued_at"`
}

const certificateQuery = `
	SELECT c.id, c.client_id, p.site_id, c.point_id, c.task_id, c.evaluation_id, c.kind, c.amends, r.id AS replaced_by,
	       ` + store.CertificateState + ` AS state,
	       coalesce(w.reason, '') AS reason, c.client_name, c.point_name, c.meter_name, c.verdict, c.snapshot, c.document, q.check_code,
	       c.public_shows, pa.name AS approved_by, pi.name AS issued_by, c.issued_at, c.year, c.serial
	FROM certificate c JOIN measuring_point p ON p.id = c.point_id JOIN preparation q ON q.id = c.preparation_id
	JOIN approval a ON a.id = c.approval_id JOIN person pa ON pa.id = a.approved_by JOIN person pi ON pi.id = c.issued_by
	LEFT JOIN certificate_withdrawal w ON w.certificate_id = c.id
	LEFT JOIN certificate r ON r.amends = c.id AND r.kind = 're-issue'`

func (s *Service) one(ctx context.Context, id domain.CertificateID) (Certificate, error) {
	return store.Row[Certificate](ctx, s.Store, "certificate", certificateQuery+" WHERE c.id = $1", id)
}

// Certificate returns one certificate.
func (s *Service) Certificate(ctx context.Context, a access.Actor, id domain.CertificateID) (Certificate, error) {
	if err := access.May(a, access.SeeCertificates); err != nil {
		return Certificate{}, err
	}
	c, err := s.one(ctx, id)
	return c, domain.Wrap("certificate", err)
}

// Filter narrows the list of certificates; zero values do not.
type Filter struct {
	store.Filter // Search: part of the number, or of the names of client and point
	Client       domain.ClientID
	Site         domain.SiteID
	Point        domain.PointID
	Task         domain.TaskID
	State        certificate.State
	Year         int
}

// Certificates lists certificates, the newest number first.
func (s *Service) Certificates(ctx context.Context, a access.Actor, f Filter) (store.Page[Certificate], error) {
	var none store.Page[Certificate]
	if err := access.May(a, access.SeeCertificates); err != nil {
		return none, err
	}
	from, err := f.From()
	if err != nil {
		return none, err
	}
	last := certificate.Number{Year: 9999, Serial: 1<<31 - 1}
	if from.Key != "" {
		if last, err = certificate.ParseNumber(from.Key); err != nil {
			return none, domain.Refuse(domain.Invalid, store.MarkMalformed.At("after"))
		}
	}
	rows, err := store.Rows[Certificate](ctx, s.Store, certificateQuery+`
		WHERE (c.year, c.serial) < ($1, $2)
		  AND ($3::uuid IS NULL OR c.client_id = $3) AND ($4::uuid IS NULL OR p.site_id = $4) AND ($5::uuid IS NULL OR c.point_id = $5)
		  AND ($6::uuid IS NULL OR c.task_id = $6) AND ($7 = 0 OR c.year = $7)
		  AND ($8 = '' OR $8 = `+store.CertificateState+`)
		  AND (lpad(c.year::text, 4, '0') || '-' || lpad(c.serial::text, 5, '0') ILIKE $9 OR c.client_name ILIKE $9 OR c.point_name ILIKE $9 OR c.meter_name ILIKE $9)
		ORDER BY c.year DESC, c.serial DESC LIMIT $10`,
		last.Year, last.Serial, orNull(f.Client.UUID), orNull(f.Site.UUID), orNull(f.Point.UUID), orNull(f.Task.UUID), f.Year, string(f.State), f.Pattern(), f.Rows()+1)
	if err != nil {
		return none, domain.Wrap("certificates", err)
	}
	return store.PageOf(rows, f.Filter, func(c Certificate) store.Mark { return store.Mark{Key: c.Number().String(), ID: c.ID.UUID} }), nil
}

func orNull(id uuid.UUID) *uuid.UUID {
	if id == uuid.Nil {
		return nil
	}
	return &id
}

// Document returns the bytes that were issued.
func (s *Service) Document(ctx context.Context, a access.Actor, id domain.CertificateID) (Certificate, []byte, error) {
	c, err := s.Certificate(ctx, a, id)
	if err != nil {
		return c, nil, err
	}
	pdf, err := s.blob(ctx, c.Document)
	return c, pdf, domain.Wrap("document", err)
}

// SnapshotText returns the canonical JSON that was issued.
func (s *Service) SnapshotText(ctx context.Context, a access.Actor, id domain.CertificateID) (Certificate, []byte, error) {
	c, err := s.Certificate(ctx, a, id)
	if err != nil {
		return c, nil, err
	}
	text, err := s.blob(ctx, c.Snapshot)
	return c, text, domain.Wrap("snapshot", err)
}

// FileName is what the document is called when it is saved.
func (c Certificate) FileName(ending string) string {
	return fmt.Sprintf("certificate-%s.%s", c.Number(), ending)
}
