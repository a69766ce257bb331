package tracing_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/sheet"
	"rillmark/service/capture"
	"rillmark/service/capture/capturetest"
	"rillmark/service/capture/tracing"
	"rillmark/service/logfile"
	"rillmark/service/store"
	"rillmark/service/store/storetest"
)

func TestMain(m *testing.M) { os.Exit(storetest.Run(m)) }

const root = "../../.."

// desk is the service with a task whose runs are planned.
type desk struct {
	*capturetest.Place
	*tracing.Service
	sheet *capture.Service
	t     testing.TB
	ctx   context.Context
	db    storetest.DB
}

func open(t testing.TB) *desk {
	t.Helper()
	return openOn(t, storetest.Clone(t))
}

func openOn(t testing.TB, db storetest.DB) *desk {
	t.Helper()
	s := db.Open(t, store.App)
	c := capture.New(capture.Config{Store: s, IDs: storetest.IDs(), Version: "test"})
	return &desk{capturetest.Prepare(t, db, root, domain.PersonID{}),
		tracing.New(tracing.Config{Store: s, IDs: storetest.IDs(), Capture: c}), c, t, t.Context(), db}
}

func id[K any]() domain.ID[K] { return domain.NewID[K](storetest.IDs()) }

func (d *desk) at() capture.At {
	return capture.At{Operation: storetest.Operation(), TaskID: d.Task}
}

func (d *desk) must(w capture.Written, err error) capture.Written {
	d.t.Helper()
	if err != nil {
		d.t.Fatal(err)
	}
	return w
}

// upload keeps a file of the reference, or of the meter.
func (d *desk) upload(role tracing.Role, name string, data []byte) domain.LogFileID {
	d.t.Helper()
	c := tracing.Upload{At: d.at(), ID: id[domain.LogFileKind](), Role: string(role), Name: name, File: bytes.NewReader(data)}
	if role == tracing.Meter {
		c.IndicationID = d.Indication
	}
	d.must(d.Upload(d.ctx, d.Technician, c))
	return c.ID
}

func (d *desk) confirm(file domain.LogFileID, m logfile.Mapping) domain.SeriesID {
	d.t.Helper()
	c := tracing.Confirm{At: d.at(), ID: id[domain.SeriesKind](), FileID: file, Mapping: m}
	d.must(d.Confirm(d.ctx, d.Technician, c))
	return c.ID
}

func example(t testing.TB, name string) []byte {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(root, "testdata/calc/align", name))
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// pair keeps the two files of the worked example of "calc align", under its map.
func (d *desk) pair() (reference, meter domain.SeriesID) {
	d.t.Helper()
	m, err := logfile.ParsePairMap(example(d.t, "map.json"))
	if err != nil {
		d.t.Fatal(err)
	}
	m.Meter.Zone = "UTC"
	return d.confirm(d.upload(tracing.Reference, "reference.csv", example(d.t, "reference.csv")), m.Reference),
		d.confirm(d.upload(tracing.Meter, "meter.csv", example(d.t, "meter.csv")), m.Meter)
}

func (d *desk) aligned() domain.AlignmentID {
	d.t.Helper()
	r, m := d.pair()
	c := tracing.Decide{At: d.at(), ID: id[domain.AlignmentKind](), Pair: tracing.Pair{ReferenceID: r, MeterID: m}, How: "signals"}
	d.must(d.Decide(d.ctx, d.Technician, c))
	return c.ID
}

// planned mounts the reference and fixes the runs.
func (d *desk) planned() domain.MountingID {
	d.t.Helper()
	d.FillInSurvey(d.sheet, func(time.Time) time.Time { return time.Time{} })
	m := id[domain.MountingKind]()
	d.must(d.sheet.Mount(d.ctx, d.Technician, capture.Mount{At: d.at(), ID: m, ReferenceID: d.Has("RM-2"), PairID: d.Has("TP-7"), Traverses: "2", Spacing: "117"}))
	d.must(d.sheet.PlanRuns(d.ctx, d.Technician, capture.PlanRuns{At: d.at(), ID: id[domain.RunPlanKind](), Phase: "before", FlowPoints: "3", Runs: "1", Seconds: "300", Interval: "5"}))
	return m
}

