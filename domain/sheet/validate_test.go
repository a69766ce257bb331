package sheet_test

import (
	"math"
	"strings"
	"testing"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/sheet"
)

// rows are sound ones of every kind, for a test to spoil.
func soundValue() sheet.SurveyValue { return value(1, sheet.Wall, 0.007, sheet.Measured, "12", 1) }
func soundMounting() sheet.Mounting {
	return sheet.Mounting{ID: made[domain.MountingKind](1), Number: 1, ReferenceID: made[domain.KitKind](1), PairID: made[domain.KitKind](2),
		Traverses: 2, Recommended: number(0.1), Spacing: 0.1, SpacingEntered: "100 mm", Stamp: stamped(1)}
}
func soundCheck() sheet.SetupCheck {
	return sheet.SetupCheck{MountingID: made[domain.MountingKind](1), Moment: sheet.Before, Outcome: sheet.Passed, SoundSpeed: number(1480), Stamp: stamped(1)}
}
func soundZero() sheet.ZeroCheck {
	return sheet.ZeroCheck{MountingID: made[domain.MountingKind](1), Moment: sheet.Before, Possible: true, IsolatedBy: "the operator",
		Tightness: "pressure held", CutoffOff: true, Seconds: number(300), MeanVelocity: number(-0.001), UVelocity: number(0), Stamp: stamped(1)}
}
func soundPlan() sheet.RunPlan {
	return sheet.RunPlan{Phase: sheet.Before, FlowPoints: 3, Runs: 3, Seconds: 300, Interval: 10, Stamp: stamped(1)}
}
func soundRun() sheet.Run { return runs(1).Runs[0] }
func soundReading() sheet.Reading {
	r := runs(1).Readings[0]
	r.ReferenceEntered = "1 m3/s"
	return r
}
func soundAside() sheet.SetAside { return aside(1, made[domain.RunKind](1), nil, false, 1) }
func soundAdjustment() sheet.Adjustment {
	return sheet.Adjustment{Number: 1, Parameter: "span", Kind: sheet.Multiplier, OldEntered: "1", NewEntered: "0.97", Permission: "the client", Reason: "high", Stamp: stamped(1)}
}
func soundControl() sheet.ControlNote {
	return sheet.ControlNote{Kind: sheet.Inhibited, What: "the dosing", DoneBy: "the operator", Stamp: stamped(1)}
}

// spoiled applies a change to a sound row and validates it.
func spoiled[R interface{ Validate() error }](sound func() R, change func(*R)) error {
	row := sound()
	change(&row)
	return row.Validate()
}

func TestSoundRows(t *testing.T) {
	for i, err := range []error{soundValue().Validate(), soundMounting().Validate(), soundCheck().Validate(), soundZero().Validate(),
		soundPlan().Validate(), soundRun().Validate(), soundReading().Validate(), soundAside().Validate(), soundAdjustment().Validate(),
		soundControl().Validate(), note(1, sheet.Finished, 1).Validate()} {
		if err != nil {
			t.Errorf("row %d: %v", i, err)
		}
	}
}

