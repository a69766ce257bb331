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
	personRow          series = 1
	personWrite        series = 2
	clientRow          series = 3
	clientWrite        series = 4
	siteRow            series = 5
	siteWrite          series = 6
	pointRow           series = 7
	pointWrite         series = 8
	meterRow           series = 9
	meterWrite         series = 10
	indicationRow      series = 11
	indicationWrite    series = 12
	installationRow    series = 13
	installationWrite  series = 14
	removalWrite       series = 15
	kitRow             series = 16
	kitWrite           series = 17
	calibrationRow     series = 18
	calibrationWrite   series = 19
	setRow             series = 20
	setWrite           series = 21
	methodRow          series = 22
	methodWrite        series = 23
	editionRow         series = 24
	editionWrite       series = 25
	authorisationRow   series = 26
	authorisationWrite series = 27
	agreementRow       series = 28
	agreementWrite     series = 29
	visitRow           series = 30
	visitWrite         series = 31
	stepWrite          series = 32
	sheetRow           series = 33
	sheetWrite         series = 34
	approvalRow        series = 35
	approvalWrite      series = 36
	preparationRow     series = 37
	preparationWrite   series = 38
	certificateRow     series = 39
	certificateWrite   series = 40
	withdrawalWrite    series = 41
	stretchRow         series = 42
)

// perThing leaves room between the parts of one thing and those of the next, as between a
// meter's indications or a sheet's rows.
const perThing = 1000

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

// operation returns the fixed operation id of the i-th write of a series.
func operation(s series, i int) domain.OperationID { return idOf[domain.OperationKind](s, i) }

// kitIDs, pointIDs and personIDs name things by their places in their lists.
func kitIDs(list []int) []domain.KitID       { return idsOf[domain.KitKind](kitRow, list) }
func pointIDs(list []int) []domain.PointID   { return idsOf[domain.PointKind](pointRow, list) }
func personIDs(list []int) []domain.PersonID { return idsOf[domain.PersonKind](personRow, list) }

func idsOf[K any](s series, list []int) []domain.ID[K] {
	ids := make([]domain.ID[K], len(list))
	for i, n := range list {
		ids[i] = idOf[K](s, n)
	}
	return ids
}
