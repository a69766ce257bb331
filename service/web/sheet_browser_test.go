package web

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os/exec"
	"strings"
	"testing"

	"rillmark/domain/certificate"
	"rillmark/domain/evaluation"
	. "rillmark/service/web/webtest"
)

// TestTechnicianDoesATask goes the whole way on a phone: log in, open today's task, survey,
// mount, check, run, adjust, run again, and read the provisional verdict. The numbers on
// the page are those that the command line gives for the same facts.
func TestTechnicianDoesATask(t *testing.T) {
	p := openPipeside(t)
	b := Open(t, Phone)
	b.Go(p.server.URL + "/login")
	b.Type("#f-login", "technician")
	b.Type("#f-password", testPassword)
	b.Press(".acts .do")
	if text := b.Text("main"); !strings.Contains(text, "Your work today") {
		t.Fatalf("today says %q", text)
	}
	b.Words("FT-204 rising main")
	b.Words("Go on with the survey")
	surveyOnPhone(t, b)
	b.Words("On to the mounting")
	if said := b.Text(".pair"); !strings.Contains(said, "117.1") || !strings.Contains(said, "117 mm") {
		t.Errorf("recommended: %q", said)
	}
	b.Type("#mount-spacing", "117")
	b.Type("#mount-clock_position", "3 o'clock")
	b.Words("The transducers are set")
	if said := b.Text(".say"); !strings.Contains(said, "Accepted: 0.1 mm") {
		t.Errorf("after mounting: %q", said)
	}
	checkOnPhone(t, b)
	b.Words("On to the runs before adjustment")
	b.Tick(`#form-control input[name="kind"][value="inhibited"]`)
	b.Set("#control-what", "flow control of the dosing")
	b.Type("#control-done_by", "the shift operator")
	b.Words("Write it down")
	runsOnPhone(b, [2]string{"60.00", "61.8"}, [2]string{"100.00", "102.9"})
	if answer := b.Text(".answer"); !strings.Contains(answer, "high") {
		t.Errorf("the live error says %q", answer)
	}
	b.Words("On to the adjustment")
	if answer := b.Text(".answer"); !strings.HasPrefix(answer, "Lower the indication by") {
		t.Errorf("the proposal says %q", answer)
	}
	b.Tick("summary")
	Eval[bool](b, `document.querySelectorAll("details").forEach(d => d.open = true), true`)
	for field, text := range map[string]string{"parameter": "span factor", "old_entered": "1.000", "new_entered": "0.972", "permission": "the client's engineer", "reason": "outside the limits agreed for adjusting"} {
		b.Set("#adjust-"+field, text)
	}
	b.Words("Write the adjustment down")
	b.Words("On to the runs after adjustment")
	runsOnPhone(b, [2]string{"60.00", "60.1"}, [2]string{"100.00", "100.1"})
	b.Set("#control-what", "flow control of the dosing")
	b.Type("#control-done_by", "the shift operator")
	b.Words("Write it down")
	b.Words("Check the set-up after the last run")
	checkOnPhone(t, b)
	b.Words("On to the verdict")
	b.Words("Hand the evaluation over")
	b.Resize(Narrow)
	for _, at := range []string{"sheet", "survey", "survey/wall", "mounting", "check", "before", "adjust", "after", "verdict"} {
		b.Go(p.server.URL + p.path + "/" + at)
		fits(t, b, at, Narrow)
		b.HoldBarriers(at)
	}
	b.Resize(Phone)
	if said := b.Complaints(); len(said) > 0 {
		t.Errorf("the browser complains: %q", said)
	}
	holdVerdict(t, p, b)
	closeTask(b)
	certify(t, p)
}

// surveyOnPhone enters what is asked, one value after the other, until the survey is whole.
func surveyOnPhone(t *testing.T, b *Page) {
	t.Helper()
	typed := map[string][]string{"outside-diameter": {"168.2", "168,4"}, "wall": {"7.05", "7.12", "7.08", "7.15"}, "temperature": {"20.0"},
		"straight-before": {"2"}, "straight-after": {"1.2"}}
	ticked := map[string]string{"pipe-material": "carbon steel", "fluid": "water", "disturbance-before": "single elbow", "between": "nothing"}
	for range 20 {
		at := b.At()
		name := at[strings.LastIndex(at, "/")+1:]
		switch {
		case name == "survey":
			return
		case len(typed[name]) > 0:
			b.Keys(typed[name][0]) // the field has the cursor
			typed[name] = typed[name][1:]
		case ticked[name] != "":
			b.Tick(fmt.Sprintf(`input[name="entered"][value="%s"]`, ticked[name]))
		default:
			t.Fatalf("at %s: %s", at, b.Text("main"))
		}
		b.Words("Keep and go on")
	}
	t.Fatalf("the survey does not end; at %s", b.At())
}

