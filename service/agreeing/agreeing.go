// Package agreeing keeps what is settled before measuring: the company's methods in
// editions, who is authorised for them, and what is agreed with the client for a measuring
// point. An edition is frozen once an agreement names it; agreements are immutable, and a
// later one names the earlier and the client's consent. What a method or an agreement may
// say is domain/method's.
package agreeing

import (
	"time"

	"rillmark/service/store"
)

// Service keeps methods and agreements. Make it with New.
type Service struct {
	store *store.Store
	zone  *time.Location
}

// New makes the service; zone is the company's, in which dates begin and end.
func New(s *store.Store, zone *time.Location) *Service { return &Service{store: s, zone: zone} }

// Written is the outcome of a command.
type Written = store.Written

// Filter says which part of a list is wanted.
type Filter = store.Filter

// Page is one part of a list, in order.
type Page[T any] = store.Page[T]
