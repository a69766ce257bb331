package capture_test

import (
	"context"
	"math"
	"os"
	"testing"
	"time"

	"rillmark/domain"
	"rillmark/domain/evaluation"
	"rillmark/domain/sheet"
	"rillmark/service/capture"
	"rillmark/service/capture/capturetest"
	"rillmark/service/store"
	"rillmark/service/store/storetest"
)

func TestMain(m *testing.M) { os.Exit(storetest.Run(m)) }

const root = "../.."

// desk is a service with a task prepared.
type desk struct {
	*capturetest.Place
	*capture.Service
	t   *testing.T
	ctx context.Context
	db  storetest.DB
}

func open(t *testing.T) *desk {
	t.Helper()
	db := storetest.Clone(t)
	s := capture.New(capture.Config{Store: db.Open(t, store.App), IDs: storetest.IDs(), Version: "test"})
	return &desk{Place: capturetest.Prepare(t, db, root, domain.PersonID{}), Service: s, t: t, ctx: t.Context(), db: db}
}

// at is a new operation on the task, at the device's time.
func (d *desk) at(when time.Time) capture.At {
	return capture.At{Operation: storetest.Operation(), TaskID: d.Task, CapturedAt: when}
}

func id[K any]() domain.ID[K] { return domain.NewID[K](storetest.IDs()) }

// replay fills in the sheet with everything that was observed in the worked example.
func (d *desk) replay() {
	d.t.Helper()
	d.FillIn(d.Service)
}

// TestSheetComesToTheWorkedExample fills a sheet in by commands, from the texts as typed,
// and compares with the evaluation of the example's own facts.
func TestSheetComesToTheWorkedExample(t *testing.T) {
	d := open(t)
	d.replay()
	w, err := d.Sheet(d.ctx, d.Technician, d.Task)
	if err != nil {
		t.Fatal(err)
	}
	got, err := w.Result()
	if err != nil {
		t.Fatal(err)
	}
	want, err := evaluation.Evaluate(d.Example)
	if err != nil {
		t.Fatal(err)
	}
	if len(got.Phases) != 2 || len(want.Phases) != 2 {
		t.Fatalf("%d phases, want %d", len(got.Phases), len(want.Phases))
	}
	if len(got.Grounds) != 0 || !got.Conformity {
		t.Errorf("grounds %v, conformity %v", got.Grounds, got.Conformity)
	}
	for i, p := range want.Phases {
		if got.Phases[i].Count != p.Count {
			t.Errorf("%s: counts %+v, want %+v", p.Phase, got.Phases[i].Count, p.Count)
		}
		for j, point := range p.Indications[0].Points {
			same(t, got.Phases[i].Indications[0].Points[j], point)
		}
	}
	if len(got.Changes) != 3 || len(got.Kit) != len(want.Kit) {
		t.Errorf("%d changes, %d calibrations, want 3 and %d", len(got.Changes), len(got.Kit), len(want.Kit))
	}
	if state := w.Facts.Sheet.State(); state != sheet.Done {
		t.Errorf("state %s", state)
	}
}

// same compares the numbers of a flow point.
func same(t *testing.T, got, want evaluation.PointResult) {
	t.Helper()
	near(t, "error", got.Error, want.Error, 1e-12)
	near(t, "reference", got.Reference, want.Reference, 1e-12)
	near(t, "velocity", got.Velocity, want.Velocity, 1e-12)
	if got.U == nil || want.U == nil {
		t.Fatalf("U %v, want %v; grounds %v", got.U, want.U, got.Grounds)
	}
	near(t, "U", got.U.Expanded, want.U.Expanded, 1e-9)
	if got.Decision.Verdict != want.Decision.Verdict {
		t.Errorf("verdict %s, want %s", got.Decision.Verdict, want.Decision.Verdict)
	}
}

func near(t *testing.T, what string, got, want, relative float64) {
	t.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)) {
		t.Errorf("%s %.15g, want %.15g", what, got, want)
	}
}

func TestEvaluationIsKeptOnce(t *testing.T) {
	d := open(t)
	d.replay()
	first := must(t)(d.Evaluate(d.ctx, d.Technician, capture.Evaluate{At: d.at(time.Time{}), ID: id[domain.EvaluationKind]()}))
	again := must(t)(d.Evaluate(d.ctx, d.Technician, capture.Evaluate{At: d.at(time.Time{}), ID: id[domain.EvaluationKind]()}))
	if first != again || first.Number != 1 {
		t.Errorf("the same sheet is kept as %+v and %+v", first, again)
	}
	must(t)(d.NoteTask(d.ctx, d.Technician, capture.NoteTask{At: d.at(time.Time{}), ID: id[domain.TaskNoteKind](), Kind: "deviation", Text: "Two readings by telephone."}))
	other := must(t)(d.Evaluate(d.ctx, d.Technician, capture.Evaluate{At: d.at(time.Time{}), ID: id[domain.EvaluationKind]()}))
	if other.ID == first.ID || other.Number != 2 {
		t.Errorf("a new fact is kept as %+v", other)
	}
	for query, want := range map[string]int{
		"SELECT count(*) FROM evaluation":                                                      2,
		"SELECT count(*) FROM evaluation WHERE conformity":                                     2,
		"SELECT count(*) FROM evaluation_kit WHERE evaluation_id = '" + first.ID + "'":         4,
		"SELECT count(*) FROM evaluation_contributor WHERE evaluation_id = '" + first.ID + "'": 1,
		"SELECT count(*) FROM blob b JOIN evaluation e ON e.facts = b.sha256":                  2,
	} {
		if got := d.Count(query); got != want {
			t.Errorf("%s: %d, want %d", query, got, want)
		}
	}
	w, err := d.Sheet(d.ctx, d.Technician, d.Task)
	if err != nil {
		t.Fatal(err)
	}
	if r, err := w.Result(); err != nil || len(w.Evaluations) != 2 || w.Evaluations[0].Input != r.Input {
		t.Errorf("evaluations %+v; the sheet's input %s, %v", w.Evaluations, r.Input, err)
	}
}

func must(t *testing.T) func(capture.Written, error) capture.Written {
	return func(w capture.Written, err error) capture.Written {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return w
	}
}
