package domain

import (
	"github.com/google/uuid"

	"rillmark/calc/fault"
)

// ID is the identifier of one kind of thing: a UUIDv7 made where the thing is made. The
// marker K keeps a site's id from being passed for a client's. The zero value is
// invalid and names nothing.
type ID[K any] struct{ uuid.UUID }

// The markers of the kinds of things; they have no values of use.
type (
	ClientKind    struct{}
	SiteKind      struct{}
	PointKind     struct{}
	PersonKind    struct{}
	SessionKind   struct{}
	OperationKind struct{}
	EntryKind     struct{}
)

// The identifiers by what they name.
type (
	ClientID    = ID[ClientKind]
	SiteID      = ID[SiteKind]
	PointID     = ID[PointKind]
	PersonID    = ID[PersonKind]
	SessionID   = ID[SessionKind]
	OperationID = ID[OperationKind]
	EntryID     = ID[EntryKind] // a form kept at an ended session
)

// NotAnID says that a text is no identifier.
var NotAnID = fault.Define("id.malformed")

// ParseID reads an identifier in its usual text form. Only UUIDs of version 7 are taken.
func ParseID[K any](text string) (ID[K], error) {
	u, err := uuid.Parse(text)
	if err != nil || len(text) != 36 {
		return ID[K]{}, NotAnID.At("id")
	}
	id := ID[K]{u}
	if !id.Valid() {
		return ID[K]{}, NotAnID.At("id")
	}
	return id, nil
}

// Valid reports whether the id is a UUID of version 7.
func (id ID[K]) Valid() bool { return id.UUID.Version() == 7 && id.UUID.Variant() == uuid.RFC4122 }

// IDs makes identifiers; cmd passes one in that reads the clock and the randomness.
type IDs func() uuid.UUID

// NewID makes an identifier of the kind K.
func NewID[K any](ids IDs) ID[K] { return ID[K]{ids()} }
