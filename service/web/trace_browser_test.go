package web

import (
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	. "rillmark/service/web/webtest"
)

// logFiles are the two files of the command line's own test: 2026-03-24, the meter's clock
// 83.8 s ± 4.4 s behind.
const logFiles = "../../testdata/calc/align/"

// TestTechnicianTakesRunsFromFiles loads both loggers' files on a phone, confirms how they
// are read, lays the lines over each other, picks a stretch with the finger, and finds the
// run in the task.
func TestTechnicianTakesRunsFromFiles(t *testing.T) {
	p := openPipeside(t)
	p.fill("check")
	p.send("/before", "/plan", url.Values{"flow_points": {"2"}, "runs": {"3"}, "seconds": {"300"}, "interval": {"10"}, "averaging": {"30"}})
	b := Open(t, Phone)
	b.Go(p.server.URL + "/login")
	b.Type("#f-login", "technician")
	b.Type("#f-password", testPassword)
	b.Press(".acts .do")
	look := lookers(t, b)

	b.Go(p.server.URL + p.path + "/before")
	b.Words("Take runs from logger files")
	look("traces-empty")
	loadFile(t, b, "reference", map[string]string{"zone": "UTC", "averaging.kind": "none"}, look)
	if answer := b.Text("main"); !strings.Contains(answer, "264 rows kept") {
		t.Errorf("after the reference's file: %q", answer)
	}
	loadFile(t, b, "meter", map[string]string{"averaging.kind": "trailing", "averaging.seconds": "30"}, look)
	look("traces")
	b.Words("reference.csv and meter.csv")
	look("clocks")
	if answer := b.Text(".answer"); answer != "The meter's clock is 83.8 s behind." {
		t.Errorf("of the clocks it says %q", answer)
	}
	nudged(t, b)
	look("stretches")
	picked(t, b)
	look("stretches-taken")
	b.Go(p.server.URL + p.path + "/before")
	if runs := b.Text("#runs"); !strings.Contains(runs, "Run 1") || !strings.Contains(runs, "from logger files") || !strings.Contains(runs, "+2.") {
		t.Errorf("the runs say %q", runs)
	}
	b.Press("#runs a.row")
	b.Words("See the picture this run was taken from")
	b.Await("the picture", `document.querySelector("[data-trace]").dataset.whole === "yes"`)
	if said := b.Complaints(); len(said) > 0 {
		t.Errorf("the browser complains: %q", said)
	}
}

// lookers leaves pictures in the folder that RILLMARK_SHOTS names, and holds every page to
// the narrow width.
func lookers(t *testing.T, b *Page) func(string) {
	folder := os.Getenv("RILLMARK_SHOTS")
	return func(name string) {
		t.Helper()
		b.Resize(Narrow)
		fits(t, b, name, Narrow)
		b.Resize(Phone)
		if folder == "" {
			return
		}
		for _, size := range []Size{Phone, Desk} {
			for _, scheme := range []string{"light", "dark"} {
				b.Resize(size)
				b.Prefer("prefers-color-scheme", scheme)
				b.Await("the picture", `!document.querySelector("[data-trace]") || document.querySelector("[data-trace]").dataset.whole === "yes"`)
				b.Shot(folder, name+"-"+size.Name+"-"+scheme)
			}
		}
		b.Prefer("prefers-color-scheme", "light")
		b.Resize(Phone)
	}
}

// loadFile loads one file and confirms it with the answers given.
func loadFile(t *testing.T, b *Page, role string, answers map[string]string, look func(string)) {
	t.Helper()
	path, err := filepath.Abs(logFiles + role + ".csv")
	if err != nil {
		t.Fatal(err)
	}
	b.Choose("#load-"+role+"-file", path)
	b.Words("Load the " + role + "'s file")
	look("read-" + role)
	b.Tick("#change summary")
	for name, value := range answers {
		b.Set(fmt.Sprintf(`#form-map [name="%s"]`, name), value)
	}
	b.Words("Read it like this")
	b.Words("Keep this reading")
}

// nudged moves the meter's clock by a second with the button, sees the line move, and
// keeps it with a reason.
func nudged(t *testing.T, b *Page) {
	t.Helper()
	b.Await("the lines", `document.querySelector("[data-trace]").dataset.whole === "yes"`)
	b.Tick("#nudge summary")
	before := pixels(b)
	b.Tick(`[data-nudge="1"]`)
	b.Tick(`[data-nudge="1"]`)
	if lag := b.Value("#nudge-lag"); lag != "85.781" {
		t.Errorf("the lag is %q after two nudges", lag)
	}
	b.Await("the line to move", fmt.Sprintf(`document.querySelector(".flows canvas").toDataURL() !== %q`, before))
	b.Set("#nudge-uncertainty", "5")
	b.Words("Use the lag set by hand")
	if said := b.Text("#form-nudge"); !strings.Contains(said, "needed") && !strings.Contains(said, "Fill") && !strings.Contains(said, "reason") {
		t.Errorf("without a reason it says %q", said)
	}
	if lag := b.Value("#nudge-lag"); lag != "85.781" {
		t.Errorf("the refused form holds the lag %q", lag)
	}
	b.Complaints() // that the form was refused is what was wanted
	b.Set("#nudge-reason", "the first change fits better")
	b.Words("Use the lag set by hand")
	if answer := b.Text("#aligned"); !strings.Contains(answer, "85.8 s behind") || !strings.Contains(answer, "Set by hand") || !strings.Contains(answer, "the first change fits better") {
		t.Errorf("the alignment says %q", answer)
	}
}

// pixels are those of the drawing.
func pixels(b *Page) string {
	return Eval[string](b, `document.querySelector(".flows canvas").toDataURL()`)
}

// settled waits until the drawing stands still: after a change of the window's width it is
// drawn anew, and on a busy machine a moment later.
func settled(b *Page) {
	last := ""
	for range 30 {
		now := pixels(b)
		if now == last {
			return
		}
		last = now
		time.Sleep(300 * time.Millisecond)
	}
}

// picked draws a stretch with the mouse, adjusts its end by typing, and takes it.
func picked(t *testing.T, b *Page) {
	t.Helper()
	b.Await("the lines", `document.querySelector("[data-trace]").dataset.whole === "yes"`)
	b.Tick("[data-brush]")
	settled(b)
	b.Drag(".flows .u-over", 0.30, 0.42)
	b.Await("the fields", `document.getElementById("pick-to").value !== ""`)
	if says := b.Text(".says"); !strings.Contains(says, "error about +2.") && !strings.Contains(says, "error about +1.9") {
		t.Errorf("the picked stretch says %q", says)
	}
	to := b.Value("#pick-to")
	b.Set("#pick-flow_point", "2")
	b.Words("Take as a run")
	if text := b.Text("#form-pick"); !strings.Contains(text, "lies before mounting 1 was written down") {
		t.Errorf("a stretch of a day before the visit is not asked about: %s", text)
	}
	b.Complaints() // it was asked
	b.Words("Take as a run")
	if text := b.Text("main"); !strings.Contains(text, "Run 1 before adjustment, flow point 2") {
		t.Errorf("after %s was taken: %s", to, text)
	}
}
