// Package planning keeps visits: who goes where, when and with what, the tasks of each,
// and what happened to it. A double booking is named before anything is saved; Postgres
// holds the rule besides. Equipment that cannot carry results at the time of a visit is
// named, not refused: what is observed is kept all the same.
package planning

import (
	"context"
	"fmt"
	"time"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/audit"
	"rillmark/domain/visit"
	"rillmark/service/store"
)

// Codes of this package.
var (
	PersonBooked   = fault.Define("planning.person-booked", fault.T("name"), fault.T("site"), fault.T("from"), fault.T("until"))
	KitBooked      = fault.Define("planning.kit-booked", fault.T("tag"), fault.T("site"), fault.T("from"), fault.T("until"))
	PersonDisabled = fault.Define("planning.person-disabled", fault.T("name"))
	NoCrew         = fault.Define("planning.no-crew")
	NoPoint        = fault.Define("planning.no-point")
	NoMeterThere   = fault.Define("planning.no-meter-there", fault.T("tag"))
	NoAgreement    = fault.Define("planning.no-agreement", fault.T("tag"))
	OtherSite      = fault.Define("planning.point-of-other-site", fault.T("tag"))
	TaskThere      = fault.Define("planning.task-there", fault.T("tag"))
	TooMany        = fault.Define("planning.too-many", fault.C("limit"))
)

// mostAtOnce bounds the people, the kit and the points of one visit.
const mostAtOnce = 40

// Config is what the service needs from outside.
type Config struct {
	Store *store.Store
	IDs   domain.IDs
}

// Service plans.
type Service struct {
	store *store.Store
	ids   domain.IDs
}

// New makes the service.
func New(c Config) *Service { return &Service{store: c.Store, ids: c.IDs} }

// Written is the outcome of a command: which visit, in which version.
type Written struct {
	ID      string `json:"id"`
	Version int64  `json:"version,string"`
}

const visitColumns = `v.id, v.client_id, v.site_id, lower(v.during) AS starts_at, upper(v.during) AS ends_at,
	v.note, v.version, v.created_at, v.changed_at`

func findVisit(ctx context.Context, q store.Querier, id domain.VisitID, lock string) (visit.Visit, error) {
	return store.Row[visit.Visit](ctx, q, "visit", "SELECT "+visitColumns+" FROM visit v WHERE v.id = $1"+lock, id)
}

// place is a site as a visit needs it.
type place struct {
	ClientID domain.ClientID `db:"client_id"`
	Name     string          `db:"name"`
	TimeZone string          `db:"time_zone"`
}

func (s *Service) placeOf(ctx context.Context, q store.Querier, id domain.SiteID) (place, *time.Location, error) {
	p, err := store.Row[place](ctx, q, "site", "SELECT client_id, name, time_zone FROM site WHERE id = $1", id)
	if err != nil {
		return p, nil, err
	}
	zone, err := time.LoadLocation(p.TimeZone)
	if err != nil {
		return p, nil, fmt.Errorf("planning: site %s: %w", id, err)
	}
	return p, zone, nil
}

// stateOf derives the state from the last step.
func stateOf(ctx context.Context, q store.Querier, id domain.VisitID) (visit.State, error) {
	last, err := store.Scalars[string](ctx, q, "SELECT step FROM visit_step WHERE visit_id = $1 ORDER BY at DESC, id DESC LIMIT 1", id)
	if err != nil || len(last) == 0 {
		return visit.Planned, err
	}
	return visit.StateAfter(visit.Step(last[0])), nil
}

func written(tx *store.Tx, before any, v visit.Visit) Written {
	tx.Changed(audit.Visit, v.ID, v.Version, before, v)
	tx.Concerns(audit.Site, v.SiteID)
	tx.Concerns(audit.Client, v.ClientID)
	return Written{v.ID.String(), v.Version}
}
