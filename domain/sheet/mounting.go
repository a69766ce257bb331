package sheet

import (
	"slices"

	"rillmark/domain"
)

// Mounting is transducers placed once.
type Mounting struct {
	ID             domain.MountingID `db:"id" json:"id"`
	Number         int               `db:"number" json:"number"`
	ReferenceID    domain.KitID      `db:"reference_id" json:"reference_id"`
	PairID         domain.KitID      `db:"pair_id" json:"pair_id"`
	CableID        *domain.KitID     `db:"cable_id" json:"cable_id,omitempty"`
	TapeID         *domain.KitID     `db:"tape_id" json:"tape_id,omitempty"`
	Traverses      int               `db:"traverses" json:"traverses"`
	ClockPosition  string            `db:"clock_position" json:"clock_position,omitempty"`
	Recommended    *float64          `db:"recommended" json:"recommended,omitempty"` // spacing, m; nil: nothing was recommended
	Spacing        float64           `db:"spacing" json:"spacing"`                   // as actually set, m; negative: they overlap
	SpacingEntered string            `db:"spacing_entered" json:"spacing_entered"`
	Basis          string            `db:"basis" json:"basis,omitempty"` // canonical JSON of what Recommended was computed from
	Note           string            `db:"note" json:"note,omitempty"`
	Stamp
}

// Validate returns every problem of the row, keyed by field.
func (m Mounting) Validate() error {
	var check domain.Check
	m.Stamp.validate(&check)
	atLeastOne(&check, "number", m.Number)
	if !m.ReferenceID.Valid() {
		check.Add(domain.Required.At("reference_id"))
	}
	if !m.PairID.Valid() {
		check.Add(domain.Required.At("pair_id"))
	}
	between(&check, "traverses", m.Traverses, 1, 20)
	check.Line("clock_position", m.ClockPosition, 40, false)
	number(&check, "recommended", m.Recommended)
	number(&check, "spacing", &m.Spacing)
	check.Line("spacing_entered", m.SpacingEntered, 120, true)
	check.Line("note", m.Note, 1000, false)
	if len(m.Basis) > 20000 {
		check.Add(domain.TooLong.At("basis", 20000, len(m.Basis)))
	}
	return check.Err()
}

// Superseded reports whether nothing rests on a mounting and another came after it: it was
// taken down without a run that is used. It stays in the record, and asks for nothing.
func (s Sheet) Superseded(m Mounting) bool {
	if !slices.ContainsFunc(s.Mountings, func(other Mounting) bool { return other.Number > m.Number }) {
		return false
	}
	x := s.index()
	return !slices.ContainsFunc(s.Runs, func(r Run) bool { return r.MountingID == m.ID && x.aside(r.ID, nil) == nil })
}
