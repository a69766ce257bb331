package evaluation_test

import (
	"encoding/json"
	"math"
	"slices"
	"testing"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/evaluation"
	"rillmark/domain/sheet"
)

// ids that no row of the example has.
func fresh[K any](n byte) domain.ID[K] {
	id, _ := domain.ParseID[K]("0198ffff-0000-7000-8000-000000000000")
	id.UUID[15] = n
	return id
}

// readingOf returns the index of a reading of the second flow point before adjustment.
func readingOf(f *evaluation.Facts, run, number int) int {
	return slices.IndexFunc(f.Sheet.Readings, func(r sheet.Reading) bool {
		return r.Number == number && r.RunID == f.Sheet.Runs[run-1].ID
	})
}

func runResult(t *testing.T, r evaluation.Result, phase sheet.Phase, number int) evaluation.RunResult {
	t.Helper()
	for _, one := range r.Runs {
		if one.Phase == phase && one.Number == number {
			return one
		}
	}
	t.Fatalf("no run %d", number)
	return evaluation.RunResult{}
}

// TestACorrectedReading: a slip of the pen, 166.7 for 61.7, is corrected by a row that
// names it: the result is as if it had been written so, and the run counts five readings.
func TestACorrectedReading(t *testing.T) {
	base := evaluate(t, facts(t))
	f := facts(t)
	i := readingOf(&f, 4, 1)
	right := f.Sheet.Readings[i]
	wrong := right
	wrong.Indications = []sheet.Shown{{IndicationID: right.Indications[0].IndicationID, Value: 166.7 / 3600, Entered: "166.7 m3/h"}}
	f.Sheet.Readings[i] = wrong
	if slip := second(evaluate(t, f)); slip.Error < 0.1 {
		t.Fatalf("the slip does not show: %v", slip.Error)
	}
	right.ID, right.Corrects, right.Reason = fresh[domain.ReadingKind](1), &wrong.ID, "digits swapped"
	right.CapturedAt = wrong.CapturedAt.Add(1)
	f.Sheet.Readings = append(f.Sheet.Readings, right)
	r := evaluate(t, f)
	near(t, "error", second(r).Error, second(base).Error, 1e-14)
	if got := runResult(t, r, sheet.Before, 4); got.ReadingsTaken != 5 || got.ReadingsUsed != 5 {
		t.Errorf("%d readings taken, %d used; want 5 and 5", got.ReadingsTaken, got.ReadingsUsed)
	}
	if r.Input == base.Input {
		t.Error("other facts, the same input hash")
	}
}

// TestSetAside: a run and a reading set aside stay counted and listed with their reason,
// count no more, and come back when it is taken back.
func TestSetAside(t *testing.T) {
	base := evaluate(t, facts(t))
	f := facts(t)
	stamp := f.Sheet.Runs[3].Stamp
	stamp.CapturedAt = stamp.CapturedAt.AddDate(0, 0, 1)
	reading := f.Sheet.Readings[readingOf(&f, 5, 2)].ID
	f.Sheet.SetAsides = []sheet.SetAside{
		{ID: fresh[domain.SetAsideKind](1), RunID: f.Sheet.Runs[3].ID, Reason: "a pump started", Stamp: stamp},
		{ID: fresh[domain.SetAsideKind](2), RunID: f.Sheet.Runs[4].ID, ReadingID: &reading, Reason: "the display froze", Stamp: stamp},
	}
	r := evaluate(t, f)
	p := second(r)
	if p.RunsTaken != 3 || p.RunsUsed != 2 || !p.Remarks.Has(evaluation.SomeSetAside) || !p.Remarks.Has(evaluation.FewerRuns) {
		t.Errorf("%d taken, %d used, %v", p.RunsTaken, p.RunsUsed, p.Remarks)
	}
	if got := r.Phases[0].Count; got != (sheet.Count{RunsTaken: 9, RunsUsed: 8, ReadingsTaken: 45, ReadingsUsed: 39}) {
		t.Errorf("counted %+v", got)
	}
	aside := runResult(t, r, sheet.Before, 4)
	if aside.Used || aside.SetAside != "a pump started" || aside.ReadingsTaken != 5 || aside.ReadingsUsed != 0 || aside.Error == 0 {
		t.Errorf("the run set aside is %+v", aside)
	}
	near(t, "error of two runs", p.Error, (runResult(t, r, sheet.Before, 5).Error+runResult(t, base, sheet.Before, 6).Error)/2, 1e-12)
	back := stamp
	back.CapturedAt = back.CapturedAt.Add(1)
	f.Sheet.SetAsides = append(f.Sheet.SetAsides,
		sheet.SetAside{ID: fresh[domain.SetAsideKind](3), RunID: f.Sheet.Runs[3].ID, TakenBack: true, Reason: "the pump was another", Stamp: back},
		sheet.SetAside{ID: fresh[domain.SetAsideKind](4), RunID: f.Sheet.Runs[4].ID, ReadingID: &reading, TakenBack: true, Reason: "it did not", Stamp: back})
	near(t, "error taken back", second(evaluate(t, f)).Error, second(base).Error, 1e-14)
}

