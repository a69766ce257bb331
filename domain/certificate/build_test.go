package certificate_test

import (
	"encoding/json"
	"math"
	"os"
	"slices"
	"strconv"
	"testing"
	"time"

	"rillmark/calc/conformity"
	"rillmark/calc/fault"
	"rillmark/calc/quantity"
	"rillmark/domain"
	"rillmark/domain/certificate"
	"rillmark/domain/evaluation"
	"rillmark/domain/kit"
	"rillmark/domain/sheet"
)

func facts(t testing.TB) evaluation.Facts {
	t.Helper()
	text, err := os.ReadFile("../../testdata/verification/task.json")
	if err != nil {
		t.Fatal(err)
	}
	var f evaluation.Facts
	if err := json.Unmarshal(text, &f); err != nil {
		t.Fatal(err)
	}
	return f
}

func paper(f evaluation.Facts) certificate.Paper {
	zone := time.FixedZone("", 3600)
	by := f.Sheet.Runs[0].By
	return certificate.Paper{Kind: certificate.First,
		Editions:    certificate.Editions{Program: "Rillmark", Version: "0.9.0", Tables: "2026-1", Layout: "layout1"},
		Company:     certificate.Party{Name: "Saltmarsh Metering Services", Address: []string{"Tide Mill Lane 9", "Saltmarsh"}},
		Client:      certificate.Party{Name: "Aldermere Water", Address: []string{"Quay Road 3"}, Contact: "R. Hallworth"},
		Place:       certificate.Place{Site: "Fenwick Lane pumping station", Tag: "FT-204", Zone: "Europe/Dublin"},
		Meter:       certificate.Meter{Principle: "electromagnetic", Serial: "77-10482"},
		OrderNumber: "5512", AgreedBy: "R. Hallworth", AgreedOn: time.Date(2026, 5, 12, 0, 0, 0, 0, time.UTC),
		FlowUnit: "m³/h", Zone: zone, Names: map[domain.PersonID]string{by: "T. Okonjo"},
		Approver: &certificate.Person{Name: "I. Sørby", At: certificate.In(zone, time.Date(2026, 6, 18, 9, 0, 0, 0, time.UTC))},
		Say:      func(f fault.Fault) string { return "said: " + f.Code.Name() },
	}
}

