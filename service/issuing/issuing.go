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
	IDs       domain.IDs
	Random    io.Reader
	Zone      *time.Location // the company's: of years and dates of issue; nil: UTC
	Company   certificate.Party
	Program   string // name and version, printed
	Version   string
	PublicURL string // where the check page is reached
	Layout    string // edition of the layout that new snapshots name

	// Facts reads a task's facts as they stand.
	Facts func(context.Context, access.Actor, domain.TaskID) (evaluation.Facts, error)
	// Say is the sentence of a code in the document's language.
	Say func(fault.Fault) string
	// Render makes a snapshot's document.
	Render func(certificate.Snapshot) ([]byte, error)
}

// Service judges and issues.
type Service struct {
	Config
	turn chan struct{} // one renders with the next number at a time; the database decides
}

// New makes the service.
func New(c Config) *Service {
	if c.Zone == nil {
		c.Zone = time.UTC
	}
	return &Service{Config: c, turn: make(chan struct{}, 1)}
}

// Written is the outcome of a command: the row that was written.
type Written struct {
	ID string `json:"id"`
}