func TestEverythingSetAside(t *testing.T) {
	f := facts(t)
	stamp := f.Sheet.Runs[3].Stamp
	for n, run := range f.Sheet.Runs[3:6] {
		f.Sheet.SetAsides = append(f.Sheet.SetAsides, sheet.SetAside{ID: fresh[domain.SetAsideKind](byte(n)), RunID: run.ID, Reason: "air in the line", Stamp: stamp})
	}
	r := evaluate(t, f)
	p := second(r)
	if p.RunsTaken != 3 || p.RunsUsed != 0 || p.Decision.Verdict != "no-statement" || !p.Grounds.Has(evaluation.NoUsedRun) || p.U != nil {
		t.Errorf("%+v", p)
	}
	if got := r.Phases[0].Indications[0].Overall.Verdict; got != "no-statement" {
		t.Errorf("overall %q although a point is open", got)
	}
	if len(r.Changes) != 2 {
		t.Errorf("%d changes, want those of the two other points", len(r.Changes))
	}
}

// TestRunsThatCannotTellTheirScatter take the method's pooled value, once.
func TestRunsThatCannotTellTheirScatter(t *testing.T) {
	f := facts(t)
	f.Sheet.Plans[0].Averaging, f.Kit[0].Averaging = 25, nil // two effective readings of five
	p := second(evaluate(t, f))
	if p.TypeA.Basis != "pooled" {
		t.Fatalf("basis %q", p.TypeA.Basis)
	}
	near(t, "u", p.TypeA.Standard, 0.003/1.7320508075688772, 1e-12)
	near(t, "freedom", *p.TypeA.Freedom, 20, 1e-12)
	// Twice as long would have the four effective readings that a type A needs.
	effective := runResult(t, evaluate(t, f), sheet.Before, 4).Effective
	if want := math.Ceil(4/effective*5*f.Sheet.Plans[0].Interval/60) * 60; p.RunSeconds != want {
		t.Errorf("runs of %g s would tell their scatter, want %g", p.RunSeconds, want)
	}
}

func TestTwoIndicationsStandApart(t *testing.T) {
	f := facts(t)
	loop := f.Indications[0]
	loop.ID, loop.Name = fresh[domain.IndicationKind](9), "loop"
	f.Indications = append(f.Indications, loop)
	for i := range f.Sheet.Readings[:40] { // the last run before adjustment has no loop
		r := &f.Sheet.Readings[i]
		r.Indications = append(r.Indications, sheet.Shown{IndicationID: loop.ID, Value: r.Indications[0].Value * 1.01, Entered: "12.34 mA"})
	}
	r := evaluate(t, f)
	display, second := r.Phases[0].Indications[0], r.Phases[0].Indications[1]
	near(t, "error of the loop", second.Points[1].Error, 1.01*(1+display.Points[1].Error)-1, 1e-9)
	if third := second.Points[2]; third.RunsTaken != 2 || !third.Remarks.Has(evaluation.IndicationAbsent) {
		t.Errorf("%d runs taken, %v", third.RunsTaken, third.Remarks)
	}
	if len(r.Phases[1].Indications[1].Points) != 0 {
		t.Error("the loop was not read after the adjustment, and has points")
	}
}

func TestAReferenceAtRest(t *testing.T) {
	f := facts(t)
	for n := 1; n <= 5; n++ {
		f.Sheet.Readings[readingOf(&f, 4, n)].Reference = 0
	}
	p := second(evaluate(t, f))
	if !p.Grounds.Has(evaluation.ReferenceNotComparable) || p.U != nil || p.Decision.Verdict != "no-statement" {
		t.Errorf("%v, %+v", p.Grounds, p.Decision)
	}
}

func TestTheInputHashDoesNotDependOnOrder(t *testing.T) {
	f := facts(t)
	want := evaluate(t, f)
	slices.Reverse(f.Sheet.Readings)
	slices.Reverse(f.Sheet.Survey)
	slices.Reverse(f.Kit)
	slices.Reverse(f.Agreement.Limits)
	got := evaluate(t, f)
	a, _ := json.Marshal(want)
	b, _ := json.Marshal(got)
	if string(a) != string(b) {
		t.Error("the order of rows changes the result")
	}
	f.Method.Content.Criteria.Repeatability *= 2
	if evaluate(t, f).Input == want.Input {
		t.Error("another method, the same input")
	}
}

func TestFactsAreNotChanged(t *testing.T) {
	f := facts(t)
	before, _ := json.Marshal(f)
	evaluate(t, f)
	if after, _ := json.Marshal(f); string(after) != string(before) {
		t.Error("evaluating changed the facts")
	}
}

