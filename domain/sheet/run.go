package sheet

import (
	"slices"

	"rillmark/domain"
)

// RunPlan is the number and length of the runs of a phase, fixed before the first. Extra
// runs are added, never substituted.
type RunPlan struct {
	ID         domain.RunPlanID `db:"id" json:"id"`
	Phase      Phase            `db:"phase" json:"phase"`
	FlowPoints int              `db:"flow_points" json:"flow_points"`
	Runs       int              `db:"runs" json:"runs"`               // at each flow point
	Seconds    float64          `db:"seconds" json:"seconds"`         // of each run
	Interval   float64          `db:"interval_s" json:"interval_s"`   // s between readings
	Averaging  float64          `db:"averaging_s" json:"averaging_s"` // s over which each reading is averaged; 0: not averaged or not known
	Stamp
}

// Validate returns every problem of the row, keyed by field.
func (p RunPlan) Validate() error {
	var check domain.Check
	p.Stamp.validate(&check)
	phase(&check, "phase", p.Phase)
	between(&check, "flow_points", p.FlowPoints, 1, 30)
	between(&check, "runs", p.Runs, 1, 50)
	positive(&check, "seconds", &p.Seconds)
	positive(&check, "interval_s", &p.Interval)
	notNegative(&check, "averaging_s", &p.Averaging)
	return check.Err()
}

// Run is readings of reference and meter over one steady flow.
type Run struct {
	ID         domain.RunID      `db:"id" json:"id"`
	MountingID domain.MountingID `db:"mounting_id" json:"mounting_id"`
	Phase      Phase             `db:"phase" json:"phase"`
	Number     int               `db:"number" json:"number"` // from 1, within the phase
	FlowPoint  int               `db:"flow_point" json:"flow_point"`
	Note       string            `db:"note" json:"note,omitempty"`
	// Interval and Averaging are those of readings that come from loggers' files, s: both or
	// neither. Without them the plan's hold.
	Interval  *float64 `db:"interval_s" json:"interval_s,omitempty"`
	Averaging *float64 `db:"averaging_s" json:"averaging_s,omitempty"`
	Stamp
}

// Validate returns every problem of the row, keyed by field.
func (r Run) Validate() error {
	var check domain.Check
	r.Stamp.validate(&check)
	if !r.MountingID.Valid() {
		check.Add(domain.Required.At("mounting_id"))
	}
	phase(&check, "phase", r.Phase)
	atLeastOne(&check, "number", r.Number)
	atLeastOne(&check, "flow_point", r.FlowPoint)
	check.Line("note", r.Note, 1000, false)
	if (r.Interval == nil) != (r.Averaging == nil) {
		check.Add(domain.Required.At("averaging_s"))
	}
	positive(&check, "interval_s", r.Interval)
	notNegative(&check, "averaging_s", r.Averaging)
	return check.Err()
}

// Reading is one reading of the reference, with what the meter's indications showed then.
type Reading struct {
	ID               domain.ReadingID  `db:"id" json:"id"`
	RunID            domain.RunID      `db:"run_id" json:"run_id"`
	Number           int               `db:"number" json:"number"`       // from 1, within the run
	Reference        float64           `db:"reference" json:"reference"` // m³/s
	ReferenceEntered string            `db:"reference_entered" json:"reference_entered"`
	Indications      []Shown           `db:"-" json:"indications"`
	Corrects         *domain.ReadingID `db:"corrects" json:"corrects,omitempty"`
	Reason           string            `db:"reason" json:"reason,omitempty"`
	Stamp
}

// Shown is what one indication of the meter showed at a reading.
type Shown struct {
	IndicationID domain.IndicationID `db:"indication_id" json:"indication_id"`
	Value        float64             `db:"value" json:"value"` // m³/s, after scaling
	Entered      string              `db:"entered" json:"entered"`
}

// Validate returns every problem of the reading, keyed by field.
func (r Reading) Validate() error {
	var check domain.Check
	r.Stamp.validate(&check)
	if !r.RunID.Valid() {
		check.Add(domain.Required.At("run_id"))
	}
	atLeastOne(&check, "number", r.Number)
	number(&check, "reference", &r.Reference)
	check.Line("reference_entered", r.ReferenceEntered, 120, true)
	check.Lines("reason", r.Reason, 1000, r.Corrects != nil)
	if len(r.Indications) == 0 {
		check.Add(domain.Required.At("indications"))
	}
	for i, shown := range r.Indications {
		shown.validate(&check, r.Indications[:i])
	}
	return check.Err()
}

// validate checks one indication against those before it. The field's name is made only
// where something is wrong: a sheet has thousands of readings.
func (s Shown) validate(check *domain.Check, before []Shown) {
	var own domain.Check
	number(&own, "", &s.Value)
	own.Line(".entered", s.Entered, 120, true)
	if slices.ContainsFunc(before, func(b Shown) bool { return b.IndicationID == s.IndicationID }) {
		own.Add(IndicationTwice.At(""))
	}
	for _, f := range own.Faults {
		check.Add(f.In("indications." + s.IndicationID.String() + f.Field))
	}
}

// Of returns what the indication showed at the reading, and whether it was read.
func (r Reading) Of(id domain.IndicationID) (Shown, bool) {
	for _, shown := range r.Indications {
		if shown.IndicationID == id {
			return shown, true
		}
	}
	return Shown{}, false
}

// SetAside is a run, or one reading of it, set aside with a reason, or taken back in with
// one. The last row on a thing holds. What is set aside stays visible and counted.
type SetAside struct {
	ID        domain.SetAsideID `db:"id" json:"id"`
	RunID     domain.RunID      `db:"run_id" json:"run_id"`
	ReadingID *domain.ReadingID `db:"reading_id" json:"reading_id,omitempty"` // nil: the whole run
	TakenBack bool              `db:"taken_back" json:"taken_back"`
	Reason    string            `db:"reason" json:"reason"`
	Stamp
}

// Validate returns every problem of the row, keyed by field.
func (a SetAside) Validate() error {
	var check domain.Check
	a.Stamp.validate(&check)
	if !a.RunID.Valid() {
		check.Add(domain.Required.At("run_id"))
	}
	check.Lines("reason", a.Reason, 1000, true)
	return check.Err()
}
