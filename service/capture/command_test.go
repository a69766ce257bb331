package capture_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"rillmark/calc/fault"
	"rillmark/calc/pipe"
	"rillmark/calc/quantity"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/kit"
	"rillmark/domain/sheet"
	"rillmark/service/capture"
	"rillmark/service/capture/capturetest"
	"rillmark/service/store"
)

// act is one command of the sheet, ready to be sent by anybody to any task.
type act struct {
	name  string
	table string // whose rows it adds
	rows  int
	send  func(a access.Actor, at capture.At) (capture.Written, error)
}

// acts are every command, on a sheet that has a mounting, a check, a plan and a run; each
// with ids of its own, so that sending twice is sending the same.
func (d *desk) acts() []act {
	m, c, run := d.prepared()
	value, mount, check, keep, zero, plan, taken, aside := id[domain.SurveyValueKind](), id[domain.MountingKind](), id[domain.SetupCheckKind](), id[domain.SetupCheckKind](),
		id[domain.ZeroCheckKind](), id[domain.RunPlanKind](), id[domain.RunKind](), id[domain.SetAsideKind]()
	control, adjustment, note, evaluation := id[domain.ControlNoteKind](), id[domain.AdjustmentKind](), id[domain.TaskNoteKind](), id[domain.EvaluationKind]()
	shown := capture.Shown{Indications: []string{d.Indication.String()}, References: []string{"60", ""}, Values: []string{"61,8", ""}}
	return []act{
		{"value", "survey_value", 1, func(a access.Actor, at capture.At) (capture.Written, error) {
			return d.RecordValue(d.ctx, a, capture.RecordValue{At: at, ID: value, Name: "minimum-wall", Entered: "5", Source: "client"})
		}},
		{"pipe", "survey_value", 5, func(a access.Actor, at capture.At) (capture.Written, error) {
			return d.PickPipe(d.ctx, a, capture.PickPipe{At: at, Standard: "ASME B36.10M", Size: "6", Schedule: "40", Source: "nameplate"})
		}},
		{"mounting", "mounting", 1, func(a access.Actor, at capture.At) (capture.Written, error) {
			return d.Mount(d.ctx, a, capture.Mount{At: at, ID: mount, ReferenceID: d.Has("RM-2"), PairID: d.Has("TP-7"), Traverses: "2", Spacing: "117"})
		}},
		{"check", "setup_check", 1, func(a access.Actor, at capture.At) (capture.Written, error) {
			return d.CheckSetup(d.ctx, a, capture.CheckSetup{At: at, ID: check, MountingID: m, Moment: "before", SoundSpeed: "1481"})
		}},
		{"keep", "setup_check", 1, func(a access.Actor, at capture.At) (capture.Written, error) {
			return d.KeepCheck(d.ctx, a, capture.KeepCheck{At: at, ID: keep, CheckID: c, Reason: "the wall cannot be reached"})
		}},
		{"zero", "zero_check", 1, func(a access.Actor, at capture.At) (capture.Written, error) {
			return d.CheckZero(d.ctx, a, capture.CheckZero{At: at, ID: zero, MountingID: m, Moment: "before", Possible: "no", Action: "the line cannot be stopped"})
		}},
		{"plan", "run_plan", 1, func(a access.Actor, at capture.At) (capture.Written, error) {
			return d.PlanRuns(d.ctx, a, capture.PlanRuns{At: at, ID: plan, Phase: "after", FlowPoints: "1", Runs: "3", Seconds: "30", Interval: "10", Averaging: ""})
		}},
		{"run", "run", 1, func(a access.Actor, at capture.At) (capture.Written, error) {
			return d.AddRun(d.ctx, a, capture.AddRun{At: at, ID: taken, Phase: "before", MountingID: m, FlowPoint: "1", Shown: shown})
		}},
		{"reading", "reading", 1, func(a access.Actor, at capture.At) (capture.Written, error) {
			return d.AddReadings(d.ctx, a, capture.AddReadings{At: at, RunID: run, Shown: shown})
		}},
		{"aside", "set_aside", 1, func(a access.Actor, at capture.At) (capture.Written, error) {
			return d.SetAside(d.ctx, a, capture.SetAside{At: at, ID: aside, RunID: run, Reason: "a pump started"})
		}},
		{"control", "control_note", 1, func(a access.Actor, at capture.At) (capture.Written, error) {
			return d.NoteControl(d.ctx, a, capture.NoteControl{At: at, ID: control, Kind: "inhibited", What: "dosing", DoneBy: "the shift operator"})
		}},
		{"adjustment", "adjustment", 1, func(a access.Actor, at capture.At) (capture.Written, error) {
			return d.Adjust(d.ctx, a, capture.Adjust{At: at, ID: adjustment, Parameter: "span factor", Kind: "multiplier", Old: "1,000", New: "0,970", Permission: "the client", Reason: "outside"})
		}},
		{"note", "task_note", 1, func(a access.Actor, at capture.At) (capture.Written, error) {
			return d.NoteTask(d.ctx, a, capture.NoteTask{At: at, ID: note, Kind: "deviation", Text: "read by telephone"})
		}},
		{"evaluation", "evaluation", 1, func(a access.Actor, at capture.At) (capture.Written, error) {
			return d.Evaluate(d.ctx, a, capture.Evaluate{At: at, ID: evaluation})
		}},
	}
}

