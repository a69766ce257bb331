package sheet

import (
	"cmp"
	"slices"

	"rillmark/domain"
)

// AdjustmentKind says how a parameter acts on the indication. The zero value is none.
type AdjustmentKind string

// The kinds of parameters.
const (
	Multiplier      AdjustmentKind = "multiplier"        // the indication goes with it
	PulsesPerVolume AdjustmentKind = "pulses-per-volume" // the indication goes against it
	Zero            AdjustmentKind = "zero"
	Span            AdjustmentKind = "span"
	Other           AdjustmentKind = "other"
)

// AdjustmentKinds are all.
var AdjustmentKinds = []AdjustmentKind{Multiplier, PulsesPerVolume, Zero, Span, Other}

// Adjustment is one parameter of the meter changed.
type Adjustment struct {
	ID           domain.AdjustmentID  `db:"id" json:"id"`
	Number       int                  `db:"number" json:"number"`
	IndicationID *domain.IndicationID `db:"indication_id" json:"indication_id,omitempty"` // nil: it acts on all
	Parameter    string               `db:"parameter" json:"parameter"`
	Kind         AdjustmentKind       `db:"kind" json:"kind"`
	OldEntered   string               `db:"old_entered" json:"old_entered"`
	NewEntered   string               `db:"new_entered" json:"new_entered"`
	OldValue     *float64             `db:"old_value" json:"old_value,omitempty"`
	NewValue     *float64             `db:"new_value" json:"new_value,omitempty"`
	Permission   string               `db:"permission" json:"permission"` // whose
	SealBefore   string               `db:"seal_before" json:"seal_before,omitempty"`
	SealAfter    string               `db:"seal_after" json:"seal_after,omitempty"`
	Reason       string               `db:"reason" json:"reason"`
	Corrects     *domain.AdjustmentID `db:"corrects" json:"corrects,omitempty"` // the row that was mistyped
	Stamp
}

// Validate returns every problem of the row, keyed by field.
func (a Adjustment) Validate() error {
	var check domain.Check
	a.Stamp.validate(&check)
	atLeastOne(&check, "number", a.Number)
	check.Line("parameter", a.Parameter, 100, true)
	if !slices.Contains(AdjustmentKinds, a.Kind) {
		check.Add(UnknownChoice.At("kind", string(a.Kind)))
	}
	check.Line("old_entered", a.OldEntered, 100, true)
	check.Line("new_entered", a.NewEntered, 100, true)
	number(&check, "old_value", a.OldValue)
	number(&check, "new_value", a.NewValue)
	check.Line("permission", a.Permission, 200, true)
	check.Line("seal_before", a.SealBefore, 60, false)
	check.Line("seal_after", a.SealAfter, 60, false)
	check.Lines("reason", a.Reason, 1000, true)
	return check.Err()
}

// Factor returns by what the change multiplies the indication, and whether the row tells:
// new/old of a multiplier, old/new of pulses per volume.
func (a Adjustment) Factor() (float64, bool) {
	if a.OldValue == nil || a.NewValue == nil || *a.OldValue == 0 || *a.NewValue == 0 {
		return 0, false
	}
	switch a.Kind {
	case Multiplier:
		return *a.NewValue / *a.OldValue, true
	case PulsesPerVolume:
		return *a.OldValue / *a.NewValue, true
	}
	return 0, false
}

// AdjustmentsInForce returns the adjustments without those that were mistyped, by number. A
// row that corrects another has that one's number, and its time: the adjustment was made
// once.
func (s Sheet) AdjustmentsInForce() []Adjustment {
	first, corrected := map[domain.AdjustmentID]Adjustment{}, map[domain.AdjustmentID]bool{}
	var held []Adjustment
	for _, a := range byNumber(s.Adjustments) { // a correction's number is the higher one
		if a.Corrects != nil {
			was := first[*a.Corrects]
			corrected[*a.Corrects] = true
			a.Number, a.CapturedAt = was.Number, was.CapturedAt
		}
		first[a.ID] = a
		held = append(held, a)
	}
	held = slices.DeleteFunc(held, func(a Adjustment) bool { return corrected[a.ID] })
	return byNumber(held)
}

func byNumber(rows []Adjustment) []Adjustment {
	return slices.SortedStableFunc(slices.Values(rows), func(a, b Adjustment) int { return cmp.Compare(a.Number, b.Number) })
}
