package issuing

import (
	"context"
	"crypto/sha256"
	"strings"
	"time"

	"rillmark/domain"
	"rillmark/service/store"
)

// Checked is what anyone who holds a certificate's code may know of it. Client, Point,
// Meter and Verdict are empty where the client did not agree to show them.
type Checked struct {
	numbered
	IssuedAt       time.Time  `db:"issued_at"`
	Zone           string     `db:"zone"`
	Status         string     `db:"status"` // issued, superseded, withdrawn
	Since          *time.Time `db:"since"`  // of the status, unless issued
	Reason         string     `db:"reason"` // of a withdrawal
	ReplacedYear   *int       `db:"replaced_year"`
	ReplacedSerial *int       `db:"replaced_serial"`
	Document       []byte     `db:"document"` // SHA-256 of the PDF
	Client         string     `db:"client_name"`
	Point          string     `db:"point_name"`
	Meter          string     `db:"meter_name"`
	Verdict        string     `db:"verdict"`
}

// Replaced is the number of the certificate that stands in its place, as printed; empty: none.
func (c Checked) Replaced() string {
	if c.ReplacedYear == nil || c.ReplacedSerial == nil {
		return ""
	}
	return numbered{*c.ReplacedYear, *c.ReplacedSerial}.Number().String()
}

// Check answers the public: which certificate has the code, and how does it stand. A code
// of another form and one that names nothing have the same answer.
//
// Errors: NotFound with CodeUnknown.
func (s *Service) Check(ctx context.Context, code string) (Checked, error) {
	sum := sha256.Sum256([]byte(tidyCode(code)))
	db := s.Portal
	if db == nil {
		db = s.Store
	}
	rows, err := store.Rows[Checked](ctx, db, `SELECT year, serial, issued_at, zone, status, since, reason, replaced_year, replaced_serial, document,
		client_name, point_name, meter_name, verdict FROM check_certificate($1)`, sum[:])
	if err != nil {
		return Checked{}, domain.Wrap("check", err)
	}
	if len(rows) == 0 {
		return Checked{}, domain.Refuse(domain.NotFound, CodeUnknown.At("code"))
	}
	return rows[0], nil
}

// tidyCode takes a code as people copy it: in capitals, in groups, with the spaces between.
func tidyCode(code string) string {
	return strings.ToLower(strings.NewReplacer(" ", "", "-", "", "\u00a0", "").Replace(domain.Line(code)))
}