// TestSaysWhatTheCommandLineSays keeps the files of the worked example and compares with
// the answer that "calc align" is held to.
func TestSaysWhatTheCommandLineSays(t *testing.T) {
	d := open(t)
	steady, err := d.Stretches(d.ctx, d.Technician, d.aligned())
	if err != nil {
		t.Fatal(err)
	}
	var want struct {
		Lag       float64 `json:"lag_s"`
		U         float64 `json:"lag_uncertainty_s"`
		Stretches []struct {
			From, To   time.Time
			Reference  float64 `json:"reference_mean_m3_s"`
			Indication float64 `json:"indication_mean_m3_s"`
			Error      float64 `json:"error_percent"`
			TypeA      float64 `json:"type_a_standard_percent"`
			Expanded   float64 `json:"expanded_95_percent"`
			N          float64 `json:"effective_n"`
		}
	}
	if err := json.Unmarshal(example(t, "answer.json"), &want); err != nil || len(want.Stretches) < 3 {
		t.Fatal(err, len(want.Stretches))
	}
	near(t, "lag", steady.Alignment.Lag, want.Lag, 1e-9)
	near(t, "uncertainty", steady.Alignment.Uncertainty, want.U, 1e-9)
	if len(steady.Proposed) != len(want.Stretches) {
		t.Fatalf("%d stretches, want %d", len(steady.Proposed), len(want.Stretches))
	}
	for i, w := range want.Stretches {
		got := steady.Proposed[i]
		near(t, "from", float64(got.From.UnixMilli()), float64(w.From.UnixMilli()), 1e-12)
		near(t, "reference", got.Reference, w.Reference, 1e-9)
		near(t, "indication", got.Indication, w.Indication, 1e-9)
		near(t, "error", got.Error*100, w.Error, 1e-9)
		near(t, "type A", *got.TypeA*100, w.TypeA, 1e-9)
		near(t, "expanded", *got.Expanded*100, w.Expanded, 1e-9)
		near(t, "effective n", got.EffectiveN, w.N, 1e-9)
		if !hasCode(got.Warnings, tracing.NotInVisit) { // the files are of March, the visit of today
			t.Errorf("stretch %d: %v", i, got.Warnings)
		}
	}
}

func near(t testing.TB, what string, got, want, relative float64) {
	t.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)) {
		t.Errorf("%s %.15g, want %.15g", what, got, want)
	}
}

func hasCode(l fault.List, c *fault.Code) bool { return fault.Has(l, c) }

// TestStretchBecomesARun takes a proposed stretch and finds the run on the sheet, with
// readings that say what the stretch said, and evaluated by their own sampling.
func TestStretchBecomesARun(t *testing.T) {
	d := open(t)
	alignment, mounting := d.aligned(), d.planned()
	steady, err := d.Stretches(d.ctx, d.Technician, alignment)
	if err != nil {
		t.Fatal(err)
	}
	picked := steady.Proposed[0]
	c := tracing.Take{At: d.at(), ID: id[domain.RunKind](), StretchID: id[domain.StretchKind](), AlignmentID: alignment,
		From: picked.From, To: picked.To, Phase: "before", MountingID: mounting, FlowPoint: "1", Note: "from the loggers"}
	first := d.must(d.Take(d.ctx, d.Technician, c))
	if again := d.must(d.Take(d.ctx, d.Technician, c)); again != first || first.Number != 1 {
		t.Errorf("sent twice: %+v, then %+v", first, again)
	}
	w, err := d.sheet.Sheet(d.ctx, d.Technician, d.Task)
	if err != nil {
		t.Fatal(err)
	}
	taken := w.Facts.Sheet.Taken(sheet.Before)
	if len(taken) != 1 || len(taken[0].Readings) < 40 || len(taken[0].Readings) > 120 {
		t.Fatalf("%d runs", len(taken))
	}
	run := taken[0]
	if !run.CapturedAt.Equal(picked.From) || run.Interval == nil || *run.Interval < 9 || *run.Interval > 11 || *run.Averaging != 0 { // the scatter came in behind the averaging: 45 of 45 readings count
		t.Errorf("run %+v, interval %v, averaging %v", run.Run, *run.Interval, *run.Averaging)
	}
	var reference, indication float64
	for _, r := range run.Readings {
		reference += r.Reference / float64(len(run.Readings))
		indication += r.Indications[0].Value / float64(len(run.Readings))
		if r.CapturedAt.Before(picked.From) || r.CapturedAt.After(picked.To) {
			t.Errorf("a reading of %s", r.CapturedAt)
		}
	}
	near(t, "reference", reference, picked.Reference, 1e-7)
	near(t, "indication", indication, picked.Indication, 1e-7)
	result, err := w.Result()
	if err != nil {
		t.Fatal(err)
	}
	if len(result.Runs) != 1 {
		t.Errorf("%d runs in the result", len(result.Runs))
	}
	for _, r := range result.Runs {
		near(t, "effective number", r.Effective, picked.EffectiveN, 1e-6)
		near(t, "type A", r.TypeA/(1+r.Error), *picked.TypeA/(1+picked.Error), 1e-6)
	}
	again, err := d.Stretches(d.ctx, d.Technician, alignment)
	if err != nil || len(again.Decided) != 1 || again.Decided[0].Run != 1 || !hasCode(again.Proposed[0].Warnings, tracing.Overlaps) {
		t.Errorf("afterwards %+v, %v, %v", again.Decided, again.Proposed[0].Warnings, err)
	}
}

