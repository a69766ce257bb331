package document_test

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/certificate"
	"rillmark/domain/evaluation"
	"rillmark/domain/sheet"
	"rillmark/service/document"
)

const samples = "../../testdata"

// facts reads the worked example of a task.
func facts(t testing.TB) evaluation.Facts {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(samples, "verification", "task.json"))
	if err != nil {
		t.Fatal(err)
	}
	var f evaluation.Facts
	if err := json.Unmarshal(text, &f); err != nil {
		t.Fatal(err)
	}
	return f
}

// paper is what an invented company prints beside a result.
func paper(f evaluation.Facts) certificate.Paper {
	zone := time.FixedZone("", 3600)
	technician := f.Sheet.Runs[0].By
	approved := time.Date(2026, 6, 18, 9, 12, 0, 0, time.UTC)
	return certificate.Paper{
		Kind:     certificate.First,
		Editions: certificate.Editions{Program: "Rillmark", Version: "0.9.0", Tables: "2026-1", Layout: document.Latest},
		Company: certificate.Party{Name: "Saltmarsh Metering Services", Address: []string{"Tide Mill Lane 9", "Saltmarsh"},
			Contact: "telephone 0555 0100"},
		Client: certificate.Party{Name: "Aldermere Water", Address: []string{"Quay Road 3", "Aldermere"}, Contact: "R. Hallworth, instrument engineer"},
		Place:  certificate.Place{Site: "Fenwick Lane pumping station", Address: []string{"Fenwick Lane", "Aldermere"}, Tag: "FT-204", Point: "rising main", Zone: "Europe/Dublin"},
		Meter: certificate.Meter{Principle: "electromagnetic", Maker: "Invented Meters", Model: "M 20", Serial: "77-10482", Firmware: "2.4",
			NominalSize: "DN 150", Seals: "A 1201", Parameters: []string{"full scale 200 m³/h", "damping 3 s", "low-flow cut-off 1 %"}},
		OrderNumber: "5512", MethodTitle: "Verification in place with a clamp-on reference",
		AgreedBy: "R. Hallworth", AgreedOn: time.Date(2026, 5, 12, 0, 0, 0, 0, time.UTC),
		FlowUnit: "m³/h", Zone: zone,
		Names:     map[domain.PersonID]string{technician: "T. Okonjo"},
		Functions: map[domain.PersonID]string{technician: "field technician"},
		Approver:  &certificate.Person{Name: "I. Sørby", Function: "technical manager", At: certificate.In(zone, approved)},
		Say:       plainSentence,
	}
}

// plainSentence stands for the catalogue, whose wording may change without changing what
// is tested here.
func plainSentence(f fault.Fault) string {
	_, name, _ := strings.Cut(f.Code.Name(), ".")
	words := strings.ReplaceAll(name, "-", " ")
	var args []string
	for _, a := range f.Code.Args() {
		args = append(args, fmt.Sprintf("%s %v", strings.ReplaceAll(a.Name, "_", " "), f.Value(a.Name)))
	}
	if len(args) > 0 {
		words += " (" + strings.Join(args, ", ") + ")"
	}
	return strings.ToUpper(words[:1]) + words[1:] + "."
}

// snapshot evaluates the facts and builds what a document shows.
func snapshot(t testing.TB, f evaluation.Facts, p certificate.Paper, number string) certificate.Snapshot {
	t.Helper()
	r, err := evaluation.Evaluate(f)
	if err != nil {
		t.Fatal(err)
	}
	s, err := certificate.Build(p, f, r)
	if err != nil {
		t.Fatal(err)
	}
	if number == "" {
		return s
	}
	n, err := certificate.ParseNumber(number)
	if err != nil {
		t.Fatal(err)
	}
	issued := time.Date(2026, 6, 18, 9, 20, 0, 0, time.UTC)
	return s.Numbered(n, certificate.On(p.Zone, issued), "https://check.saltmarsh.example/c/7f3kq9w2m5xv8t4r6bnd")
}

// flow is one flow point to be simulated: the reference in m³/h, and the error of the
// first indication before and after adjustment.
type flow struct{ reference, before, after float64 }

