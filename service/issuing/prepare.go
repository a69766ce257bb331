package issuing

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/base32"
	"encoding/hex"
	"io"
	"strings"
	"time"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/approval"
	"rillmark/domain/audit"
	"rillmark/domain/certificate"
	"rillmark/service/store"
)

// Prepare is the command to freeze the snapshot of an approved evaluation. Token is a
// secret of the caller's that issues it later, once: at least 26 characters. Kind is
// certificate (default), amendment or re-issue; the latter two name the earlier
// certificate, the reason and what is other.
type Prepare struct {
	Operation    domain.OperationID   `json:"operation" form:"operation"`
	ID           domain.PreparationID `json:"id" form:"id"`
	EvaluationID domain.EvaluationID  `json:"evaluation_id" form:"evaluation_id"`
	Token        string               `json:"token" form:"token"`
	Kind         string               `json:"kind" form:"kind"`
	Amends       domain.CertificateID `json:"amends" form:"amends"`
	Reason       string               `json:"reason" form:"reason"`
	Changes      string               `json:"changes" form:"changes"` // one a line
	Opinions     string               `json:"opinions" form:"opinions"`
}

// tokenLeast is 26 characters of base 32: 130 bits.
const tokenLeast = 26

// PreparedFor is how long a prepared snapshot can be issued. Common practice, no source: a
// sitting at the desk, not a day.
const PreparedFor = 2 * time.Hour

type toldPreparation struct {
	Evaluation domain.EvaluationID `db:"evaluation_id" audit:"text"`
	Kind       string              `db:"preparation_kind" audit:"text"`
	Content    string              `db:"content" audit:"text"`
}

// frozen is a snapshot ready to be kept.
type frozen struct {
	judged    Judged
	kind      certificate.Kind
	amends    *domain.CertificateID
	canonical []byte
	content   string
	code      string
}

// Prepare freezes the snapshot. What is issued later is this and nothing else.
//
// Errors: NotApproved, FactsNewer, AlreadyCertified, NotIssued; every missing element as
// certificate.Missing names them.
func (s *Service) Prepare(ctx context.Context, a access.Actor, c Prepare) (Written, error) {
	const op = "certificate.prepare"
	if err := access.May(a, access.Issue); err != nil {
		return Written{}, err
	}
	command := store.Command{Actor: a, Action: op, Operation: c.Operation, Request: c}
	if done, found, err := store.Outcome[Written](ctx, s.Store, command); err != nil || found {
		return done, err
	}
	f, err := s.freeze(ctx, a, c)
	if err != nil {
		return Written{}, domain.Wrap(op, err)
	}
	token, content := sha256.Sum256([]byte(c.Token)), unhex(f.content)
	return store.Write(ctx, s.Store, command, func(ctx context.Context, tx *store.Tx) (Written, error) {
		if err := lockTask(ctx, tx, f.judged.TaskID); err != nil {
			return Written{}, err
		}
		snapshot, err := tx.PutBlob(ctx, a.Name(), "application/json", bytes.NewReader(f.canonical))
		if err != nil {
			return Written{}, err
		}
		concerns(tx, f.judged)
		tx.Changed(audit.Preparation, c.ID, 1, nil, toldPreparation{f.judged.ID, string(f.kind), f.content})
		return Written{c.ID.String()}, tx.Run(ctx, `INSERT INTO preparation (id, client_id, task_id, evaluation_id, approval_id, kind, amends, snapshot,
				content, token, check_code, prepared_by, at, expires_at)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14)`,
			c.ID, f.judged.ClientID, f.judged.TaskID, f.judged.ID, f.judged.ApprovalID, string(f.kind), f.amends, snapshot[:],
			content, token[:], f.code, a.Person, tx.Now, tx.Now.Add(PreparedFor))
	})
}

func (c Prepare) check() error {
	var check domain.Check
	if len(c.Token) < tokenLeast || len(c.Token) > 200 {
		check.Add(TokenShort.At("token"))
	}
	kind := certificate.Kind(c.Kind)
	if kind != "" && kind != certificate.First && kind != certificate.Amendment && kind != certificate.Reissue {
		check.Add(KindUnknown.At("kind"))
	}
	amending := kind == certificate.Amendment || kind == certificate.Reissue
	check.Lines("reason", domain.Lines(c.Reason), 1000, amending)
	check.Lines("changes", domain.Lines(c.Changes), 4000, false)
	check.Lines("opinions", domain.Lines(c.Opinions), 4000, false)
	return domain.New(c.ID.Valid(), check.Err())
}

