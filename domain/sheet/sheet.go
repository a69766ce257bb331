// Package sheet holds the work sheet of a task: what was observed at the pipe. Survey
// values, mountings, checks, runs and their readings, adjustments and notes are rows that
// stay as they were captured; a correction is a new row that names the old one and says
// why. From the rows the package derives which value is in force, which runs count, how
// far the task has come and what is still missing.
//
// Not here: what follows from the observations (domain/evaluation, calc), the rules of a
// method (domain/method), and keeping the rows. Steps are facts, not gates: nothing here
// refuses an observation because another one is missing. Values are in SI units, beside
// the text as entered. The package follows no standard.
package sheet

import (
	"slices"

	"rillmark/domain"
)

// Sheet is every row of one task's work sheet, in any order.
type Sheet struct {
	Survey      []SurveyValue `json:"survey"`
	Mountings   []Mounting    `json:"mountings"`
	SetupChecks []SetupCheck  `json:"setup_checks"`
	ZeroChecks  []ZeroCheck   `json:"zero_checks"`
	Plans       []RunPlan     `json:"plans"`
	Runs        []Run         `json:"runs"`
	Readings    []Reading     `json:"readings"`
	SetAsides   []SetAside    `json:"set_asides"`
	Controls    []ControlNote `json:"control_notes"`
	Adjustments []Adjustment  `json:"adjustments"`
	Notes       []TaskNote    `json:"notes"`
}

// Phase says whether something belongs before or after the adjustment. The zero value is
// neither.
type Phase string

// The phases: as found and as left.
const (
	Before Phase = "before"
	After  Phase = "after"
)

// Phases are both, in the order of the work.
var Phases = []Phase{Before, After}

// Known reports whether p is one of Phases.
func (p Phase) Known() bool { return slices.Contains(Phases, p) }

// Plan returns the plan of the phase, and whether there is one.
func (s Sheet) Plan(p Phase) (RunPlan, bool) {
	for _, plan := range s.Plans {
		if plan.Phase == p {
			return plan, true
		}
	}
	return RunPlan{}, false
}

// Mounting returns the mounting of the id, and whether there is one.
func (s Sheet) Mounting(id domain.MountingID) (Mounting, bool) {
	for _, m := range s.Mountings {
		if m.ID == id {
			return m, true
		}
	}
	return Mounting{}, false
}

// Rows is how many rows the sheet has, as the database counts them: what an indication
// showed at a reading is one of its own.
func (s Sheet) Rows() int64 {
	n := len(s.Survey) + len(s.Mountings) + len(s.SetupChecks) + len(s.ZeroChecks) + len(s.Plans) + len(s.Runs) + len(s.Readings) +
		len(s.SetAsides) + len(s.Controls) + len(s.Adjustments) + len(s.Notes)
	for _, r := range s.Readings {
		n += len(r.Indications)
	}
	return int64(n)
}