// TestIndicationsSideBySide takes a stretch with two indications of one meter, each by its
// own logger: the second one's clock is further off and it averages over a minute, which then
// ties the readings of the run together.
func TestIndicationsSideBySide(t *testing.T) {
	d := open(t)
	d.WithCurrent()
	first, mounting := d.aligned(), d.planned()
	channels, err := d.Channels(d.ctx, d.Technician, d.Task)
	if err != nil {
		t.Fatal(err)
	}
	// A recorder at the current output that writes every 20 s, on a clock of its own.
	var b bytes.Buffer
	b.WriteString("Time (UTC),Flow [m3/h]\n")
	begins := time.Date(2026, 3, 24, 7, 50, 0, 0, time.UTC)
	for i := range 150 {
		fmt.Fprintf(&b, "%s,%.2f\n", begins.Add(time.Duration(20*i)*time.Second).Format(time.RFC3339), 74+0.3*math.Sin(2*math.Pi*float64(i)/9))
	}
	u := tracing.Upload{At: d.at(), ID: id[domain.LogFileKind](), Role: "meter", IndicationID: d.Current, Name: "output.csv", File: bytes.NewReader(b.Bytes())}
	d.must(d.Upload(d.ctx, d.Technician, u))
	pair := tracing.Pair{ReferenceID: channels[0].ID, MeterID: d.confirm(u.ID, logfile.Mapping{}), MeterAveraging: &logfile.Averaging{Kind: "trailing", Seconds: 60}}
	also := tracing.Decide{At: d.at(), ID: id[domain.AlignmentKind](), Pair: pair, How: "nudged", Lag: "600", Uncertainty: "20", Reason: "set by the hall clock"}
	d.must(d.Decide(d.ctx, d.Technician, also))
	steady, err := d.Stretches(d.ctx, d.Technician, first)
	if err != nil {
		t.Fatal(err)
	}
	c := tracing.Take{At: d.at(), ID: id[domain.RunKind](), StretchID: id[domain.StretchKind](), AlignmentID: first, Also: []domain.AlignmentID{also.ID},
		From: steady.Proposed[0].From, To: steady.Proposed[0].To, Phase: "before", MountingID: mounting, FlowPoint: "1"}
	d.must(d.Take(d.ctx, d.Technician, c))
	w, err := d.sheet.Sheet(d.ctx, d.Technician, d.Task)
	if err != nil {
		t.Fatal(err)
	}
	run, shown := w.Facts.Sheet.Taken(sheet.Before)[0], 0
	for _, r := range run.Readings {
		if x, there := r.Of(d.Current); there {
			shown++
			if flow := x.Value * 3600; flow < 73.6 || flow > 74.4 {
				t.Errorf("%s", x.Entered)
			}
		}
	}
	if n := len(run.Readings); shown < n/2-2 || shown > n/2+3 || *run.Averaging != 60 {
		t.Errorf("%d of %d readings with the second indication, averaging %g s", shown, n, *run.Averaging)
	}
	c.At, c.ID, c.StretchID, c.Also = d.at(), id[domain.RunKind](), id[domain.StretchKind](), []domain.AlignmentID{first}
	if _, err := d.Take(d.ctx, d.Technician, c); !fault.Has(err, sheet.IndicationTwice) {
		t.Errorf("the same indication twice: %v", err)
	}
}
