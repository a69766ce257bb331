package sheet

import (
	"slices"

	"rillmark/domain"
)

// ControlKind says what a control note tells. The zero value is none.
type ControlKind string

// The kinds of control notes.
const (
	Inhibited         ControlKind = "inhibited" // put in manual, or its action inhibited
	Restored          ControlKind = "restored"
	NothingControlled ControlKind = "nothing-controlled"
)

// ControlKinds are all.
var ControlKinds = []ControlKind{Inhibited, Restored, NothingControlled}

// ControlNote is what the meter's signal controls, who inhibited it, and who restored it.
type ControlNote struct {
	ID     domain.ControlNoteID `db:"id" json:"id"`
	Kind   ControlKind          `db:"kind" json:"kind"`
	What   string               `db:"what" json:"what,omitempty"`
	DoneBy string               `db:"done_by" json:"done_by,omitempty"`
	Stamp
}

// Validate returns every problem of the row, keyed by field.
func (n ControlNote) Validate() error {
	var check domain.Check
	n.Stamp.validate(&check)
	if n.Kind == "" {
		check.Add(domain.Required.At("kind"))
	} else if !slices.Contains(ControlKinds, n.Kind) {
		check.Add(UnknownChoice.At("kind", string(n.Kind)))
	}
	must := n.Kind != NothingControlled
	check.Lines("what", n.What, 1000, must)
	check.Line("done_by", n.DoneBy, 200, must)
	return check.Err()
}

// NoteKind says what a person says of a task. The zero value is none.
type NoteKind string

// The kinds of task notes.
const (
	NotAdjusted NoteKind = "not-adjusted" // as left = as found
	NotPossible NoteKind = "not-possible"
	PartlyDone  NoteKind = "partly-done"
	Finished    NoteKind = "finished"
	Deviation   NoteKind = "deviation" // from the method; printed
	Condition   NoteKind = "condition" // of meter or place; printed
	SentBack    NoteKind = "sent-back"
)

// Closes reports whether the note says how the work on site ended.
func (k NoteKind) Closes() bool { return k == Finished || k == PartlyDone || k == NotPossible }

// LastWords are the kinds of which the last on a task says how its work stands: how it ended
// on site, or that it was sent back.
var LastWords = []NoteKind{Finished, PartlyDone, NotPossible, SentBack}

// NoteKinds are all.
var NoteKinds = []NoteKind{NotAdjusted, NotPossible, PartlyDone, Finished, Deviation, Condition, SentBack}

// TaskNote is what a person says of a task, with the reason.
type TaskNote struct {
	ID   domain.TaskNoteID `db:"id" json:"id"`
	Kind NoteKind          `db:"kind" json:"kind"`
	Text string            `db:"text" json:"text"`
	Stamp
}

// Validate returns every problem of the row, keyed by field.
func (n TaskNote) Validate() error {
	var check domain.Check
	n.Stamp.validate(&check)
	if !slices.Contains(NoteKinds, n.Kind) {
		check.Add(UnknownChoice.At("kind", string(n.Kind)))
	}
	check.Lines("text", n.Text, 2000, true)
	return check.Err()
}