func (s *Service) freeze(ctx context.Context, a access.Actor, c Prepare) (frozen, error) {
	f := frozen{kind: certificate.First}
	if c.Kind != "" {
		f.kind = certificate.Kind(c.Kind)
	}
	if err := c.check(); err != nil {
		return f, err
	}
	var err error
	if f.judged, err = s.judged(ctx, c.EvaluationID); err != nil {
		return f, err
	}
	if f.judged.ApprovalID == nil {
		return f, domain.Refuse(domain.Taken, approval.NotApproved.At(""))
	}
	standing, err := s.Standing(ctx, a, f.judged)
	if err == nil && !standing {
		err = domain.Refuse(domain.Stale, approval.FactsNewer.At(""))
	}
	if err != nil {
		return f, err
	}
	paper, _, err := s.paper(ctx, f.judged)
	if err != nil {
		return f, err
	}
	paper.Opinions = lines(domain.Lines(c.Opinions))
	if err := s.amending(ctx, c, &f, &paper); err != nil {
		return f, err
	}
	return f, s.seal(&f, paper)
}

// Draft is the snapshot that a certificate of the evaluation would hold as things stand,
// with every number as it would be printed. Nothing is kept.
func (s *Service) Draft(ctx context.Context, a access.Actor, j Judged) (certificate.Snapshot, error) {
	if err := access.May(a, access.SeeSheet); err != nil {
		return certificate.Snapshot{}, err
	}
	paper, _, err := s.paper(ctx, j)
	if err != nil {
		return certificate.Snapshot{}, domain.Wrap("draft", err)
	}
	if j.ApprovalID == nil {
		paper.Kind = certificate.Provisional
	}
	snapshot, err := certificate.Build(paper, j.Facts, j.Result)
	return snapshot, domain.Wrap("draft", err)
}

// seal builds the snapshot and draws the code of its check page.
func (s *Service) seal(f *frozen, paper certificate.Paper) error {
	paper.Kind = f.kind
	snapshot, err := certificate.Build(paper, f.judged.Facts, f.judged.Result)
	if err != nil {
		return err
	}
	record := certificate.Record{State: certificate.Draft}
	if err := record.Prepare(snapshot); err != nil {
		return err
	}
	f.content = record.Content
	if f.canonical, err = snapshot.Canonical(); err != nil {
		return err
	}
	f.code, err = s.Secret()
	return err
}

// amending names the earlier certificate, or sees that there is none.
func (s *Service) amending(ctx context.Context, c Prepare, f *frozen, paper *certificate.Paper) error {
	if f.kind == certificate.First {
		numbers, err := store.Rows[numbered](ctx, s.Store, "SELECT year, serial FROM certificate WHERE task_id = $1 AND kind = 'certificate'", f.judged.TaskID)
		if err == nil && len(numbers) > 0 {
			err = domain.Refuse(domain.Taken, AlreadyCertified.At("kind", numbers[0].Number().String()))
		}
		return err
	}
	earlier, err := s.one(ctx, c.Amends)
	switch {
	case err != nil:
		return err
	case earlier.TaskID != f.judged.TaskID:
		return domain.Refuse(domain.Invalid, OtherTask.At("amends"))
	case earlier.State == certificate.Superseded, f.kind == certificate.Amendment && earlier.State != certificate.Issued:
		return domain.Refuse(domain.Taken, NotIssued.At("amends", string(earlier.State)))
	}
	f.amends = &earlier.ID
	paper.Amends = &certificate.Amends{Number: earlier.Number().String(), Issued: certificate.On(s.Zone, earlier.IssuedAt).Printed,
		Reason: domain.Lines(c.Reason), Changes: lines(domain.Lines(c.Changes))}
	return nil
}

// numbered is a row with a certificate's number.
type numbered struct {
	Year   int `db:"year"`
	Serial int `db:"serial"`
}

// Number is the certificate's number.
func (n numbered) Number() certificate.Number {
	return certificate.Number{Year: n.Year, Serial: n.Serial}
}

// Secret draws 160 random bits in 32 characters that are read aloud without a doubt: the
// token of a preparation, the code of a check page.
func (s *Service) Secret() (string, error) {
	var b [20]byte
	if _, err := io.ReadFull(s.Random, b[:]); err != nil {
		return "", err
	}
	return strings.ToLower(base32.StdEncoding.WithPadding(base32.NoPadding).EncodeToString(b[:])), nil
}

