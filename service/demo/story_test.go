package demo

import (
	"math"
	"slices"
	"testing"
	"time"

	"rillmark/calc/fault"
	"rillmark/calc/trace"
	"rillmark/domain"
	"rillmark/domain/evaluation"
	"rillmark/domain/kit"
	"rillmark/domain/sheet"
	"rillmark/domain/visit"
	"rillmark/service/account"
	"rillmark/service/capture"
	"rillmark/service/capture/tracing"
	"rillmark/service/planning"
	"rillmark/service/registry"
	"rillmark/service/store"
)

// TestStory fills once and reads what the pages would show.
func TestStory(t *testing.T) {
	s, db := services(t)
	if err := Fill(t.Context(), s); err != nil {
		t.Fatal(err)
	}
	for name, look := range map[string]func(*testing.T, Services, *store.Store){
		"visits": visitsHaveStates, "tasks": tasksHaveGround, "today": todayIsHalfDone, "verdicts": verdictsAreAsExpected,
		"faults": faultsShow, "kit": kitLapses, "meters": metersHaveHistory, "method": methodHasEditions, "sources": nothingIsStoredUnseen,
		"people": everybodyCanLogIn, "documents": documentsHaveStates, "records": nothingIsAmiss, "loggers": loggersTell, "used kit": kitTellsItsCertificates,
	} {
		t.Run(name, func(t *testing.T) { look(t, s, db) })
	}
}

func everybodyCanLogIn(t *testing.T, s Services, _ *store.Store) {
	for _, p := range People() {
		in, err := s.Account.Login(t.Context(), account.Attempt{Login: p.Login, Password: Password, Address: "127.0.0.1"})
		if err != nil || !in.Actor.Has(p.Role) {
			t.Errorf("%s: %+v, %v", p.Login, in.Actor, err)
		}
	}
}

