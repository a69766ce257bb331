package demo

import (
	"encoding/binary"

	"github.com/google/uuid"

	"rillmark/domain"
)

// series tells the ids of one table from those of another, and those of the rows from
// those of the writes. The numbers are for ever: a demo made by an earlier version of the
// program is found again by them.
type series uint16

const (
	personRow   series = 1
	personWrite series = 2
	clientRow   series = 3
	clientWrite series = 4
	siteRow     series = 5
	siteWrite   series = 6
	pointRow    series = 7
	pointWrite  series = 8
)

// opened is the time inside the ids: 2026-01-05 08:00 UTC, in milliseconds.
const opened = 1767600000000

// idOf returns the fixed UUID, of version 7, of the i-th thing of a series.
func idOf[K any](s series, i int) domain.ID[K] {
	var id uuid.UUID
	binary.BigEndian.PutUint64(id[:8], uint64(opened)<<16)
	binary.BigEndian.PutUint16(id[10:], uint16(s))
	binary.BigEndian.PutUint32(id[12:], uint32(i+1))
	id[6], id[8] = 0x70, 0x80
	return domain.ID[K]{UUID: id}
}
