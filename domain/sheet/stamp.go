package sheet

import (
	"bytes"
	"cmp"
	"time"

	"rillmark/domain"
)

// Stamp says whose a row is, who captured it and when: by the device's clock and, where
// the row is kept already, by the database's. A service fills in client, task and
// ReceivedAt; they are no part of what was observed.
type Stamp struct {
	ClientID   domain.ClientID `db:"client_id" json:"-"`
	TaskID     domain.TaskID   `db:"task_id" json:"-"`
	By         domain.PersonID `db:"by" json:"by"`
	CapturedAt time.Time       `db:"captured_at" json:"captured_at"`
	ReceivedAt time.Time       `db:"received_at" json:"-"`
}

// validate checks what every row must say.
func (s Stamp) validate(check *domain.Check) {
	if !s.By.Valid() {
		check.Add(domain.Required.At("by"))
	}
	if s.CapturedAt.IsZero() {
		check.Add(domain.Required.At("captured_at"))
	}
}

// order puts rows in the order in which they were captured; ids, which hold the time of
// their making, part those of one instant.
func order[K any](aAt, bAt time.Time, a, b domain.ID[K]) int {
	return cmp.Or(aAt.Compare(bAt), bytes.Compare(a.UUID[:], b.UUID[:]))
}