func checkOnPhone(t *testing.T, b *Page) {
	t.Helper()
	if strings.HasSuffix(b.At(), "/mounting") {
		b.Words("On to the set-up check")
	}
	b.Type("#check-snr", "31")
	b.Type("#check-sound_speed", "1481.2")
	b.Words("Compare")
	if answer := b.Text(".answer"); answer != "The set-up holds." {
		t.Errorf("the check says %q", answer)
	}
}

// runsOnPhone fixes two flow points of three runs and takes them; the readings differ a
// little from run to run.
func runsOnPhone(b *Page, points ...[2]string) {
	b.Type("#plan-flow_points", fmt.Sprint(len(points)))
	b.Type("#plan-runs", "3")
	b.Type("#plan-seconds", "30")
	b.Words("Set the runs")
	for _, point := range points {
		for run := range 3 {
			for n := range 3 {
				enter := b.Set // the first run is typed key by key
				if run == 0 {
					enter = b.Type
				}
				enter(fmt.Sprintf("#run-ref-%d", n), point[0][:len(point[0])-1]+fmt.Sprint(n+run))
				enter(fmt.Sprintf("#run-ind0-%d", n), point[1])
			}
			b.Words("Keep the run")
		}
	}
}

// holdVerdict compares the page with what the command line makes of the facts that were
// kept with the evaluation.
func holdVerdict(t *testing.T, p *pipeside, b *Page) {
	t.Helper()
	result := calculated(t, p)
	if !result.Conformity || len(result.Phases) != 2 {
		t.Fatalf("conformity %v, %d phases, grounds %v", result.Conformity, len(result.Phases), result.Grounds)
	}
	text := strings.ReplaceAll(b.Text("main"), "\u00a0", " ")
	mean := func(phase int) string {
		m := result.Phases[phase].Indications[0].MeanError
		size := certificate.Round(max(m.Error, -m.Error), m.U.Expanded, 2, false, nil).Value
		if m.Error > 0 {
			return size + " % high"
		}
		return size + " % low"
	}
	if want := "Reads " + mean(0) + ", and " + mean(1) + " after adjustment."; !strings.Contains(text, want) {
		t.Errorf("the page does not say %q", want)
	}
	rows := Eval[[]string](b, `[...document.querySelectorAll("table.stack tbody tr")].map(r => [...r.cells].map(c => c.textContent.trim()).join("|"))`)
	n := 0
	for i, phase := range []string{"before adjustment", "after adjustment"} {
		for _, point := range result.Phases[i].Indications[0].Points {
			r := certificate.Round(point.Error, point.U.Expanded, 2, true, nil)
			want := "|" + phase + "|" + r.Value + "|" + r.Expanded + "|" + strings.ReplaceAll(point.Decision.Verdict, "-", " ")
			if n >= len(rows) || !strings.HasSuffix(rows[n], want) {
				t.Errorf("row %d of %q does not end in %q", n, rows, want)
			}
			n++
		}
	}
	if !strings.Contains(text, "Provisional, not authorised") || !strings.Contains(text, "Evaluation 1") {
		t.Error("the page does not say that it is provisional, or that it was handed over")
	}
	worst := mostUncertain(result.Phases[1].Indications[0].Points)
	largest := worst.Components[0]
	for _, c := range worst.Components {
		if c.Share > largest.Share {
			largest = c
		}
	}
	if want := "The largest part is " + largest.Name; !strings.Contains(text, want) {
		t.Errorf("the page does not say %q", want)
	}
}

// calculated runs the program itself on the facts kept with the first evaluation.
func calculated(t *testing.T, p *pipeside) evaluation.Result {
	t.Helper()
	var facts []byte
	if err := p.db.Connect(t, "").QueryRow(t.Context(), `SELECT b.data FROM evaluation e JOIN blob_part b ON b.sha256 = e.facts
		WHERE e.task_id = $1 AND e.number = 1 AND b.n = 0`, p.Task).Scan(&facts); err != nil {
		t.Fatal(err)
	}
	run := exec.CommandContext(t.Context(), "go", "run", "rillmark/cmd/rillmark", "calc", "verification")
	run.Stdin = bytes.NewReader(facts)
	var stderr bytes.Buffer
	run.Stderr = &stderr
	out, err := run.Output()
	if err != nil {
		t.Fatalf("calc verification: %v\n%s\n%s", err, out, stderr.Bytes())
	}
	var result evaluation.Result
	if err := json.Unmarshal(out, &result); err != nil {
		t.Fatal(err)
	}
	return result
}