// prepared is a sheet with a pipe, a mounting, a check, a plan and a run.
func (d *desk) prepared() (m domain.MountingID, c domain.SetupCheckID, run domain.RunID) {
	d.t.Helper()
	d.FillInSurvey(d.Service, func(t time.Time) time.Time { return time.Time{} })
	m, c, run = id[domain.MountingKind](), id[domain.SetupCheckKind](), id[domain.RunKind]()
	must(d.t)(d.Mount(d.ctx, d.Technician, capture.Mount{At: d.at(time.Time{}), ID: m, ReferenceID: d.Has("RM-2"), PairID: d.Has("TP-7"), Traverses: "2", Spacing: "117"}))
	must(d.t)(d.CheckSetup(d.ctx, d.Technician, capture.CheckSetup{At: d.at(time.Time{}), ID: c, MountingID: m, Moment: "before", SNR: "31", SoundSpeed: "1452"}))
	must(d.t)(d.PlanRuns(d.ctx, d.Technician, capture.PlanRuns{At: d.at(time.Time{}), ID: id[domain.RunPlanKind](), Phase: "before", FlowPoints: "1", Runs: "3", Seconds: "50", Interval: "10"}))
	must(d.t)(d.AddRun(d.ctx, d.Technician, capture.AddRun{At: d.at(time.Time{}), ID: run, Phase: "before", MountingID: m, FlowPoint: "1",
		Shown: capture.Shown{Indications: []string{d.Indication.String()}, References: []string{"60.0", "60.1"}, Values: []string{"61.8", "61.9"}}}))
	return m, c, run
}

// TestEveryWriteTwiceHappensOnce sends every command twice: once, and the same answer.
func TestEveryWriteTwiceHappensOnce(t *testing.T) {
	d := open(t)
	for _, a := range d.acts() {
		before, at := d.Count("SELECT count(*) FROM "+a.table), d.at(time.Now())
		first := must(t)(a.send(d.Technician, at))
		events := d.Count("SELECT count(*) FROM audit.event")
		again := must(t)(a.send(d.Technician, at))
		if first != again {
			t.Errorf("%s: %+v, then %+v", a.name, first, again)
		}
		if n := d.Count("SELECT count(*) FROM "+a.table) - before; n != a.rows {
			t.Errorf("%s: %d rows of %s, want %d", a.name, n, a.table, a.rows)
		}
		if n := d.Count("SELECT count(*) FROM audit.event"); n != events {
			t.Errorf("%s: the second sending wrote an event", a.name)
		}
	}
}

// TestOnlyTheCrewFillsTheSheetIn tries every command as everybody else, and on a task
// that is not there: nothing is written.
func TestOnlyTheCrewFillsTheSheetIn(t *testing.T) {
	d := open(t)
	other := access.Actor{Person: capturetest.Person(t, d.db, "other", access.Technician), Roles: []access.Role{access.Technician}}
	acts := d.acts()
	rows := func() int {
		return d.Count("SELECT (SELECT count(*) FROM operation) + (SELECT count(*) FROM survey_value) + (SELECT count(*) FROM reading)")
	}
	before := rows()
	for _, a := range acts {
		for _, role := range access.Roles {
			actor, want := access.Actor{Person: d.Technician.Person, Roles: []access.Role{role}}, domain.Forbidden
			if role == access.Technician {
				actor = other
			}
			if _, err := a.send(actor, d.at(time.Time{})); domain.KindOf(err) != want {
				t.Errorf("%s as %s: %v", a.name, role, err)
			}
		}
		if _, err := a.send(access.Actor{}, d.at(time.Time{})); domain.KindOf(err) != domain.Unauthenticated {
			t.Errorf("%s as nobody: %v", a.name, err)
		}
		foreign := d.at(time.Time{})
		foreign.TaskID = id[domain.TaskKind]()
		if _, err := a.send(d.Technician, foreign); domain.KindOf(err) != domain.NotFound {
			t.Errorf("%s on a task that is not there: %v", a.name, err)
		}
	}
	if rows() != before {
		t.Error("something was written")
	}
	if _, err := acts[0].send(other, d.at(time.Time{})); !fault.Has(err, capture.NotOfCrew) {
		t.Errorf("another technician: %v", err)
	}
	d.SQL("UPDATE booking SET released = true WHERE person_id = $1", d.Technician.Person)
	if _, err := acts[0].send(d.Technician, d.at(time.Time{})); !fault.Has(err, capture.NotOfCrew) {
		t.Errorf("after the booking was released: %v", err)
	}
}