func result(t testing.TB, f evaluation.Facts) evaluation.Result {
	t.Helper()
	r, err := evaluation.Evaluate(f)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func build(t testing.TB, f evaluation.Facts, p certificate.Paper) certificate.Snapshot {
	t.Helper()
	s, err := certificate.Build(p, f, result(t, f))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// complete is a snapshot that lacks nothing.
func complete(t testing.TB) certificate.Snapshot {
	t.Helper()
	f := facts(t)
	p := paper(f)
	return build(t, f, p).Numbered(certificate.Number{Year: 2026, Serial: 412},
		certificate.On(p.Zone, time.Date(2026, 6, 18, 9, 0, 0, 0, time.UTC)), "https://check.example/c/abc")
}

// TestEveryFigureIsTheResults: each figure's decimal is the result's own number, and what
// is printed is that number to within half of its last digit.
func TestEveryFigureIsTheResults(t *testing.T) {
	f := facts(t)
	r := result(t, f)
	s := build(t, f, paper(f))
	figures := 0
	check := func(what string, g certificate.Figure, want, scale float64) {
		t.Helper()
		figures++
		if g.Value != certificate.Shortest(want) {
			t.Errorf("%s: value %s, want %v", what, g.Value, want)
		}
		half := 0.5
		if i := slices.Index([]byte(g.Printed), '.'); i >= 0 {
			half = 0.5 * math.Pow10(-(len(g.Printed) - i - 1))
		}
		if got := read(t, g.Printed); math.Abs(got-want*scale) > half*(1+1e-9) {
			t.Errorf("%s: printed %s for %v", what, g.Printed, want*scale)
		}
	}
	for i, phase := range r.Phases {
		for k, p := range phase.Indications[0].Points {
			g := s.Indications[0].Phases[i].Points[k]
			check("error", g.Error, p.Error, 100)
			check("U", *g.U, p.U.Expanded, 100)
			check("U of the reference", *g.UReference, p.UReference.Expanded, 100)
			check("reference", g.Reference, p.Reference, 3600)
			check("indication", g.Indication, p.Indication, 3600)
			check("k", *g.K, p.U.K, 1)
			check("velocity", *g.Velocity, p.Velocity, 1)
			if g.Verdict != p.Decision.Verdict || g.RunsUsed != p.RunsUsed {
				t.Errorf("verdict %s, %d runs", g.Verdict, g.RunsUsed)
			}
			for n, c := range p.Components {
				check(c.Name, g.Components[n].Contribution, c.Contribution, 100)
			}
		}
	}
	if figures < 100 {
		t.Errorf("%d figures looked at", figures)
	}
}

// TestNothingIsLost: runs, kit, survey, mountings, checks and adjustments are all there.
func TestNothingIsLost(t *testing.T) {
	f := facts(t)
	f.Sheet.SetAsides = []sheet.SetAside{{RunID: f.Sheet.Runs[3].ID, Reason: "a pump started", Stamp: f.Sheet.Runs[3].Stamp}}
	f.Sheet.Notes = append(f.Sheet.Notes, sheet.TaskNote{Kind: sheet.Deviation, Text: "shorter runs", Stamp: f.Sheet.Runs[0].Stamp})
	s := build(t, f, paper(f))
	for what, n := range map[string][2]int{"runs": {len(s.Runs), len(f.Sheet.Runs)}, "kit": {len(s.Setup.Kit), len(f.Kit)},
		"mountings": {len(s.Setup.Mountings), len(f.Sheet.Mountings)}, "checks": {len(s.Setup.Checks), len(f.Sheet.SetupChecks)},
		"zero checks": {len(s.Setup.ZeroChecks), len(f.Sheet.ZeroChecks)}, "controls": {len(s.Setup.Controls), len(f.Sheet.Controls)},
		"adjustments": {len(s.Adjustment.Rows), len(f.Sheet.Adjustments)}, "limits": {len(s.Order.Limits), len(f.Agreement.Limits)},
		"deviations": {len(s.Deviations), 1}, "survey": {len(s.Setup.Survey), len(f.Sheet.Now())}} {
		if n[0] != n[1] || n[0] == 0 {
			t.Errorf("%s: %d on the document, %d in the facts", what, n[0], n[1])
		}
	}
	aside := s.Runs[3]
	if aside.Used || aside.SetAside != "a pump started" || aside.UsedOf != 0 || aside.Taken != 5 {
		t.Errorf("the run set aside is %+v", aside)
	}
	if s.Dates.Work != "16 June 2026, 09:02 to 11:55 (UTC+1)" {
		t.Errorf("work done %q", s.Dates.Work)
	}
	for _, v := range s.Setup.Survey {
		if v.Source == "" || v.By == "" {
			t.Errorf("%s has no source, or nobody: %+v", v.Name, v)
		}
	}
}

func TestKitNamesTheCalibrationUsed(t *testing.T) {
	f := facts(t)
	s := build(t, f, paper(f))
	reference, pair := s.Setup.Kit[0], s.Setup.Kit[1]
	if reference.Certificate != "F 26-118" || reference.CalibratedOn != "10 February 2026" || reference.ValidTo != "11 February 2027" {
		t.Errorf("the reference is %+v", reference)
	}
	if pair.Certificate != "F 26-118" || pair.With != "RM-2" {
		t.Errorf("the pair is %+v, want the calibration of its set", pair)
	}
}

func TestNotAdjustedIsSaid(t *testing.T) {
	f := facts(t)
	f.Sheet.Adjustments = nil
	f.Sheet.Notes = append(f.Sheet.Notes, sheet.TaskNote{Kind: sheet.NotAdjusted, Text: "within limits", Stamp: f.Sheet.Runs[0].Stamp})
	if s := build(t, f, paper(f)); s.Adjustment.Made || s.Adjustment.Reason != "within limits" || s.Adjustment.Rows == nil {
		t.Errorf("%+v", s.Adjustment)
	}
}

func TestAFlowPointNotReachedIsNamed(t *testing.T) {
	f := facts(t)
	f.Sheet.Plans[0].FlowPoints = 4
	if s := build(t, f, paper(f)); len(s.NotReached) != 1 || s.NotReached[0] != "Before adjustment: flow point 4 of 4" {
		t.Errorf("not reached: %q", s.NotReached)
	}
}

func TestForInformation(t *testing.T) {
	f := facts(t)
	for i := range f.Calibrations {
		f.Calibrations[i].ValidTo = f.Sheet.Runs[0].CapturedAt.Add(-time.Hour)
	}
	s := build(t, f, paper(f))
	if s.Conformity || len(s.Grounds) == 0 || s.Grounds[0].Text == "" {
		t.Errorf("conformity %v, grounds %v", s.Conformity, s.Grounds)
	}
	if !slices.ContainsFunc(s.Statements, func(st certificate.Stated) bool { return st.Kind == certificate.StateInformation }) {
		t.Error("nothing says that results are for information")
	}
	if l := s.Missing(); len(l) != 2 { // number and date of issue
		t.Errorf("missing: %v", l)
	}
}

func TestFlowUnits(t *testing.T) {
	for unit, want := range map[string]string{"L/s": "16.66", "m³/h": "59.97", "US gal/min": "264.0"} {
		f := facts(t)
		p := paper(f)
		p.FlowUnit = unit
		s := build(t, f, p)
		got := s.Indications[0].Phases[0].Points[1].Reference
		si, _ := got.Number()
		text, err := quantity.Format(si, quantity.KindFlow, unit, math.Pow10(-len(want)), quantity.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if got.Printed != want || got.SI != "m3/s" {
			t.Errorf("in %s: %+v, want %s (%s)", unit, got, want, text)
		}
	}
	f := facts(t)
	p := paper(f)
	p.FlowUnit = "furlongs"
	if _, err := certificate.Build(p, f, result(t, f)); !fault.Has(err, quantity.UnknownUnit) {
		t.Errorf("an unknown unit gives %v", err)
	}
}

// TestLimitsOfSpan: limits that were agreed in another unit are printed as limits of the
// error at the flow, with as many digits as the verdict needs.
func TestLimitsOfSpan(t *testing.T) {
	f := facts(t)
	span, lower, upper := 100.0/3600, -0.01, 0.01
	f.Agreement.Limits = []evaluation.Limit{{N: 1, Phase: evaluation.LimitAfter, Kind: evaluation.OfSpan, Lower: &lower, Upper: &upper, Span: &span}}
	for _, p := range build(t, f, paper(f)).Indications[0].Phases[1].Points {
		q, _ := p.Reference.Number()
		want := 100 * upper * span / q
		if got := read(t, p.Upper.Printed); math.Abs(got-want) > 0.05 {
			t.Errorf("at %s the limit is %s, want %v", p.Reference.Text(), p.Upper.Printed, want)
		}
	}
}

// TestLimitOfTwoTerms: both terms stand in the document, and what they come to at each flow.
func TestLimitOfTwoTerms(t *testing.T) {
	f := facts(t)
	lower, upper, second := -0.01, 0.01, 0.5/3600
	f.Agreement.Limits = []evaluation.Limit{{N: 1, Phase: evaluation.LimitAfter, Kind: evaluation.OfReading, Lower: &lower, Upper: &upper,
		Combine: conformity.Sum, OtherKind: evaluation.OfFlow, Other: &second}}
	s := build(t, f, paper(f))
	if l := s.Order.Limits[0]; l.Combine != "sum" || l.OtherKind != "flow" || l.Other.Text() != "0.5\u00a0m³/h" || l.OtherSpan != nil {
		t.Errorf("the agreed limit: %+v, %q", l, l.Other.Text())
	}
	for _, p := range s.Indications[0].Phases[1].Points {
		q, _ := p.Reference.Number()
		want := 100 * (upper + second/q)
		if got := read(t, p.Upper.Printed); math.Abs(got-want) > 0.05 {
			t.Errorf("at %s the limit is %s, want %v", p.Reference.Text(), p.Upper.Printed, want)
		}
	}
}

func TestUnusedCalibrationOfAnotherKit(t *testing.T) {
	f := facts(t)
	f.Kit = append(f.Kit, kit.Item{ID: f.Kit[4].ID, Kind: "tape", Tag: "T-9"})
	f.Kit[5].ID.UUID[15]++
	s := build(t, f, paper(f))
	if last := s.Setup.Kit[5]; last.Certificate != "" {
		t.Errorf("an item without a calibration has %+v", last)
	}
}

func TestSourcesOfNumbers(t *testing.T) {
	s := complete(t)
	text, err := s.Canonical()
	if err != nil {
		t.Fatal(err)
	}
	var tree any
	decoder := json.NewDecoder(bytesReader(text))
	decoder.UseNumber()
	if err := decoder.Decode(&tree); err != nil {
		t.Fatal(err)
	}
	walk(tree, func(v any) {
		if n, ok := v.(json.Number); ok {
			if _, err := strconv.Atoi(n.String()); err != nil {
				t.Errorf("the snapshot holds the decimal %s as a number", n)
			}
		}
		if v == nil {
			t.Error("the snapshot holds null")
		}
	})
}
