package kit

import (
	"time"

	"rillmark/domain"
)

// MostMembers bounds the items of a set, and those booked for one visit.
const MostMembers = 60

// Set is equipment that travels together. Members are those of the present, in the order
// of their ids.
type Set struct {
	ID        domain.EquipmentSetID `db:"id"`
	Name      string                `db:"name" audit:"text"`
	Members   []string              `db:"members" audit:"text"` // ids of items
	Version   int64                 `db:"version"`
	CreatedAt time.Time             `db:"created_at"`
	ChangedAt time.Time             `db:"changed_at"`
}

// SetTexts is a set as typed: its name and the ids of its items.
type SetTexts struct {
	Name    string   `json:"name" form:"name"`
	Members []string `json:"members" form:"members"`
}

// Read puts what was typed into the set and returns every problem, keyed by field. That
// the items exist, and are in no other set, is not known here.
func (s Set) Read(t SetTexts) (Set, error) {
	var check domain.Check
	s.Name = domain.Line(t.Name)
	check.Line("name", s.Name, 100, true)
	s.Members = domain.IDTexts[domain.KitKind](&check, "members", t.Members, MostMembers)
	return s, check.Err()
}
