// Package equipment keeps the company's measuring equipment: items, their calibrations
// with points and document, and the sets that travel together. Items are never deleted
// but taken out of service; calibrations are immutable, and a later one does not shorten
// an earlier. Whether a calibration may carry a result is domain/kit's to say; bookings
// are those of visits, in service/planning.
package equipment

import (
	"time"

	"rillmark/service/store"
)

// Service keeps the equipment. Make it with New.
type Service struct {
	store *store.Store
	zone  *time.Location
}

// New makes the service; zone is the company's, in which dates of validity begin and end.
func New(s *store.Store, zone *time.Location) *Service { return &Service{store: s, zone: zone} }

// Written is the outcome of a command.
type Written = store.Written

// Filter says which part of a list is wanted.
type Filter = store.Filter

// Page is one part of a list, in order.
type Page[T any] = store.Page[T]
