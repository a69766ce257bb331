// Package tracing keeps what loggers wrote at a task: the file as it came, the series
// decoded from it under a column map that a person confirmed, how the clocks of reference
// and meter were aligned, and which steady stretches became runs of the work sheet or were
// set aside. Rows are added, never changed; a later decision is a new row.
//
// It is a room of capture's: a stretch becomes a run under the sheet's own rules. Not here:
// reading files (service/logfile), the comparison itself (calc/trace) and what follows from
// a run (domain/evaluation); the command line's "calc align" uses the same two.
package tracing

import (
	"context"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/service/capture"
	"rillmark/service/store"
)

// The limits. Each has its sentence.
const (
	MaxFile     = 1 << 30  // bytes of an uploaded file
	MaxPreview  = 64 << 20 // bytes of a file that is read whole before it is confirmed
	MaxCompared = 2 << 20  // points of a channel that are compared at a time
)

// Config is what the service needs.
type Config struct {
	Store   *store.Store
	IDs     domain.IDs
	Capture *capture.Service
}

// Service keeps loggers' files and what was made of them.
type Service struct {
	store   *store.Store
	ids     domain.IDs
	capture *capture.Service
}

// New makes the service.
func New(c Config) *Service { return &Service{store: c.Store, ids: c.IDs, capture: c.Capture} }

// zoneOf is the time zone of the site where the task is.
func (s *Service) zoneOf(ctx context.Context, q store.Querier, task domain.TaskID) (string, error) {
	zone, err := store.Scalars[string](ctx, q, `SELECT s.time_zone FROM task t JOIN measuring_point p ON p.id = t.point_id
		JOIN site s ON s.id = p.site_id WHERE t.id = $1`, task)
	if err == nil && len(zone) == 0 {
		err = domain.Refuse(domain.NotFound, domain.NoSuchThing.At("", "task"))
	}
	if err != nil {
		return "", err
	}
	return zone[0], nil
}

// see guards every query.
func see(a access.Actor) error { return access.May(a, access.SeeSheet) }
