package sheet_test

import (
	"slices"
	"testing"

	"rillmark/domain"
	"rillmark/domain/sheet"
)

func note(n byte, kind sheet.NoteKind, minute int) sheet.TaskNote {
	return sheet.TaskNote{ID: made[domain.TaskNoteKind](n), Kind: kind, Text: "so it is", Stamp: stamped(minute)}
}

func TestState(t *testing.T) {
	for _, c := range []struct {
		name  string
		notes []sheet.TaskNote
		begun bool
		want  sheet.State
	}{
		{"nothing", nil, false, sheet.NotStarted},
		{"a run", nil, true, sheet.UnderWay},
		{"a condition noted", []sheet.TaskNote{note(1, sheet.Condition, 1)}, false, sheet.UnderWay},
		{"not adjusted", []sheet.TaskNote{note(1, sheet.NotAdjusted, 1)}, true, sheet.UnderWay},
		{"finished", []sheet.TaskNote{note(1, sheet.Finished, 1)}, true, sheet.Done},
		{"partly", []sheet.TaskNote{note(1, sheet.PartlyDone, 1)}, true, sheet.Part},
		{"not possible", []sheet.TaskNote{note(1, sheet.NotPossible, 1)}, false, sheet.Impossible},
		{"sent back", []sheet.TaskNote{note(2, sheet.SentBack, 2), note(1, sheet.Finished, 1)}, true, sheet.Returned},
		{"finished again", []sheet.TaskNote{note(3, sheet.Finished, 3), note(2, sheet.SentBack, 2), note(1, sheet.Finished, 1)}, true, sheet.Done},
	} {
		s := sheet.Sheet{Notes: c.notes}
		if c.begun {
			s.Runs = runs(1).Runs
		}
		if got := s.State(); got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
	}
}

// missing returns the codes of what is missing, in order.
func missing(s sheet.Sheet) []string {
	var codes []string
	for _, gap := range s.Missing() {
		codes = append(codes, gap.Code.Name()[len("sheet.missing-"):])
	}
	return codes
}

func TestWhatIsMissingNext(t *testing.T) {
	var s sheet.Sheet
	if got := missing(s); got[0] != "value" || got[len(got)-1] != "close" || !slices.Contains(got, "mounting") || !slices.Contains(got, "plan") {
		t.Errorf("of an empty sheet: %v", got)
	}
	for i, name := range []sheet.Name{sheet.OutsideDiameter, sheet.Wall, sheet.PipeMaterial, sheet.Fluid, sheet.Temperature,
		sheet.StraightBefore, sheet.StraightAfter, sheet.DisturbanceBefore, sheet.Between} {
		s.Survey = append(s.Survey, value(byte(i+1), name, 1, sheet.Measured, "", i))
	}
	hold := func(want ...string) {
		t.Helper()
		if got := missing(s); !slices.Equal(got, want) {
			t.Errorf("missing %v, want %v", got, want)
		}
	}
	hold("mounting", "control", "plan", "adjustment-or-note", "close")
	s.Mountings = runs(1).Mountings
	hold("set-up-check", "zero-check", "control", "plan", "adjustment-or-note", "close")
	s.SetupChecks = []sheet.SetupCheck{{MountingID: s.Mountings[0].ID, Moment: sheet.Before}}
	s.ZeroChecks = []sheet.ZeroCheck{{MountingID: s.Mountings[0].ID, Moment: sheet.Before}}
	s.Controls = []sheet.ControlNote{{Kind: sheet.Inhibited}}
	s.Plans = []sheet.RunPlan{{Phase: sheet.Before, FlowPoints: 2, Runs: 2}}
	hold("runs", "runs", "adjustment-or-note", "restored", "close")
	full := runs(3) // two at the first flow point, one at the second
	s.Runs, s.Readings = full.Runs, full.Readings
	hold("runs", "adjustment-or-note", "re-check", "restored", "close")
	if gap := s.Missing()[0]; gap.Value("flow_point") != 2 || gap.Value("used") != 1 || gap.Value("planned") != 2 || gap.Step != sheet.StepBefore {
		t.Errorf("%v", gap)
	}
	s.Adjustments = []sheet.Adjustment{{Number: 1}}
	s.SetupChecks = append(s.SetupChecks, sheet.SetupCheck{MountingID: s.Mountings[0].ID, Moment: sheet.After})
	hold("runs", "plan", "restored", "close")
	s.Adjustments, s.Notes = nil, []sheet.TaskNote{note(1, sheet.NotAdjusted, 50)}
	s.Controls = append(s.Controls, sheet.ControlNote{Kind: sheet.Restored})
	hold("runs", "close")
	s.Notes = append(s.Notes, note(2, sheet.PartlyDone, 60))
	hold()
}

func TestStepsAreFacts(t *testing.T) {
	s := runs(2)
	s.Survey = []sheet.SurveyValue{value(1, sheet.Wall, 7, sheet.Measured, "", 3)}
	s.SetupChecks = []sheet.SetupCheck{{Moment: sheet.Before, Stamp: stamped(4)}, {Moment: sheet.After, Stamp: stamped(90)}}
	var names []sheet.Step
	for _, p := range s.Steps() {
		names = append(names, p.Step)
		switch p.Step {
		case sheet.StepSurvey:
			if p.Rows != 1 || p.Missing != 8 || !p.Last.Equal(stamped(3).CapturedAt) {
				t.Errorf("%+v", p)
			}
		case sheet.StepBefore:
			if p.Rows != 2 || !p.Last.Equal(stamped(11).CapturedAt) {
				t.Errorf("%+v", p)
			}
		case sheet.StepCheck, sheet.StepRecheck:
			if p.Rows != 1 {
				t.Errorf("%+v", p)
			}
		case sheet.StepAfter:
			if p.Rows != 0 || !p.Last.IsZero() {
				t.Errorf("%+v", p)
			}
		}
	}
	if len(names) != 9 || names[0] != sheet.StepSurvey || names[8] != sheet.StepClose {
		t.Errorf("%v", names)
	}
}