func TestFactsSurviveJSON(t *testing.T) {
	f := facts(t)
	text, err := f.Canonical()
	if err != nil {
		t.Fatal(err)
	}
	var back evaluation.Facts
	if err := json.Unmarshal(text, &back); err != nil {
		t.Fatal(err)
	}
	if again, _ := back.Canonical(); string(again) != string(text) {
		t.Error("facts do not come back from their canonical JSON")
	}
}

func TestContradictionsAreRefused(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*evaluation.Facts)
		code   *fault.Code
		field  string
	}{
		{"no indication", func(f *evaluation.Facts) { f.Indications = nil }, evaluation.NothingToJudge, "indications"},
		{"no point", func(f *evaluation.Facts) { f.Task.PointID = domain.PointID{} }, domain.Required, "task"},
		{"overall rule", func(f *evaluation.Facts) { f.Agreement.OverallRule = "best" }, evaluation.UnknownRule, "agreement.overall_rule"},
		{"half a limit", func(f *evaluation.Facts) { f.Agreement.Limits[1].Upper, f.Agreement.Limits[1].Lower = nil, nil }, evaluation.LimitIncomplete, "agreement.limits[1]"},
		{"span without a span", func(f *evaluation.Facts) { f.Agreement.Limits[0].Kind = evaluation.OfSpan }, evaluation.LimitIncomplete, "agreement.limits[0]"},
		{"kit that is not there", func(f *evaluation.Facts) { f.Kit = f.Kit[1:] }, evaluation.UnknownKit, "sheet.mountings[0]"},
		{"mounting that is not there", func(f *evaluation.Facts) { f.Sheet.Runs[2].MountingID = fresh[domain.MountingKind](7) }, evaluation.UnknownMounting, "sheet.runs[2].mounting_id"},
		{"corrects itself", func(f *evaluation.Facts) {
			f.Sheet.Survey[0].Corrects, f.Sheet.Survey[0].Reason = &f.Sheet.Survey[0].ID, "why not"
		}, evaluation.RowCorrectsItself, "sheet.survey[0].corrects"},
		{"a reading that corrects itself", func(f *evaluation.Facts) {
			f.Sheet.Readings[0].Corrects, f.Sheet.Readings[0].Reason = &f.Sheet.Readings[0].ID, "why not"
		}, evaluation.RowCorrectsItself, "sheet.readings[0].corrects"},
		{"a negative wall", func(f *evaluation.Facts) { surveyed(f, sheet.Wall).Value = number(-0.007) }, sheet.OutOfRange, "sheet.survey[2].value"},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := facts(t)
			c.change(&f)
			_, err := evaluation.Evaluate(f)
			for _, one := range fault.AllOf(err) {
				if one.Code == c.code && one.Field == c.field {
					return
				}
			}
			t.Errorf("%s in %s is not among %v", c.code.Name(), c.field, err)
		})
	}
}

func TestFindingsSurviveJSON(t *testing.T) {
	for _, f := range []fault.Fault{
		evaluation.CalibrationNotValid.At("x", "RM-2", "F 1", "2026-01-01", 4),
		evaluation.VelocityNotCovered.At("velocity", 0.125, "F 1"),
		evaluation.BypassUnknown.At(""),
	} {
		text, err := json.Marshal(evaluation.Finding{Fault: f})
		if err != nil {
			t.Fatal(err)
		}
		var back evaluation.Finding
		if err := json.Unmarshal(text, &back); err != nil || back.Error() != f.Error() {
			t.Errorf("%s came back as %v, %v", text, back, err)
		}
	}
	for _, strange := range []string{`{"code":"evaluation.of-tomorrow"}`, `{"code":"evaluation.velocity-not-covered"}`,
		`{"code":"evaluation.velocity-not-covered","values":{"velocity":"fast","certificate":"F 1"}}`,
		`{"code":"evaluation.velocity-not-covered","values":{"velocity":1,"certificate":2}}`} {
		var f evaluation.Finding
		if err := json.Unmarshal([]byte(strange), &f); err != nil || f.Code != evaluation.UnknownFinding {
			t.Errorf("%s is read as %v, %v", strange, f, err)
		}
	}
	if text, _ := json.Marshal(evaluation.Finding{}); string(text) != "null" {
		t.Errorf("no finding is written as %s", text)
	}
}

// A run from loggers' files has its own times: one before its mounting is pointed out.
func TestRunBeforeItsMounting(t *testing.T) {
	f := facts(t)
	if evaluate(t, f).Runs[0].Remarks.Has(evaluation.RunBeforeMounting) {
		t.Fatal("pointed out although it came after")
	}
	f.Sheet.Runs[0].CapturedAt = f.Sheet.Mountings[0].CapturedAt.Add(-1)
	found := 0
	for _, r := range evaluate(t, f).Runs {
		if r.Remarks.Has(evaluation.RunBeforeMounting) {
			found++
		}
	}
	if found != 1 {
		t.Errorf("%d runs, want one", found)
	}
}
