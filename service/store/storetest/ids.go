package storetest

import (
	"encoding/binary"
	"sync/atomic"

	"github.com/google/uuid"

	"rillmark/domain"
)

// made counts the ids of the process, so that those of two stores never meet.
var made atomic.Uint64

// firstInstant is the time inside the first id: 2026-01-05 08:00 UTC, in milliseconds.
const firstInstant = 1767600000000

// IDs makes UUIDs of version 7 that are the same in each run: a later one sorts later.
func IDs() domain.IDs { return nextID }

func nextID() uuid.UUID {
	n := made.Add(1)
	var id uuid.UUID
	binary.BigEndian.PutUint64(id[:8], (firstInstant+n)<<16)
	binary.BigEndian.PutUint64(id[8:], n)
	id[6] = 0x70
	id[8] = 0x80
	return id
}

// Operation makes an operation id.
func Operation() domain.OperationID { return domain.NewID[domain.OperationKind](nextID) }
