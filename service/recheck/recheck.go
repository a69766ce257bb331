// Package recheck looks whether everything that was stated is still as it was: files
// against their hashes, certificate numbers without gaps, the chain of the audit trail,
// the rows of the work sheets against the facts that were evaluated, and each issued
// result against the same facts evaluated again. It reads and reports; it mends nothing,
// and needs no more than the reading role.
//
// Not here: who is told, and what is done about it. The package follows no standard; that
// calculations and records are checked systematically is ISO/IEC 17025:2017, 7.11.6 and
// 8.4 (from memory).
package recheck

import (
	"context"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/certificate"
	"rillmark/domain/evaluation"
	"rillmark/service/store"
)

// Config is what the check needs.
type Config struct {
	Store *store.Store // under the reading role
	// Observed reads again what facts were read from and nobody may change: the work sheet,
	// the calibrations of the kit, and the agreement.
	Observed func(context.Context, evaluation.Facts) (evaluation.Facts, error)
	// Render draws a snapshot again; nil: documents are compared with their hashes alone.
	Render func(certificate.Snapshot) ([]byte, error)
	// Decoded decodes the file of a logged series again and says what differs from what is
	// kept; nil: series are not looked at.
	Decoded func(context.Context, domain.SeriesID) (*fault.Fault, error)
	Version string // of this program: only what it made itself is drawn again

	Report   func(Finding)               // is given each finding as soon as it is found
	Progress func(part string, done int) // may be nil
}

// Summary is what was looked at, and what came of it.
type Summary struct {
	Head         store.Head // of the trail: to be kept elsewhere and compared later
	Files        int
	Series       int // logged, decoded again from their files
	Rows         int // of work sheets, and of what was concluded from them
	Evaluations  int
	Certificates int
	Drawn        int // documents that were drawn again
	Same         int // issued results by what the evaluation of the same facts comes to now
	Digits       int // differ in digits that are not printed
	Printed      int // a printed value differs
	Verdict      int // a verdict differs
	Findings     int // remarks are not counted
}

// check is one check under way.
type check struct {
	Config
	sum Summary
}

// Run checks everything. An error says that the check could not go on; what is wrong with
// the records is reported.
func Run(ctx context.Context, config Config) (Summary, error) {
	c := &check{Config: config}
	for _, part := range []func(context.Context) error{c.trail, c.files, c.series, c.numbers, c.received, c.evaluations, c.certificates} {
		if err := part(ctx); err != nil {
			return c.sum, domain.Wrap("recheck", err)
		}
	}
	return c.sum, nil
}

func (c *check) progress(part string, done int) {
	if c.Progress != nil {
		c.Progress(part, done)
	}
}

// page is how many rows are read at once: the memory needed does not grow with the records.
const page = 500
