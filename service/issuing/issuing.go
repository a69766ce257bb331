// Package issuing turns results into certificates: it lists what waits for judgement,
// keeps approvals and what was sent back, freezes snapshots, issues them under consecutive
// numbers with their documents, withdraws and re-issues, and answers the public check.
//
// Not here: the results (domain/evaluation), what a snapshot must hold (domain/certificate),
// drawing the document (service/document, which the caller passes in), and pages.
package issuing

import (
	"context"
	"io"
	"time"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/certificate"
	"rillmark/domain/evaluation"
	"rillmark/service/store"
)

// Config is what the service needs. Portal may be nil: then the store answers the public
// check, by the same function of the database.
type Config struct {
	Store     *store.Store
	Portal    *store.Store // under the portal's role: the public check
	Random    io.Reader
	Zone      *time.Location // the company's: of years and dates of issue; nil: UTC
	Company   certificate.Party
	Program   string // name and version, printed
	Version   string
	PublicURL string // where the check page is reached
	Layout    string // edition of the layout that new snapshots name

	// Facts reads a task's facts as they stand.
	Facts func(context.Context, access.Actor, domain.TaskID) (evaluation.Facts, error)
	// Traces reads the loggers' records from which runs of a task were taken, with flows in
	// the unit given and times in the zone; nil: there are none.
	Traces func(ctx context.Context, a access.Actor, task domain.TaskID, unit string, zone *time.Location) ([]certificate.Trace, error)
	// Say is the sentence of a code in the document's language.
	Say func(fault.Fault) string
	// Render makes a snapshot's document.
	Render func(certificate.Snapshot) ([]byte, error)
}

// Service judges and issues.
type Service struct {
	Config
	turn  chan struct{} // one renders with the next number at a time; the database decides
	dated time.Time     // zero: the database\'s time holds
}

// New makes the service.
func New(c Config) *Service {
	if c.Zone == nil {
		c.Zone = time.UTC
	}
	return &Service{Config: c, turn: make(chan struct{}, 1)}
}

// Dated is the service as it would approve and issue at another time than the database's:
// for the invented company, whose story begins before today. The audit trail tells when it was
// really written.
func (s *Service) Dated(at time.Time) *Service {
	other := *s
	other.dated = at.UTC().Truncate(time.Microsecond)
	return &other
}

// timeOf is the time at which something is stated, by the database's.
func (s *Service) timeOf(now time.Time) time.Time {
	if s.dated.IsZero() {
		return now
	}
	return s.dated
}

// Written is the outcome of a command: the row that was written.
type Written struct {
	ID string `json:"id"`
}