// Prepared is a frozen snapshot that waits to be issued.
type Prepared struct {
	ID           domain.PreparationID  `db:"id"`
	EvaluationID domain.EvaluationID   `db:"evaluation_id"`
	TaskID       domain.TaskID         `db:"task_id"`
	Kind         string                `db:"kind"`
	At           time.Time             `db:"at"`
	ExpiresAt    time.Time             `db:"expires_at"`
	PreparedBy   domain.PersonID       `db:"prepared_by"`
	Certificate  *domain.CertificateID `db:"certificate_id"` // what came of it

	Snapshot certificate.Snapshot `db:"-"`
}

// Prepared returns a frozen snapshot.
func (s *Service) Prepared(ctx context.Context, a access.Actor, id domain.PreparationID) (Prepared, error) {
	if err := access.May(a, access.Issue); err != nil {
		return Prepared{}, err
	}
	p, _, err := s.prepared(ctx, id)
	return p, domain.Wrap("preparation", err)
}

// kept is what issuing needs of a preparation beside what people see.
type kept struct {
	ClientID   domain.ClientID       `db:"client_id"`
	VisitID    domain.VisitID        `db:"visit_id"`
	PointID    domain.PointID        `db:"point_id"`
	ApprovalID domain.ApprovalID     `db:"approval_id"`
	Amends     *domain.CertificateID `db:"amends"`
	Hash       []byte                `db:"snapshot"`
	Content    []byte                `db:"content"`
	Token      []byte                `db:"token"`
	Code       string                `db:"check_code"`
	Shows      string                `db:"public_shows"`
	Now        time.Time             `db:"now"`
}

func (s *Service) prepared(ctx context.Context, id domain.PreparationID) (Prepared, kept, error) {
	type row struct {
		Prepared
		kept
	}
	r, err := store.Row[row](ctx, s.Store, "prepared certificate", `
		SELECT p.id, p.evaluation_id, p.task_id, p.kind, p.at, p.expires_at, p.prepared_by, x.id AS certificate_id,
		       p.client_id, t.visit_id, t.point_id, p.approval_id, p.amends, p.snapshot, p.content, p.token, p.check_code, a.public_shows,
		       clock_timestamp() AS now
		FROM preparation p JOIN task t ON t.id = p.task_id JOIN evaluation e ON e.id = p.evaluation_id JOIN agreement a ON a.id = e.agreement_id
		LEFT JOIN certificate x ON x.preparation_id = p.id
		WHERE p.id = $1`, id)
	if err != nil {
		return r.Prepared, r.kept, err
	}
	text, err := s.blob(ctx, r.Hash)
	if err != nil {
		return r.Prepared, r.kept, err
	}
	r.Prepared.Snapshot, err = certificate.Parse(text)
	return r.Prepared, r.kept, err
}

func (s *Service) blob(ctx context.Context, hash []byte) ([]byte, error) {
	var b bytes.Buffer
	_, err := s.Store.GetBlob(ctx, [32]byte(hash), &b)
	return b.Bytes(), err
}

// Preview renders a frozen snapshot as it will be issued, with the number that comes next
// as far as can be told.
func (s *Service) Preview(ctx context.Context, a access.Actor, id domain.PreparationID) ([]byte, error) {
	if err := access.May(a, access.Issue); err != nil {
		return nil, err
	}
	p, k, err := s.prepared(ctx, id)
	if err != nil {
		return nil, domain.Wrap("preview", err)
	}
	snapshot, _, err := s.complete(ctx, p, k)
	if err != nil {
		return nil, domain.Wrap("preview", err)
	}
	pdf, err := s.Render(snapshot)
	return pdf, domain.Wrap("preview", err)
}

// complete adds what issuing adds: the number that comes next, the date, the check address.
func (s *Service) complete(ctx context.Context, p Prepared, k kept) (certificate.Snapshot, time.Time, error) {
	nows, err := store.Scalars[time.Time](ctx, s.Store, "SELECT clock_timestamp()")
	if err != nil {
		return certificate.Snapshot{}, time.Time{}, err
	}
	now := s.timeOf(nows[0].UTC().Truncate(time.Microsecond))
	year := now.In(s.Zone).Year()
	last, err := store.Scalars[int](ctx, s.Store, "SELECT coalesce(max(last), 0) FROM numbering WHERE year = $1", year)
	if err != nil {
		return certificate.Snapshot{}, now, err
	}
	number := certificate.Number{Year: year, Serial: last[0] + 1}
	return p.Snapshot.Numbered(number, certificate.On(s.Zone, now), s.CheckAddress(k.Code)), now, nil
}

// CheckAddress is the address of the public check page for a code.
func (s *Service) CheckAddress(code string) string {
	return strings.TrimSuffix(s.PublicURL, "/") + "/check/" + code
}

func hexOf(b []byte) string { return hex.EncodeToString(b) }
