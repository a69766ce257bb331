package sheet

import (
	"slices"

	"rillmark/domain"
)

// Source says where a value comes from. The zero value is none.
type Source string

// The sources, best first.
const (
	Measured  Source = "measured"  // by us, on the day
	Standard  Source = "standard"  // from a product standard or a table of the method
	Nameplate Source = "nameplate" // read from a plate or a marking
	Client    Source = "client"    // supplied by the client; printed as such
	Assumed   Source = "assumed"   // by us, for want of better; printed as such
)

// Sources are all, best first.
var Sources = []Source{Measured, Standard, Nameplate, Client, Assumed}

// Known reports whether s is one of Sources.
func (s Source) Known() bool { return slices.Contains(Sources, s) }

// SurveyValue is one value of the pipe survey as of the day.
type SurveyValue struct {
	ID       domain.SurveyValueID  `db:"id" json:"id"`
	Name     Name                  `db:"name" json:"name"`
	Position string                `db:"position" json:"position,omitempty"` // clock position or direction; empty where there is one
	Value    *float64              `db:"value" json:"value"`                 // SI; nil for a text or a choice
	Entered  string                `db:"entered" json:"entered"`
	Source   Source                `db:"source" json:"source"`
	KitID    *domain.KitID         `db:"kit_id" json:"kit_id,omitempty"` // the instrument of a measured value
	Corrects *domain.SurveyValueID `db:"corrects" json:"corrects,omitempty"`
	Reason   string                `db:"reason" json:"reason,omitempty"`
	Stamp
}

// Validate returns every problem of the row, keyed by field. A value that is physically
// possible is accepted, however unlikely; doubts are said elsewhere.
func (v SurveyValue) Validate() error {
	var check domain.Check
	v.Stamp.validate(&check)
	check.Lines("entered", v.Entered, 1000, true)
	check.Line("position", v.Position, 60, false)
	check.Lines("reason", v.Reason, 1000, v.Corrects != nil)
	if !v.Source.Known() {
		check.Add(UnknownSource.At("source", string(v.Source)))
	}
	if v.KitID != nil && v.Source != Measured {
		check.Add(InstrumentUnused.At("kit_id"))
	}
	v.validateValue(&check)
	return check.Err()
}

func (v SurveyValue) validateValue(check *domain.Check) {
	about, known := About(v.Name)
	switch {
	case !known:
		check.Add(UnknownName.At("name", string(v.Name)))
	case about.Kind == KindText || about.Kind == KindChoice:
		if v.Value != nil {
			check.Add(NumberOfText.At("value", string(v.Name)))
		}
		if about.Kind == KindChoice && !slices.Contains(about.Choices, v.Entered) {
			check.Add(UnknownChoice.At("entered", v.Entered))
		}
	case v.Value == nil:
		check.Add(domain.Required.At("value"))
	case !finite(*v.Value):
		check.Add(NotFinite.At("value"))
	case *v.Value < about.Least || about.Positive && *v.Value <= 0:
		check.Add(OutOfRange.At("value", v.Entered))
	}
}