func viewOf(t *testing.T, s Services, i int) planning.View {
	t.Helper()
	v, err := s.Planning.Visit(t.Context(), as(yusuf), idOf[domain.VisitKind](visitRow, i))
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func visitsHaveStates(t *testing.T, s Services, _ *store.Store) {
	want := []visit.State{visit.Closed, visit.Closed, visit.Closed, visit.InReview, visit.Cancelled, visit.OnSite, visit.Confirmed, visit.Planned, visit.InReview, visit.InReview, visit.Planned,
		visit.Closed, visit.Closed, visit.Closed, visit.InReview}
	for i := range visits {
		v := viewOf(t, s, i)
		if v.State != want[i] || len(v.Tasks) != len(visits[i].points) {
			t.Errorf("visit %d of %s is %s with %d tasks, want %s with %d", i, v.Site, v.State, len(v.Tasks), want[i], len(visits[i].points))
		}
		if bound := v.State != visit.Cancelled; bound != (len(v.Crew) > 0 && len(v.Kit) > 0) {
			t.Errorf("visit %d of %s, %s: crew %v, kit %v", i, v.Site, v.State, v.Crew, v.Kit)
		}
	}
	for _, state := range []visit.State{visit.Planned, visit.Confirmed, visit.OnSite, visit.InReview, visit.Closed, visit.Cancelled} {
		if !slices.Contains(want, state) {
			t.Errorf("no visit is %s", state)
		}
	}
}

// sheetOf reads a task's sheet as the auditor.
func sheetOf(t *testing.T, s Services, id domain.TaskID) *capture.Work {
	t.Helper()
	w, err := s.Capture.Sheet(t.Context(), as(yusuf), id)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

func tasksHaveGround(t *testing.T, s Services, db *store.Store) {
	n, err := store.Scalars[int](t.Context(), db, `SELECT count(*)::int FROM task t JOIN installation i ON i.id = t.installation_id JOIN visit v ON v.id = t.visit_id
		JOIN agreement a ON a.id = t.agreement_id WHERE i.point_id = t.point_id AND i.during @> v.during AND a.point_id = t.point_id`)
	if err != nil {
		t.Fatal(err)
	}
	want := 0
	for i := range visits {
		for _, task := range viewOf(t, s, i).Tasks {
			want++
			w := sheetOf(t, s, task.ID)
			if len(w.Indications) == 0 || len(w.Facts.Agreement.Limits) == 0 || len(w.OfKind(kit.ReferenceMeter)) == 0 && i != 4 {
				t.Errorf("visit %d, %s: %d indications, %d limits, reference meters %v", i, task.Tag, len(w.Indications), len(w.Facts.Agreement.Limits), w.OfKind(kit.ReferenceMeter))
			}
		}
	}
	if n[0] != want {
		t.Errorf("%d tasks have their meter and their agreement, want %d", n[0], want)
	}
}

func todayIsHalfDone(t *testing.T, s Services, db *store.Store) {
	const today = 5
	v := viewOf(t, s, today)
	now, err := store.Scalars[time.Time](t.Context(), db, "SELECT now()")
	if err != nil {
		t.Fatal(err)
	}
	if now[0].Before(v.From) || !now[0].Before(v.Until) {
		t.Errorf("today's visit is from %v until %v, now %v", v.From, v.Until, now[0])
	}
	mine, err := s.Capture.Tasks(t.Context(), as(mirela), now[0].Add(-time.Minute), now[0])
	if err != nil || len(mine) != 2 || mine[0].Tag != "FT-140" || !mine[0].Started || mine[0].Closed != nil || mine[1].Tag != "FT-155" || mine[1].Started {
		t.Errorf("today's tasks: %+v, %v", mine, err)
	}
	w := sheetOf(t, s, v.Tasks[0].ID)
	count := sheet.CountOf(w.Facts.Sheet.Taken(sheet.Before))
	if state := w.Facts.Sheet.State(); state != sheet.UnderWay || count.RunsTaken != 4 || len(w.Evaluations) != 0 {
		t.Errorf("%s: %s with %+v and %d evaluations", w.Tag, state, count, len(w.Evaluations))
	}
	for _, r := range w.Facts.Sheet.Readings {
		if r.CapturedAt.After(now[0]) || r.CapturedAt.Before(v.From) {
			t.Errorf("a reading of %v", r.CapturedAt)
		}
	}
	if last := w.LastVisit[sheet.Wall]; last.Count != 4 || now[0].Sub(last.At) < 300*24*time.Hour {
		t.Errorf("last visit's wall: %+v", last)
	}
	if warnings := w.KitWarnings(as(mirela).Person, now[0]); len(warnings) > 0 {
		t.Errorf("today's kit: %v", warnings)
	}
}

// finished are the sheets of finished tasks by tag, with their evaluations as computed
// from what is stored.
func finished(t *testing.T, s Services, i int, tag string) (*capture.Work, evaluation.Result) {
	t.Helper()
	tasks := viewOf(t, s, i).Tasks
	at := slices.IndexFunc(tasks, func(x planning.Task) bool { return x.Tag == tag })
	if at < 0 {
		t.Fatalf("visit %d has no %s", i, tag)
	}
	w := sheetOf(t, s, tasks[at].ID)
	r, err := w.Result()
	if err != nil {
		t.Fatal(err)
	}
	return w, r
}

func verdictsAreAsExpected(t *testing.T, s Services, _ *store.Store) {
	for _, row := range []struct {
		visit         int
		tag           string
		before, after string // of the display; after is empty without adjustment
		evaluations   int
	}{
		{0, "FT-140", "pass", "", 1},
		{1, "M-2", "no-statement", "", 1},
		{2, "FIT-W1", "conditional-pass", "", 1},
		{2, "FIT-C2", "pass", "", 1},
		{3, "FI-301", "pass", "", 2},
		{3, "FI-312", "fail", "pass", 1},
		{11, "HF-10", "pass", "", 1},
		{12, "FIT-G1", "no-statement", "", 1},
		{13, "FQ-2301", "pass", "", 1},
		{14, "FX-520", "pass", "", 1},
	} {
		w, r := finished(t, s, row.visit, row.tag)
		if r.Conformity != (row.tag == "FIT-G1" || row.before != "no-statement") { // of the coolant the smallest flow alone has none
			t.Errorf("%s: statements %v", row.tag, r.Conformity)
		}
		got := []string{}
		for _, p := range r.Phases {
			got = append(got, p.Indications[0].Overall.Verdict)
		}
		want := []string{row.before}
		if row.after != "" {
			want = append(want, row.after)
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s: verdicts %v, want %v", row.tag, got, want)
		}
		if state := w.Facts.Sheet.State(); state != sheet.Done || len(w.Evaluations) != row.evaluations {
			t.Errorf("%s: %s, %d evaluations", row.tag, state, len(w.Evaluations))
		} else if w.Evaluations[0].Input != r.Input || w.Evaluations[0].Conformity != r.Conformity {
			t.Errorf("%s: the evaluation kept last is not that of the sheet: %+v", row.tag, w.Evaluations[0])
		}
	}
}

func faultsShow(t *testing.T, s Services, _ *store.Store) {
	_, short := finished(t, s, 2, "FIT-W1")
	wantFinding(t, "FIT-W1", short.Mountings[0].Remarks, evaluation.StraightShort)
	_, lapsed := finished(t, s, 1, "M-2")
	wantFinding(t, "M-2", lapsed.Grounds, evaluation.InstrumentNotValid)
	aside, result := finished(t, s, 2, "FIT-C2")
	if c := sheet.CountOf(aside.Facts.Sheet.Taken(sheet.Before)); c.RunsTaken != 10 || c.RunsUsed != 9 || len(result.Phases[0].Indications[0].Points[1].Grounds) > 0 {
		t.Errorf("FIT-C2: %+v", c)
	}
	wall, _ := finished(t, s, 3, "FI-301")
	outcomes := []sheet.Outcome{}
	for _, c := range wall.Facts.Sheet.SetupChecks {
		outcomes = append(outcomes, c.Outcome)
	}
	if !slices.Equal(outcomes, []sheet.Outcome{sheet.Failed, sheet.Passed, sheet.Passed}) {
		t.Errorf("FI-301: set-up checks %v", outcomes)
	}
	again, missing, ok := capture.CheckAgain(wall.Facts.Sheet.SetupChecks[0])
	if !ok || len(missing) > 0 || len(again.Explanations) == 0 || again.Explanations[0].Input != "wall_m" {
		t.Errorf("FI-301: what explains the failed check: %+v, %v, %v", again.Explanations, missing, ok)
	}
	_, high := finished(t, s, 3, "FI-312")
	for _, p := range high.Phases[0].Indications[0].Points {
		if p.Error < 0.025 || p.Error > 0.035 || !p.AdjustAdvised {
			t.Errorf("FI-312 before: %+v", p.Error)
		}
	}
	for _, p := range high.Phases[1].Indications[0].Points {
		if p.Significant {
			t.Errorf("FI-312 after: %v is significant", p.Error)
		}
	}
}

func wantFinding(t *testing.T, what string, in evaluation.Findings, code *fault.Code) {
	t.Helper()
	for _, f := range in {
		if f.Code == code {
			return
		}
	}
	t.Errorf("%s: no %s among %v", what, code.Name(), in)
}

func kitLapses(t *testing.T, s Services, db *store.Store) {
	now, err := store.Scalars[time.Time](t.Context(), db, "SELECT now()")
	if err != nil {
		t.Fatal(err)
	}
	soon, err := s.Equipment.Lapsing(t.Context(), as(tomas), now[0].AddDate(0, 0, 30))
	tags := []string{}
	for _, i := range soon {
		tags = append(tags, i.Tag)
	}
	if slices.Sort(tags); err != nil || !slices.Equal(tags, []string{"RM-1", "TP-1", "TP-2", "WG-2"}) {
		t.Errorf("lapsing: %v, %v", tags, err)
	}
	for i, want := range map[int]*fault.Code{1: kit.Lapsed, 5: nil, 6: kit.Lapsed, 7: nil, 10: kit.Lapsed} {
		gaps := viewOf(t, s, i).Gaps
		if found := slices.ContainsFunc(gaps, func(f fault.Fault) bool { return f.Code == want }); (want != nil) != found || want == nil && len(gaps) > 0 {
			t.Errorf("visit %d: gaps %v", i, gaps)
		}
	}
}

func metersHaveHistory(t *testing.T, s Services, _ *store.Store) {
	for point, want := range map[int]int{condenserSupply: 2, townWater: 2, networkWater: 1} {
		list, err := s.Registry.InstalledAt(t.Context(), as(yusuf), idOf[domain.PointKind](pointRow, point))
		if err != nil || len(list) != want || list[0].RemovedAt != nil || want > 1 && list[1].RemovedAt == nil {
			t.Errorf("point %d: %+v, %v", point, list, err)
		}
	}
	for i, p := range points {
		if at := meterAt(i); at < 0 || meters[at].point != i {
			t.Errorf("%s has no meter of its own", p.texts.Tag)
		}
		if list, err := s.Registry.InstalledAt(t.Context(), as(yusuf), idOf[domain.PointKind](pointRow, i)); err != nil || len(list) == 0 {
			t.Errorf("%s has no meter, %v", p.texts.Tag, err)
		}
	}
	page, err := s.Registry.Meters(t.Context(), as(yusuf), idOf[domain.ClientKind](clientRow, 3), registry.Filter{})
	if err != nil || len(page.Items) != 5 {
		t.Errorf("the cooling client's meters: %+v, %v", page.Items, err)
	}
}

func methodHasEditions(t *testing.T, s Services, _ *store.Store) {
	list, err := s.Agreeing.Editions(t.Context(), as(yusuf), theMethod)
	if err != nil || len(list) != 2 || !list[0].Used || !list[1].Used || list[0].InForceTo != nil || list[1].InForceTo == nil {
		t.Errorf("editions: %+v, %v", list, err)
	}
	old, _ := finished(t, s, 0, "FT-140")
	today := sheetOf(t, s, viewOf(t, s, 5).Tasks[0].ID)
	if old.Facts.Method.Edition != 1 || today.Facts.Method.Edition != 2 {
		t.Errorf("editions of the first visit and of today: %d, %d", old.Facts.Method.Edition, today.Facts.Method.Edition)
	}
	deals, err := s.Agreeing.Agreements(t.Context(), as(yusuf), idOf[domain.PointKind](pointRow, networkWater))
	if err != nil || len(deals) != 2 || deals[0].Consent == nil || deals[1].ReplacedBy == nil {
		t.Errorf("agreements: %+v, %v", deals, err)
	}
}

// nothingIsStoredUnseen looks that every number of a sheet has its text, and that what was
// measured names its instrument where the budget asks for one.
func nothingIsStoredUnseen(t *testing.T, s Services, db *store.Store) {
	for query, want := range map[string]int{
		"SELECT count(*)::int FROM reading WHERE reference_entered NOT LIKE '% m³/h'":                                             0,
		"SELECT count(*)::int FROM survey_value WHERE value IS NOT NULL AND entered = ''":                                         0,
		"SELECT count(*)::int FROM survey_value WHERE source = 'measured' AND kit_id IS NULL AND name IN ('wall', 'temperature')": 0,
		"SELECT count(*)::int FROM visit_step WHERE by NOT LIKE 'person:%'":                                                       0,
	} {
		if n, err := store.Scalars[int](t.Context(), db, query); err != nil || n[0] != want {
			t.Errorf("%s: %v, want %d, %v", query, n, want, err)
		}
	}
}

// loggersTell looks that the two visits with loggers came out as their story says: a lag by
// the signals, one by a clock note where they fit at many, runs from stretches, and numbers
// that hold the truth.
func loggersTell(t *testing.T, s Services, _ *store.Store) {
	for _, row := range []struct {
		visit  int
		tag    string
		how    tracing.How
		code   *fault.Code // why the signals tell no lag
		asides int
	}{
		{8, "FIT-P4", tracing.BySignals, nil, 1},
		{9, "FI-355", tracing.ByNote, trace.CodeAmbiguous, 1},
	} {
		w, r := finished(t, s, row.visit, row.tag)
		i := slices.IndexFunc(tasks, func(x task) bool { return x.visit == row.visit })
		story := tasks[i].logging
		all, err := s.Tracing.Alignments(t.Context(), as(yusuf), w.TaskID)
		if err != nil || len(all) != 1 {
			t.Fatalf("%s: %d alignments, %v", row.tag, len(all), err)
		}
		a := all[0]
		if a.How != row.how || !a.Found || a.Signals.Reason.Code != row.code || a.Signals.Found != (row.code == nil) {
			t.Errorf("%s: %s, found %v, %v", row.tag, a.How, a.Found, a.Signals.Reason)
		}
		if want := story.meterLate - story.referenceLate; math.Abs(a.Lag-want) > a.Uncertainty || a.Uncertainty > 10 {
			t.Errorf("%s: lag %g ± %g s, want %g", row.tag, a.Lag, a.Uncertainty, want)
		}
		pieces, err := s.Tracing.Pieces(t.Context(), as(yusuf), w.TaskID)
		asides := 0
		for _, p := range pieces {
			if p.RunID == nil {
				asides++
			}
		}
		if err != nil || asides != row.asides || len(pieces)-asides != runsAtPoint*len(tasks[i].flows) {
			t.Errorf("%s: %d stretches, %d of them set aside, %v", row.tag, len(pieces), asides, err)
		}
		annexed(t, s, w, len(pieces))
		if len(r.Phases) != 1 {
			t.Fatalf("%s: %d phases", row.tag, len(r.Phases))
		}
		for k, p := range r.Phases[0].Indications[0].Points {
			if len(p.Grounds) > 0 || p.U == nil || math.Abs(p.Error-tasks[i].errors[k]) > p.U.Expanded {
				t.Errorf("%s: flow point %d: %+v, %v; the truth is %g", row.tag, k+1, p.Error, p.Grounds, tasks[i].errors[k])
			}
		}
	}
}

// annexed looks that the document shows both records, and every stretch that was decided on.
func annexed(t *testing.T, s Services, w *capture.Work, stretches int) {
	t.Helper()
	judged, err := s.Issuing.Evaluation(t.Context(), as(bram), w.Evaluations[0].ID)
	if err != nil {
		t.Fatal(err)
	}
	draft, err := s.Issuing.Draft(t.Context(), as(bram), judged)
	if err != nil || len(draft.Traces) != 1 {
		t.Fatalf("%s: %d records, %v", w.Tag, len(draft.Traces), err)
	}
	one := draft.Traces[0]
	if len(one.Stretches) != stretches || len(one.Reference.Drawn) < 150 || len(one.Meter.Drawn) < 150 || len(one.Error) < 100 || one.Lag == nil || one.U == nil {
		t.Errorf("%s: %d stretches, %d and %d drawn, %d errors", w.Tag, len(one.Stretches), len(one.Reference.Drawn), len(one.Meter.Drawn), len(one.Error))
	}
	if pdf, err := s.Issuing.ResultSheet(t.Context(), as(bram), w.Evaluations[0].ID); err != nil || len(pdf) < 50_000 {
		t.Errorf("%s: a sheet of %d bytes, %v", w.Tag, len(pdf), err)
	}
}