func TestWhatIsWrongWithRows(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		name  string
		err   error
		code  *fault.Code
		field string
	}{
		{"nobody", spoiled(soundValue, func(v *sheet.SurveyValue) { v.By = domain.PersonID{} }), domain.Required, "by"},
		{"never", spoiled(soundValue, func(v *sheet.SurveyValue) { v.Stamp.CapturedAt = sheet.Stamp{}.CapturedAt }), domain.Required, "captured_at"},
		{"a name of nothing", spoiled(soundValue, func(v *sheet.SurveyValue) { v.Name = "colour" }), sheet.UnknownName, "name"},
		{"from nowhere", spoiled(soundValue, func(v *sheet.SurveyValue) { v.Source = "hearsay" }), sheet.UnknownSource, "source"},
		{"an instrument of an assumption", spoiled(soundValue, func(v *sheet.SurveyValue) {
			id := made[domain.KitKind](1)
			v.Source, v.KitID = sheet.Assumed, &id
		}), sheet.InstrumentUnused, "kit_id"},
		{"no number", spoiled(soundValue, func(v *sheet.SurveyValue) { v.Value = nil }), domain.Required, "value"},
		{"not finite", spoiled(soundValue, func(v *sheet.SurveyValue) { v.Value = &nan }), sheet.NotFinite, "value"},
		{"a wall of nothing", spoiled(soundValue, func(v *sheet.SurveyValue) { v.Value = number(0) }), sheet.OutOfRange, "value"},
		{"a negative length", spoiled(soundValue, func(v *sheet.SurveyValue) { v.Name, v.Value = sheet.StraightBefore, number(-1) }), sheet.OutOfRange, "value"},
		{"a number of a text", spoiled(soundValue, func(v *sheet.SurveyValue) { v.Name = sheet.Fluid }), sheet.NumberOfText, "value"},
		{"no such choice", spoiled(soundValue, func(v *sheet.SurveyValue) { v.Name, v.Value, v.Entered = sheet.Between, nil, "a river" }), sheet.UnknownChoice, "entered"},
		{"corrected without a reason", spoiled(soundValue, func(v *sheet.SurveyValue) { v.Corrects = &v.ID }), domain.Required, "reason"},
		{"nothing entered", spoiled(soundValue, func(v *sheet.SurveyValue) { v.Entered = " " }), domain.Required, "entered"},

		{"no reference", spoiled(soundMounting, func(m *sheet.Mounting) { m.ReferenceID = domain.KitID{} }), domain.Required, "reference_id"},
		{"no pair", spoiled(soundMounting, func(m *sheet.Mounting) { m.PairID = domain.KitID{} }), domain.Required, "pair_id"},
		{"no traverse", spoiled(soundMounting, func(m *sheet.Mounting) { m.Traverses = 0 }), sheet.CountRange, "traverses"},
		{"number 0", spoiled(soundMounting, func(m *sheet.Mounting) { m.Number = 0 }), sheet.CountRange, "number"},
		{"a spacing of NaN", spoiled(soundMounting, func(m *sheet.Mounting) { m.Spacing = nan }), sheet.NotFinite, "spacing"},
		{"a basis too long", spoiled(soundMounting, func(m *sheet.Mounting) { m.Basis = strings.Repeat("x", 20001) }), domain.TooLong, "basis"},

		{"a check of no mounting", spoiled(soundCheck, func(c *sheet.SetupCheck) { c.MountingID = domain.MountingID{} }), domain.Required, "mounting_id"},
		{"a moment of none", spoiled(soundCheck, func(c *sheet.SetupCheck) { c.Moment = "during" }), sheet.UnknownPhase, "moment"},
		{"half a transit", spoiled(soundCheck, func(c *sheet.SetupCheck) { c.TransitUp = number(1e-4) }), sheet.TransitBoth, "transit_down"},
		{"no outcome", spoiled(soundCheck, func(c *sheet.SetupCheck) { c.Outcome = "" }), sheet.UnknownChoice, "outcome"},
		{"not made, and no word why", spoiled(soundCheck, func(c *sheet.SetupCheck) { c.Outcome = sheet.NotMade }), domain.Required, "kept_because"},
		{"a silent fluid", spoiled(soundCheck, func(c *sheet.SetupCheck) { c.SoundSpeed = number(0) }), sheet.NotPositive, "sound_speed"},
		{"a check's basis too long", spoiled(soundCheck, func(c *sheet.SetupCheck) { c.Basis = strings.Repeat("x", 20001) }), domain.TooLong, "basis"},

		{"a zero of no mounting", spoiled(soundZero, func(z *sheet.ZeroCheck) { z.MountingID = domain.MountingID{} }), domain.Required, "mounting_id"},
		{"nobody isolated", spoiled(soundZero, func(z *sheet.ZeroCheck) { z.IsolatedBy = "" }), domain.Required, "isolated_by"},
		{"no mean", spoiled(soundZero, func(z *sheet.ZeroCheck) { z.MeanVelocity = nil }), domain.Required, "mean_velocity"},
		{"impossible without a word", spoiled(soundZero, func(z *sheet.ZeroCheck) { z.Possible = false }), domain.Required, "action"},
		{"a negative u", spoiled(soundZero, func(z *sheet.ZeroCheck) { z.UVelocity = number(-1) }), sheet.Negative, "u_velocity"},

		{"no runs", spoiled(soundPlan, func(p *sheet.RunPlan) { p.Runs = 0 }), sheet.CountRange, "runs"},
		{"no time", spoiled(soundPlan, func(p *sheet.RunPlan) { p.Seconds = 0 }), sheet.NotPositive, "seconds"},
		{"negative averaging", spoiled(soundPlan, func(p *sheet.RunPlan) { p.Averaging = -1 }), sheet.Negative, "averaging_s"},
		{"a run of no mounting", spoiled(soundRun, func(r *sheet.Run) { r.MountingID = domain.MountingID{} }), domain.Required, "mounting_id"},
		{"a run of no phase", spoiled(soundRun, func(r *sheet.Run) { r.Phase = "" }), sheet.UnknownPhase, "phase"},
		{"flow point 0", spoiled(soundRun, func(r *sheet.Run) { r.FlowPoint = 0 }), sheet.CountRange, "flow_point"},

		{"a reading of no run", spoiled(soundReading, func(r *sheet.Reading) { r.RunID = domain.RunID{} }), domain.Required, "run_id"},
		{"nothing shown", spoiled(soundReading, func(r *sheet.Reading) { r.Indications = nil }), domain.Required, "indications"},
		{"shown twice", spoiled(soundReading, func(r *sheet.Reading) { r.Indications = append(r.Indications, r.Indications[0]) }), sheet.IndicationTwice,
			"indications.01980000-0000-7000-8000-000000000001"},
		{"an infinite reference", spoiled(soundReading, func(r *sheet.Reading) { r.Reference = math.Inf(1) }), sheet.NotFinite, "reference"},
		{"corrected and no reason", spoiled(soundReading, func(r *sheet.Reading) { r.Corrects = &r.ID }), domain.Required, "reason"},
		{"set aside of no run", spoiled(soundAside, func(a *sheet.SetAside) { a.RunID = domain.RunID{} }), domain.Required, "run_id"},
		{"set aside without a reason", spoiled(soundAside, func(a *sheet.SetAside) { a.Reason = "" }), domain.Required, "reason"},

		{"an adjustment of no kind", spoiled(soundAdjustment, func(a *sheet.Adjustment) { a.Kind = "guess" }), sheet.UnknownChoice, "kind"},
		{"without permission", spoiled(soundAdjustment, func(a *sheet.Adjustment) { a.Permission = "" }), domain.Required, "permission"},
		{"a control of no kind", spoiled(soundControl, func(n *sheet.ControlNote) { n.Kind = "forgotten" }), sheet.UnknownChoice, "kind"},
		{"inhibited by nobody", spoiled(soundControl, func(n *sheet.ControlNote) { n.DoneBy = "" }), domain.Required, "done_by"},
		{"a note of no kind", spoiled(func() sheet.TaskNote { return note(1, "sigh", 1) }, func(*sheet.TaskNote) {}), sheet.UnknownChoice, "kind"},
		{"a note of no text", spoiled(func() sheet.TaskNote { return note(1, sheet.Finished, 1) }, func(n *sheet.TaskNote) { n.Text = "" }), domain.Required, "text"},
	} {
		faults := fault.AllOf(c.err)
		if len(faults) != 1 || faults[0].Code != c.code || faults[0].Field != c.field {
			t.Errorf("%s: %v, want %s in %s alone", c.name, c.err, c.code.Name(), c.field)
		}
	}
}

func TestNothingControlledNeedsNoName(t *testing.T) {
	if err := (sheet.ControlNote{Kind: sheet.NothingControlled, Stamp: stamped(1)}).Validate(); err != nil {
		t.Error(err)
	}
}

func TestLookups(t *testing.T) {
	s := runs(1)
	if _, ok := s.Mounting(s.Mountings[0].ID); !ok {
		t.Error("the mounting is not found")
	}
	if _, ok := s.Mounting(made[domain.MountingKind](9)); ok {
		t.Error("a mounting that is not there is found")
	}
	if _, ok := s.Plan(sheet.Before); ok || sheet.Phase("during").Known() || !sheet.After.Known() {
		t.Error("plans or phases")
	}
}