// simulate replaces the readings by ones that follow from the flows, with a scatter that
// is the same each time.
func simulate(f *evaluation.Facts, flows []flow, adjusted bool) {
	mounting, by := f.Sheet.Mountings[0].ID, f.Sheet.Runs[0].By
	start := f.Sheet.Runs[0].CapturedAt
	f.Sheet.Runs, f.Sheet.Readings, f.Sheet.SetAsides = nil, nil, nil
	plan := f.Sheet.Plans[0]
	plan.FlowPoints = len(flows)
	f.Sheet.Plans = f.Sheet.Plans[:0]
	n := 0
	for i := range f.Sheet.Adjustments {
		f.Sheet.Adjustments[i].CapturedAt = start.Add(time.Duration(3*len(flows)*4+2) * time.Minute)
	}
	for _, phase := range sheet.Phases {
		if phase == sheet.After && !adjusted {
			break
		}
		plan.Phase, plan.ID = phase, id[domain.RunPlanKind](0x20, len(f.Sheet.Plans)+1)
		f.Sheet.Plans = append(f.Sheet.Plans, plan)
		number := 0
		for point, q := range flows {
			for range 3 {
				number++
				n++
				run := sheet.Run{ID: id[domain.RunKind](0x21, n), MountingID: mounting, Phase: phase, Number: number, FlowPoint: point + 1,
					Stamp: sheet.Stamp{By: by, CapturedAt: start.Add(time.Duration(n) * 4 * time.Minute)}}
				f.Sheet.Runs = append(f.Sheet.Runs, run)
				e := q.before
				if phase == sheet.After {
					e = q.after
				}
				for k := 1; k <= 5; k++ {
					f.Sheet.Readings = append(f.Sheet.Readings, reading(*f, run, k, q.reference, e))
				}
			}
		}
	}
}

func reading(f evaluation.Facts, run sheet.Run, k int, reference, e float64) sheet.Reading {
	wave := math.Sin(float64(run.Number*7 + k*3))
	q := reference / 3600 * (1 + 0.004*wave)
	r := sheet.Reading{ID: id[domain.ReadingKind](0x22, len(f.Sheet.Readings)+1), RunID: run.ID, Number: k, Reference: q,
		ReferenceEntered: fmt.Sprintf("%.2f m3/h", q*3600), Stamp: run.Stamp}
	for i, ind := range f.Indications {
		shown := q * (1 + e + 0.004*float64(i) + 0.001*math.Cos(float64(run.Number*5+k*11+i)))
		r.Indications = append(r.Indications, sheet.Shown{IndicationID: ind.ID, Value: shown, Entered: fmt.Sprintf("%.2f m3/h", shown*3600)})
	}
	return r
}

func id[K any](kind byte, n int) domain.ID[K] {
	made, err := domain.ParseID[K]("01980000-0000-7000-8000-000000000000")
	if err != nil {
		panic(err)
	}
	made.UUID[10], made.UUID[14], made.UUID[15] = kind, byte(n>>8), byte(n)
	return made
}

func num(x float64) *float64 { return &x }