// TestRowsOfAnotherTask sends commands that name a mounting, a run or a value that is not
// the task's.
func TestRowsOfAnotherTask(t *testing.T) {
	d := open(t)
	_, _, run := d.prepared()
	shown := capture.Shown{Indications: []string{d.Indication.String()}, References: []string{"60"}, Values: []string{"61"}}
	for name, send := range map[string]func() (capture.Written, error){
		"check of no mounting": func() (capture.Written, error) {
			return d.CheckSetup(d.ctx, d.Technician, capture.CheckSetup{At: d.at(time.Time{}), ID: id[domain.SetupCheckKind](), MountingID: id[domain.MountingKind](), Moment: "before", SoundSpeed: "1481"})
		},
		"run on no mounting": func() (capture.Written, error) {
			return d.AddRun(d.ctx, d.Technician, capture.AddRun{At: d.at(time.Time{}), ID: id[domain.RunKind](), Phase: "before", MountingID: id[domain.MountingKind](), FlowPoint: "1", Shown: shown})
		},
		"reading of no run": func() (capture.Written, error) {
			return d.AddReadings(d.ctx, d.Technician, capture.AddReadings{At: d.at(time.Time{}), RunID: id[domain.RunKind](), Shown: shown})
		},
		"correction of no reading": func() (capture.Written, error) {
			return d.AddReadings(d.ctx, d.Technician, capture.AddReadings{At: d.at(time.Time{}), RunID: run, Corrects: id[domain.ReadingKind](), Reason: "slip", Shown: shown})
		},
		"correction of no value": func() (capture.Written, error) {
			return d.RecordValue(d.ctx, d.Technician, capture.RecordValue{At: d.at(time.Time{}), ID: id[domain.SurveyValueKind](), Name: "wall", Entered: "7", Source: "measured",
				Corrects: id[domain.SurveyValueKind](), Reason: "slip"})
		},
		"aside of no run": func() (capture.Written, error) {
			return d.SetAside(d.ctx, d.Technician, capture.SetAside{At: d.at(time.Time{}), ID: id[domain.SetAsideKind](), RunID: id[domain.RunKind](), Reason: "x"})
		},
		"keeping of no check": func() (capture.Written, error) {
			return d.KeepCheck(d.ctx, d.Technician, capture.KeepCheck{At: d.at(time.Time{}), ID: id[domain.SetupCheckKind](), CheckID: id[domain.SetupCheckKind](), Reason: "x"})
		},
	} {
		if _, err := send(); domain.KindOf(err) != domain.NotFound {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// TestCorrectionsAreRows corrects a value and a reading: the new rows hold, the old ones
// stay, and each can be corrected once.
func TestCorrectionsAreRows(t *testing.T) {
	d := open(t)
	_, _, run := d.prepared()
	w := d.sheet()
	wall := w.Facts.Sheet.Now()[sheet.Wall].Rows[0]
	correct := func() (capture.Written, error) {
		return d.RecordValue(d.ctx, d.Technician, capture.RecordValue{At: d.at(time.Time{}), ID: id[domain.SurveyValueKind](), Name: "wall", Position: wall.Position, Entered: "6.95",
			Source: "measured", KitID: d.Has("WG-1"), Corrects: wall.ID, Reason: "read upside down"})
	}
	must(t)(correct())
	if _, err := correct(); domain.KindOf(err) != domain.Taken || !fault.Has(err, capture.AlreadyCorrected) {
		t.Errorf("a second correction of the same row: %v", err)
	}
	first := w.Facts.Sheet.Readings[0]
	must(t)(d.AddReadings(d.ctx, d.Technician, capture.AddReadings{At: d.at(time.Time{}), RunID: run, Corrects: first.ID, Reason: "a digit",
		Shown: capture.Shown{Indications: []string{d.Indication.String()}, References: []string{"60.4"}, Values: []string{"61.8"}}}))
	w = d.sheet()
	if got := w.Facts.Sheet.Now()[sheet.Wall]; got.Count != 4 || len(w.Facts.Sheet.Survey) != len(d.Example.Sheet.Survey)+1 {
		t.Errorf("%d walls in force, %d rows", got.Count, len(w.Facts.Sheet.Survey))
	}
	taken := w.Facts.Sheet.Taken(sheet.Before)[0]
	if len(taken.Readings) != 2 || taken.Readings[0].ReferenceEntered != "60.4 m3/h" || taken.Readings[0].Number != 1 {
		t.Errorf("readings in force: %+v", taken.Readings)
	}
	if _, err := d.RecordValue(d.ctx, d.Technician, capture.RecordValue{At: d.at(time.Time{}), ID: id[domain.SurveyValueKind](), Name: "wall", Entered: "7", Source: "measured",
		Corrects: w.Facts.Sheet.Now()[sheet.Wall].Rows[0].ID}); !fault.Has(err, domain.Required) {
		t.Errorf("a correction without a reason: %v", err)
	}
}

// TestSetAsideAndTakenBack counts what is set aside, and takes it back in.
func TestSetAsideAndTakenBack(t *testing.T) {
	d := open(t)
	_, _, run := d.prepared()
	reading := d.sheet().Facts.Sheet.Readings[0].ID
	for _, step := range []struct {
		reading domain.ReadingID
		back    bool
		want    sheet.Count
	}{
		{reading, false, sheet.Count{RunsTaken: 1, RunsUsed: 1, ReadingsTaken: 2, ReadingsUsed: 1}},
		{domain.ReadingID{}, false, sheet.Count{RunsTaken: 1, ReadingsTaken: 2}},
		{domain.ReadingID{}, true, sheet.Count{RunsTaken: 1, RunsUsed: 1, ReadingsTaken: 2, ReadingsUsed: 1}},
		{reading, true, sheet.Count{RunsTaken: 1, RunsUsed: 1, ReadingsTaken: 2, ReadingsUsed: 2}},
	} {
		must(t)(d.SetAside(d.ctx, d.Technician, capture.SetAside{At: d.at(time.Time{}), ID: id[domain.SetAsideKind](), RunID: run, ReadingID: step.reading, TakenBack: step.back, Reason: "a pump"}))
		if got := sheet.CountOf(d.sheet().Facts.Sheet.Taken(sheet.Before)); got != step.want {
			t.Errorf("after %+v: %+v", step, got)
		}
	}
}

func (d *desk) sheet() *capture.Work {
	d.t.Helper()
	w, err := d.Sheet(d.ctx, d.Technician, d.Task)
	if err != nil {
		d.t.Fatal(err)
	}
	return w
}

// TestWhatCannotBeReadIsRefusedBesideItsField, and nothing else is.
func TestWhatCannotBeReadIsRefusedBesideItsField(t *testing.T) {
	d := open(t)
	m, _, run := d.prepared()
	value := func(name, entered string) error {
		_, err := d.RecordValue(d.ctx, d.Technician, capture.RecordValue{At: d.at(time.Time{}), ID: id[domain.SurveyValueKind](), Name: name, Entered: entered, Source: "measured"})
		return err
	}
	readings := func(reference, shown string) error {
		_, err := d.AddReadings(d.ctx, d.Technician, capture.AddReadings{At: d.at(time.Time{}), RunID: run, Shown: capture.Shown{Indications: []string{d.Indication.String()},
			References: []string{"", reference}, Values: []string{"", shown}}})
		return err
	}
	check := func(c capture.CheckSetup) error {
		c.At, c.ID, c.MountingID, c.Moment = d.at(time.Time{}), id[domain.SetupCheckKind](), m, "before"
		_, err := d.CheckSetup(d.ctx, d.Technician, c)
		return err
	}
	for name, row := range map[string]struct {
		err   error
		field string
		code  *fault.Code
	}{
		"no number":             {value("wall", "seven"), "entered", quantity.UnreadableNumber},
		"nothing":               {value("wall", " "), "entered", domain.Required},
		"two readings":          {value("wall", "1,234"), "entered", quantity.AmbiguousNumber},
		"not a length":          {value("wall", "7 bar"), "entered", quantity.UnknownUnit},
		"below nothing":         {value("wall", "-7"), "entered", sheet.OutOfRange},
		"no such choice":        {value("between", "a bit"), "entered", sheet.UnknownChoice},
		"no such value":         {value("colour", "red"), "name", sheet.UnknownName},
		"reference":             {readings("much", "61"), "references.1", quantity.UnreadableNumber},
		"meter":                 {readings("60", "61 V"), "values.1.0", quantity.UnknownUnit},
		"nothing shown":         {readings("60", ""), "values.1.0", capture.NothingShown},
		"no reading":            {readings("", ""), "references.0", capture.NoReading},
		"nothing measured":      {check(capture.CheckSetup{SNR: "20"}), "sound_speed", capture.NothingMeasured},
		"one transit time":      {check(capture.CheckSetup{TransitUp: "200"}), "transit_down", sheet.TransitBoth},
		"a speed that is none":  {check(capture.CheckSetup{SoundSpeed: "0"}), "sound_speed", sheet.NotPositive},
		"a plan that is fixed":  {d.plan("before"), "", capture.PlanFixed},
		"a run without a plan":  {d.runOf(m, "after"), "", capture.NoPlan},
		"no such pipe":          {d.pick("6", "77"), "schedule", pipe.UnknownSchedule},
		"a size that is none":   {d.pick("6.3", "40"), "size", pipe.UnknownSize},
		"a kit nobody has here": {d.mountWith(id[domain.KitKind]()), "reference_id", domain.NoSuchThing},
	} {
		found := false
		for _, f := range fault.AllOf(row.err) {
			found = found || f.Code == row.code && f.Field == row.field
		}
		if !found {
			t.Errorf("%s: %v, want %s in %q", name, row.err, row.code.Name(), row.field)
		}
	}
}

func (d *desk) plan(phase string) error {
	_, err := d.PlanRuns(d.ctx, d.Technician, capture.PlanRuns{At: d.at(time.Time{}), ID: id[domain.RunPlanKind](), Phase: phase, FlowPoints: "1", Runs: "3", Seconds: "30", Interval: "10"})
	return err
}

func (d *desk) runOf(m domain.MountingID, phase string) error {
	_, err := d.AddRun(d.ctx, d.Technician, capture.AddRun{At: d.at(time.Time{}), ID: id[domain.RunKind](), Phase: phase, MountingID: m, FlowPoint: "1",
		Shown: capture.Shown{Indications: []string{d.Indication.String()}, References: []string{"60"}, Values: []string{"60"}}})
	return err
}

func (d *desk) pick(size, schedule string) error {
	_, err := d.PickPipe(d.ctx, d.Technician, capture.PickPipe{At: d.at(time.Time{}), Standard: "ASME B36.10M", Size: size, Schedule: schedule, Source: "nameplate"})
	return err
}

func (d *desk) mountWith(reference domain.KitID) error {
	_, err := d.Mount(d.ctx, d.Technician, capture.Mount{At: d.at(time.Time{}), ID: id[domain.MountingKind](), ReferenceID: reference, PairID: d.Has("TP-7"), Traverses: "2", Spacing: "117"})
	return err
}

// TestCurrentIsScaled reads a current output in mA and in flow: 12 mA of 4 to 20 for 0 to
// 200 m³/h is 100 m³/h.
func TestCurrentIsScaled(t *testing.T) {
	d := open(t)
	_, _, run := d.prepared()
	d.WithCurrent()
	must(t)(d.AddReadings(d.ctx, d.Technician, capture.AddReadings{At: d.at(time.Time{}), RunID: run, Shown: capture.Shown{
		Indications: []string{d.Indication.String(), d.Current.String()}, References: []string{"100", "100"}, Values: []string{"102.9", "12", "", "97,5 m3/h"}}}))
	taken := d.sheet().Facts.Sheet.Taken(sheet.Before)[0].Readings
	for n, want := range map[int]struct {
		flow float64
		text string
	}{2: {100.0 / 3600, "12 mA"}, 3: {97.5 / 3600, "97,5 m3/h"}} {
		shown, there := taken[n].Of(d.Current)
		near(t, want.text, shown.Value, want.flow, 1e-12)
		if !there || shown.Entered != want.text {
			t.Errorf("reading %d: %+v", n, shown)
		}
	}
	if _, there := taken[3].Of(d.Indication); there {
		t.Error("an indication that was not read is there")
	}
}

// TestCurrentsThatAreNoFlow: what a current says beyond its scale is told for the first
// reading of each kind, and no longer once that is set aside; the readings are kept as they
// are. Bounds as in NAMUR NE 43, from memory.
func TestCurrentsThatAreNoFlow(t *testing.T) {
	d := open(t)
	_, _, run := d.prepared()
	d.WithCurrent()
	texts := []string{"12 mA", "3.5 mA", "3,6 mA", "3.7 mA", "3.9 mA", "20.4 mA", "21 mA", "130 m3/h"}
	var references, values []string
	for _, text := range texts {
		references, values = append(references, "100"), append(values, text)
	}
	must(t)(d.AddReadings(d.ctx, d.Technician, capture.AddReadings{At: d.at(time.Time{}), RunID: run, Shown: capture.Shown{
		Indications: []string{d.Current.String()}, References: references, Values: values}}))
	work := d.sheet()
	taken := work.Facts.Sheet.Taken(sheet.Before)[0].Readings
	first := len(taken) - len(texts) + 1
	var got []string
	for _, f := range work.SignalDoubts(sheet.Before) {
		got = append(got, fmt.Sprintf("%s %d %v", f.Code.Name(), f.Value("reading").(int)-first, f.Value("current_mA")))
	}
	want := []string{"capture.signal-failure 1 3.5", "capture.signal-undefined 3 3.7", "capture.signal-off-scale 4 3.9", "capture.signal-off-scale 5 20.4", "capture.signal-failure 6 21"}
	if !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	if l := work.SignalDoubts(sheet.After); len(l) != 0 {
		t.Errorf("after adjustment: %v", l)
	}
	reading := taken[len(taken)-len(texts)+1].ID
	must(t)(d.SetAside(d.ctx, d.Technician, capture.SetAside{At: d.at(time.Time{}), ID: id[domain.SetAsideKind](), RunID: run, ReadingID: reading, Reason: "the meter signalled a failure"}))
	for _, f := range d.sheet().SignalDoubts(sheet.Before) {
		if f.Value("reading") == first+1 {
			t.Errorf("set aside and still told: %v", f)
		}
	}
}

// TestSetupCheckIsJudged compares sound speeds and transit times, before and without the
// survey.
func TestSetupCheckIsJudged(t *testing.T) {
	d := open(t)
	m := id[domain.MountingKind]()
	must(t)(d.Mount(d.ctx, d.Technician, capture.Mount{At: d.at(time.Time{}), ID: m, ReferenceID: d.Has("RM-2"), PairID: d.Has("TP-7"), Traverses: "2", Spacing: "117", Recommended: "118"}))
	check := func(c capture.CheckSetup) sheet.SetupCheck {
		c.At, c.ID, c.MountingID, c.Moment = d.at(time.Time{}), id[domain.SetupCheckKind](), m, "before"
		must(t)(d.CheckSetup(d.ctx, d.Technician, c))
		all := d.sheet().Facts.Sheet.SetupChecks
		return all[len(all)-1]
	}
	if got := check(capture.CheckSetup{SoundSpeed: "1481"}); got.Outcome != sheet.Inconclusive || !strings.Contains(got.Basis, "outside-diameter") {
		t.Errorf("without a survey: %s, %s", got.Outcome, got.Basis)
	}
	if w := d.sheet(); *w.Facts.Sheet.Mountings[0].Recommended != 0.118 {
		t.Errorf("the reference's own recommendation is kept as %g", *w.Facts.Sheet.Mountings[0].Recommended)
	}
	d.FillInSurvey(d.Service, func(time.Time) time.Time { return time.Time{} })
	for speed, want := range map[string]sheet.Outcome{"1481.2": sheet.Passed, "1452": sheet.Failed} {
		got := check(capture.CheckSetup{SoundSpeed: speed})
		result, _, ok := capture.CheckAgain(got)
		if got.Outcome != want || !ok || sheet.Outcome(result.Outcome) != want {
			t.Errorf("%s m/s: %s, again %s", speed, got.Outcome, result.Outcome)
		}
	}
	rec := d.sheet()
	reference, pair := rec.OfKind("reference-meter")[0], rec.OfKind("transducer-pair")[0]
	transit, err := rec.Recommend(reference, pair, kit.Item{}, 2).Setup.Transit(0.117, 0)
	if err != nil {
		t.Fatal(err)
	}
	text := fmt.Sprintf("%.4f", transit.Mean*1e6)
	if got := check(capture.CheckSetup{TransitUp: text, TransitDown: text}); got.Outcome != sheet.Passed || got.SoundSpeed == nil || got.SoundSpeedEntered != nil {
		t.Errorf("transit times of the model itself: %s, %v", got.Outcome, got.SoundSpeed)
	}
	if got := check(capture.CheckSetup{SNR: "8", KeptBecause: "no signal"}); got.Outcome != sheet.NotMade {
		t.Errorf("no signal: %s", got.Outcome)
	}
}

// TestDoubts says what a person should look at.
func TestDoubts(t *testing.T) {
	d := open(t)
	enter := func(name, position, entered, source string) {
		t.Helper()
		must(t)(d.RecordValue(d.ctx, d.Technician, capture.RecordValue{At: d.at(time.Time{}), ID: id[domain.SurveyValueKind](), Name: name, Position: position, Entered: entered, Source: source}))
	}
	has := func(code *fault.Code) bool {
		for _, f := range d.sheet().Doubts() {
			if f.Code == code {
				return true
			}
		}
		return false
	}
	steps := []struct {
		name, position, entered, source string
		says                            *fault.Code
	}{
		{"outside-diameter", "", "8 in", "client", pipe.NominalSize},
		{"pipe-standard", "", "ASME B36.10M", "nameplate", nil},
		{"pipe-size", "", "NPS 8 (DN 200)", "nameplate", nil},
		{"pipe-schedule", "", "40", "nameplate", nil},
		{"wall", "12", "6.9", "measured", capture.WallOutside},
		{"wall", "3", "8.4", "measured", capture.WallScatters},
		{"minimum-wall", "", "7.0", "client", capture.WallTooThin},
		{"pipe-material", "", "ductile iron", "nameplate", capture.LiningAsked},
		{"liner-thickness", "", "4", "client", capture.LinerUnknown},
		{"fluid", "", "milk", "client", nil},
		{"temperature", "", "20", "measured", capture.FluidElsewhere},
		{"between", "", "unknown", "measured", capture.FlowBetween},
		{"pipe-full", "", "no", "measured", capture.NotFull},
		{"disturbance-before", "", "single elbow", "measured", nil},
		{"straight-before", "", "1.2", "measured", capture.StraightShort},
	}
	for _, s := range steps {
		if s.says != nil && has(s.says) {
			t.Errorf("%s is said before its ground", s.says.Name())
		}
		enter(s.name, s.position, s.entered, s.source)
		if s.says != nil && !has(s.says) {
			t.Errorf("after %s = %s nothing is said of %s: %v", s.name, s.entered, s.says.Name(), d.sheet().Doubts())
		}
	}
}

// TestLapsedKitIsNamedAndNothingRefused lets the reference's calibration lapse.
func TestLapsedKitIsNamedAndNothingRefused(t *testing.T) {
	d := open(t)
	d.SQL("UPDATE calibration SET valid = tstzrange(lower(valid), now() - interval '1 hour') WHERE kit_id = $1", d.Has("RM-2"))
	warned := d.sheet().KitWarnings(d.Technician.Person, time.Now())
	if len(warned) != 1 || warned[0].Code != capture.KitLapsed {
		t.Fatalf("warnings %v", warned)
	}
	m, _, _ := d.prepared()
	for range 2 {
		must(t)(d.AddRun(d.ctx, d.Technician, capture.AddRun{At: d.at(time.Time{}), ID: id[domain.RunKind](), Phase: "before", MountingID: m, FlowPoint: "1",
			Shown: capture.Shown{Indications: []string{d.Indication.String()}, References: []string{"60.0", "60.1"}, Values: []string{"61.8", "61.9"}}}))
	}
	must(t)(d.Evaluate(d.ctx, d.Technician, capture.Evaluate{At: d.at(time.Time{}), ID: id[domain.EvaluationKind]()}))
	if n := d.Count("SELECT count(*) FROM evaluation WHERE NOT conformity"); n != 1 {
		t.Errorf("%d evaluations for information", n)
	}
	if r, err := d.sheet().Result(); err != nil || r.Conformity {
		t.Errorf("conformity %v, %v", r.Conformity, err)
	}
}

// TestEveryLapsedItemOfTheVisitIsNamed lets one item after the other lapse, and a second
// pair whose own calibration lapsed while the reference's others hold.
func TestEveryLapsedItemOfTheVisitIsNamed(t *testing.T) {
	d := open(t)
	if warned := d.sheet().KitWarnings(d.Technician.Person, time.Now()); len(warned) != 0 {
		t.Fatalf("nothing lapsed, warnings %v", warned)
	}
	second := id[domain.KitKind]()
	d.SQL(`INSERT INTO kit_item (id, kind, tag, maker, model, serial, firmware, wave, wedge_angle, wedge_sound_speed, exit_offset, note, version, created_at, changed_at)
		SELECT $1, kind, 'TP-9', maker, model, 'another', firmware, wave, wedge_angle, wedge_sound_speed, exit_offset, note, 1, now(), now() FROM kit_item WHERE id = $2`, second, d.Has("TP-7"))
	d.SQL(`INSERT INTO booking (id, client_id, visit_id, during, kit_id) SELECT $1, client_id, id, during, $2 FROM visit WHERE id = $3`, id[domain.BookingKind](), second, d.Visit)
	has := func(code *fault.Code, args ...string) {
		t.Helper()
		warned := d.sheet().KitWarnings(d.Technician.Person, time.Now())
		for _, f := range warned {
			said := fmt.Sprint(f)
			if f.Code == code && !slices.ContainsFunc(args, func(a string) bool { return !strings.Contains(said, a) }) {
				return
			}
		}
		t.Errorf("%v of %q is not among %v", code, args, warned)
	}
	has(capture.SetUnknown, "RM-2", "TP-9")
	d.SQL(`INSERT INTO calibration (id, kit_id, pair_id, quantity, certificate_number, laboratory, route, calibrated_on, valid, least_inside_diameter, most_inside_diameter,
			least_velocity, most_velocity, least_reynolds, most_reynolds, traverses, by, received_at)
		SELECT $1, kit_id, $2, quantity, 'C-second', laboratory, route, calibrated_on, tstzrange(lower(valid), now() - interval '1 hour'), least_inside_diameter,
			most_inside_diameter, least_velocity, most_velocity, least_reynolds, most_reynolds, traverses, by, received_at FROM calibration WHERE kit_id = $3 AND pair_id = $4`,
		id[domain.CalibrationKind](), second, d.Has("RM-2"), d.Has("TP-7"))
	has(capture.SetLapsed, "RM-2", "TP-9", "C-second")
	for tag, item := range d.Kit {
		if d.Count("SELECT count(*) FROM calibration WHERE kit_id = $1", item) == 0 {
			continue
		}
		d.SQL("UPDATE calibration SET valid = tstzrange(lower(valid), now() - interval '1 hour') WHERE kit_id = $1", item)
		has(capture.KitLapsed, tag)
	}
}

// TestTheTrailTellsTheRow looks at the event of a value and of a note with a name in it.
func TestTheTrailTellsTheRow(t *testing.T) {
	d := open(t)
	must(t)(d.NoteControl(d.ctx, d.Technician, capture.NoteControl{At: d.at(time.Time{}), ID: id[domain.ControlNoteKind](), Kind: "inhibited", What: "dosing", DoneBy: "Joan Marlock"}))
	s := d.db.Open(t, store.App)
	about := audit.Subject{Kind: audit.Task, ID: d.Task.String()}
	entries, err := s.Trail(d.ctx, &about, 0, 5)
	if err != nil || len(entries) != 1 {
		t.Fatalf("%d entries, %v", len(entries), err)
	}
	told, err := json.Marshal(entries[0].Event)
	if err != nil {
		t.Fatal(err)
	}
	if text := string(told); !strings.Contains(text, "dosing") || strings.Contains(text, "Marlock") || !strings.Contains(text, `"action":"control.note"`) {
		t.Errorf("the event is %s", text)
	}
	var names []string
	for _, f := range entries[0].Event.Changes[0].Fields {
		names = append(names, f.Name)
	}
	if got := strings.Join(names, " "); got != "control_note_kind what done_by captured_at" {
		t.Errorf("the event tells %s", got)
	}
}

// TestLastVisitIsOffered makes an earlier visit's task and finds its values offered.
func TestLastVisitIsOffered(t *testing.T) {
	d := open(t)
	must(t)(d.RecordValue(d.ctx, d.Technician, capture.RecordValue{At: d.at(time.Time{}), ID: id[domain.SurveyValueKind](), Name: "wall", Position: "12", Entered: "7.1", Source: "measured"}))
	visit, task := id[domain.VisitKind](), id[domain.TaskKind]()
	d.SQL(`INSERT INTO visit (id, client_id, site_id, during, note, version, created_at, changed_at)
		SELECT $1, client_id, site_id, tstzrange(upper(during) + interval '1 day', upper(during) + interval '2 days'), '', 1, now(), now() FROM visit WHERE id = $2`, visit, d.Visit)
	d.SQL(`INSERT INTO booking (id, client_id, visit_id, during, person_id) SELECT $1, client_id, id, during, $3 FROM visit WHERE id = $2`,
		id[domain.BookingKind](), visit, d.Technician.Person)
	d.SQL(`INSERT INTO task (id, client_id, visit_id, point_id, installation_id, agreement_id, created_at)
		SELECT $1, client_id, $2, point_id, installation_id, agreement_id, now() FROM task WHERE id = $3`, task, visit, d.Task)
	w, err := d.Sheet(d.ctx, d.Technician, task)
	if err != nil {
		t.Fatal(err)
	}
	if last := w.LastVisit[sheet.Wall]; last.Text != "7.1 mm" || last.At.IsZero() || len(w.Facts.Sheet.Survey) != 0 {
		t.Errorf("offered: %+v", last)
	}
	later := d.at(time.Time{})
	later.TaskID = task
	must(t)(d.RecordValue(d.ctx, d.Technician, capture.RecordValue{At: later, ID: id[domain.SurveyValueKind](), Name: "wall", Position: "12", Entered: "6.9", Source: "measured"}))
	if len(d.sheet().LastVisit) != 0 {
		t.Error("the earlier visit is offered the later one's values")
	}
	tasks, err := d.Tasks(d.ctx, d.Technician, time.Now().UTC().Truncate(24*time.Hour), time.Now().UTC().Truncate(24*time.Hour).AddDate(0, 0, 1))
	if err != nil || len(tasks) != 1 || tasks[0].TaskID != d.Task || !tasks[0].Started {
		t.Errorf("today's tasks: %+v, %v", tasks, err)
	}
}
