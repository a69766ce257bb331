package capture

import (
	"time"

	"github.com/google/uuid"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/sheet"
)

// standIn is a stamp that passes every check, for checking a row before the transaction
// gives it its own.
var standIn = sheet.Stamp{By: domain.PersonID{UUID: uuid.MustParse("00000000-0000-7000-8000-000000000001")}, CapturedAt: time.Unix(0, 0).UTC()}

// renamed gives the faults of one field to another: the page's field holds what the row
// calls otherwise.
func renamed(err error, from, to string) error {
	faults := fault.AllOf(err)
	if len(faults) == 0 {
		return err
	}
	for i, f := range faults {
		if f.Field == from {
			faults[i] = f.In(to)
		}
	}
	return &domain.Error{Kind: domain.KindOf(err), Faults: faults}
}