// The six documents that are looked at.
var cases = []struct {
	name string
	make func(testing.TB) certificate.Snapshot
}{
	{"ordinary", func(t testing.TB) certificate.Snapshot {
		f := facts(t)
		stamp := f.Sheet.Runs[3].Stamp
		f.Sheet.SetAsides = []sheet.SetAside{{ID: id[domain.SetAsideKind](0x23, 1), RunID: f.Sheet.Runs[3].ID, Reason: "a pump was changed during the run", Stamp: stamp}}
		return snapshot(t, f, paper(f), "2026-00412")
	}},
	{"one-point-not-adjusted", func(t testing.TB) certificate.Snapshot {
		f := facts(t)
		simulate(&f, []flow{{96.4, 0.0061, 0}}, false)
		f.Agreement.Limits = []evaluation.Limit{{N: 1, Phase: evaluation.LimitBefore, Kind: evaluation.OfReading, Lower: num(-0.02), Upper: num(0.02)}}
		f.Sheet.Adjustments = nil
		f.Sheet.Notes = append(f.Sheet.Notes, sheet.TaskNote{ID: id[domain.TaskNoteKind](0x24, 1), Kind: sheet.NotAdjusted,
			Text: "The error lies within the limit for adjusting.", Stamp: f.Sheet.Runs[0].Stamp})
		p := paper(f)
		p.Interval = "Next verification by June 2028, by the staircase method (ILAC-G24)."
		return snapshot(t, f, p, "2026-00413")
	}},
	{"twelve-points", func(t testing.TB) certificate.Snapshot {
		f := facts(t)
		var flows []flow
		for i := range 12 {
			q := 22 + 11.5*float64(i)
			flows = append(flows, flow{q, -0.031 + 0.0006*float64(i), 0.009 - 0.0008*float64(i)})
		}
		simulate(&f, flows, true)
		f.Agreement.Limits = []evaluation.Limit{
			{N: 1, Phase: evaluation.LimitBefore, Kind: evaluation.OfSpan, Lower: num(-0.015), Upper: num(0.015), Span: num(200.0 / 3600)},
			{N: 2, Phase: evaluation.LimitAfter, Kind: evaluation.OfSpan, Lower: num(-0.01), Upper: num(0.01), Span: num(200.0 / 3600)}}
		stamp := f.Sheet.Runs[3].Stamp
		f.Sheet.SetAsides = []sheet.SetAside{
			{ID: id[domain.SetAsideKind](0x23, 1), RunID: f.Sheet.Runs[3].ID, Reason: "a pump was changed during the run", Stamp: stamp},
			{ID: id[domain.SetAsideKind](0x23, 2), RunID: f.Sheet.Runs[40].ID, Reason: "the display froze", Stamp: stamp}}
		return snapshot(t, f, paper(f), "2026-00414")
	}},
	{"four-indications", func(t testing.TB) certificate.Snapshot {
		f := facts(t)
		for i, other := range []struct{ name, way string }{{"pulse output", "pulse"}, {"4–20 mA loop at the control system", "control-system"}, {"bus value", "bus"}} {
			one := f.Indications[0]
			one.ID, one.Name, one.Way = id[domain.IndicationKind](0x25, i+1), other.name, other.way
			f.Indications = append(f.Indications, one)
		}
		simulate(&f, []flow{{38.2, 0.012, 0.001}, {96.4, 0.016, -0.002}, {154.3, 0.021, -0.004}}, true)
		p := paper(f)
		p.Client.Name = "Verbandsgemeinschaft für Wasserversorgung, Abwasserbeseitigung und Gewässerunterhaltung Großmühlenbach-Überlinden und Umgebung, Anstalt des öffentlichen Rechts"
		p.Place.Site = "Hochbehälter Schloßbergstraße mit Übergabeschacht und Druckerhöhungsanlage der unteren Zone"
		return snapshot(t, f, p, "2026-00415")
	}},
	{"failed-german", func(t testing.TB) certificate.Snapshot {
		f := facts(t)
		simulate(&f, []flow{{38.2, -0.082, -0.0415}, {96.4, -0.071, -0.0382}, {154.3, -0.066, -0.0291}}, true)
		f.Sheet.Notes = append(f.Sheet.Notes, sheet.TaskNote{ID: id[domain.TaskNoteKind](0x24, 1), Kind: sheet.Deviation,
			Text: "Run length 50 s instead of 300 s, as agreed with the operator because the reservoir was nearly full.", Stamp: f.Sheet.Runs[0].Stamp},
			sheet.TaskNote{ID: id[domain.TaskNoteKind](0x24, 2), Kind: sheet.Condition, Text: "Deposits of 1 mm to 2 mm seen at the flange; earthing ring corroded.", Stamp: f.Sheet.Runs[0].Stamp})
		p := paper(f)
		p.Kind, p.Amends = certificate.Reissue, &certificate.Amends{Number: "2026-00398", Issued: "12 June 2026",
			Reason: "the serial number of the meter was wrong", Changes: []string{"Serial number 4471 instead of 4417.", "Nothing else was changed."}}
		p.Client = certificate.Party{Name: "Stadtwerke Mühlöd GmbH & Co. KG", Address: []string{"Straße der Jugend 12a", "99999 Mühlöd an der Äußeren Flöße"}, Contact: "Frau Dr. Özlem Weiß-Łukaszewicz"}
		p.Place = certificate.Place{Site: "Wasserwerk Süd", Address: []string{"Am Prüßgraben 4"}, Tag: "FIQ-1030", Point: "Rohwasserleitung Ø 168,3 × 7,1", Zone: "Europe/Berlin"}
		p.Opinions = []string{"The scatter at low flow suggests deposits on the electrodes; cleaning before the next visit is advised."}
		p.NotReached = []string{"Flow above 160 m³/h: the second pump was out of order (q ≤ 160 m³/h, ΔT ± 0.5 °C, µ 1.05 mPa·s)."}
		return snapshot(t, f, p, "2026-00416")
	}},
	{"provisional-for-information", func(t testing.TB) certificate.Snapshot {
		f := facts(t)
		for i := range f.Calibrations {
			f.Calibrations[i].ValidTo = f.Sheet.Runs[0].CapturedAt.Add(-24 * time.Hour)
		}
		for i, v := range f.Sheet.Survey {
			switch v.Name {
			case sheet.Pressure, sheet.StraightBefore:
				f.Sheet.Survey[i].Source, f.Sheet.Survey[i].KitID = sheet.Client, nil
			case sheet.PipeMaterial:
				f.Sheet.Survey[i].Source, f.Sheet.Survey[i].KitID = sheet.Assumed, nil
			}
		}
		p := paper(f)
		p.Kind, p.Approver = certificate.Provisional, nil
		return snapshot(t, f, p, "")
	}},
}
