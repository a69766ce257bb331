// Package registry keeps the standing facts: clients, sites and measuring points, meters
// with the ways in which they show their flow, and which meter was where from when to
// when, with the history of each. Listing is by keyset from the first version; every
// change names the version it was made on. Agreements, equipment and visits have services
// of their own.
package registry

import (
	"context"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/service/store"
)

// Service keeps the register.
type Service struct{ store *store.Store }

// New makes the service.
func New(s *store.Store) *Service { return &Service{store: s} }

// Written is the outcome of a command: which thing, in which version.
type Written = store.Written

// historyPage is how many events a page of history holds.
const historyPage = 50

// History returns the events about a thing, newest first, from before the given event
// number (0: from the newest).
func (s *Service) History(ctx context.Context, a access.Actor, about audit.Subject, before int64) ([]store.Entry, error) {
	if err := access.May(a, access.SeeRegister); err != nil {
		return nil, err
	}
	list, err := s.store.Trail(ctx, &about, before, historyPage)
	return list, domain.Wrap("history", err)
}
