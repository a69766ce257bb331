package web

import (
	"bytes"
	"encoding/json"
	"fmt"
	"mime/multipart"
	"net/http"
	"net/url"
	"os"
	"regexp"
	"strings"
	"testing"

	"rillmark/domain/access"
	. "rillmark/service/web/webtest"
)

// load sends a logger's file by the form of its role.
func (p *pipeside) load(role, name, content string, fields url.Values) Answer {
	p.house.t.Helper()
	form := p.formOf(p.c.Get(p.path+"/traces").Want(http.StatusOK), "load-"+role)
	for k, v := range fields {
		form[k] = v
	}
	var body bytes.Buffer
	w := multipart.NewWriter(&body)
	for k, values := range form {
		for _, v := range values {
			if err := w.WriteField(k, v); err != nil {
				p.house.t.Fatal(err)
			}
		}
	}
	if name != "" {
		file, err := w.CreateFormFile("file", name)
		if err != nil {
			p.house.t.Fatal(err)
		}
		if _, err := file.Write([]byte(content)); err != nil {
			p.house.t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		p.house.t.Fatal(err)
	}
	r := p.c.Request(http.MethodPost, p.path+"/traces/files", &body)
	r.Header.Set("Content-Type", w.FormDataContentType())
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	return p.c.Do(r)
}

// formOf returns the hidden fields and chosen values of the form with the id.
func (p *pipeside) formOf(a Answer, id string) url.Values {
	p.house.t.Helper()
	values := url.Values{}
	for _, input := range All(a.Doc, "#form-"+id+" input") {
		get := func(name string) string {
			for _, at := range input.Attr {
				if at.Key == name {
					return at.Val
				}
			}
			return ""
		}
		if get("type") == "hidden" {
			values.Add(get("name"), get("value"))
		}
	}
	if len(values) == 0 {
		p.house.t.Fatalf("no form %q on the page", id)
	}
	return values
}

// follow goes to where an answer leads.
func (p *pipeside) follow(a Answer) Answer {
	p.house.t.Helper()
	return p.c.Get(a.Want(http.StatusSeeOther).Location).Want(http.StatusOK, Sound())
}

// TestFileThatReadsTwoWaysIsAsked: each answer stands with what it would mean; the choice
// is proposed for the next file of the layout.
func TestFileThatReadsTwoWaysIsAsked(t *testing.T) {
	p := openPipeside(t)
	rows := "Time;Flow [m3/h]\n"
	for n := range 20 {
		rows += fmt.Sprintf("03/04/2026 10:00:%02d;72,%d\n", n, 10+n)
	}
	page := p.follow(p.load("reference", `C:\logs\unit 7.csv`, rows, nil))
	for _, says := range []string{"This file can be read in more than one way.", "unit 7.csv", "day, month, year", "“03/04/2026” is 3 April 2026", "“03/04/2026” is 4 March 2026"} {
		if !strings.Contains(Words(page.Doc), says) {
			t.Errorf("the question does not say %q", says)
		}
	}
	if len(All(page.Doc, "#form-keep")) > 0 {
		t.Error("what is not answered can be confirmed")
	}
	here := regexp.MustCompile(`/tasks/[^"?]+/traces/files/[0-9a-f-]+`).FindString(page.Body)
	page = p.c.Get(here+"?date_order=dmy").Want(http.StatusOK, Sound(), In(".answer", Says("20 rows can be used.")), Says("“03/04/2026 10:00:00” is 3 April 2026, 10:00:00"))
	form := p.formOf(page, "keep")
	form.Set("remember", "yes")
	p.follow(p.c.Post(p.path+"/traces/series", form))
	page = p.c.Get(here).Want(http.StatusOK, Sound(), Says("Kept as it is shown here."), Says("day, month, year"), Not("#form-keep"))
	page = p.follow(p.load("reference", "unit 7 again.csv", rows, nil))
	if text := Words(page.Doc); !strings.Contains(text, "Read as such files were read before.") || !strings.Contains(text, "Tem Okonjo") || !strings.Contains(text, "20 rows can be used.") {
		t.Errorf("the second file of the layout: %s", text)
	}
	bad := p.c.Get(here+"?date_order=dmy&zone=Nowhere%2FAtAll").Want(http.StatusOK, Sound())
	if text := Words(bad.Doc); !strings.Contains(text, "“Nowhere/AtAll” is no time zone") {
		t.Errorf("a zone that is none: %s", text)
	}
}

// TestRefusedUploads: each says what is wrong and what to do, and keeps what was chosen.
func TestRefusedUploads(t *testing.T) {
	p := openPipeside(t)
	none := p.load("reference", "", "", nil)
	none.Want(http.StatusUnprocessableEntity, Sound(), In("#form-load-reference", Says("Choose the file that the logger wrote.")))
	empty := p.load("meter", "a.csv", "", nil)
	empty.Want(http.StatusUnprocessableEntity, Sound(), In("#form-load-meter", Says("empty")))
	noText := p.follow(p.load("reference", "picture.png", "\x89PNG\r\n\x1a\n\x00\x00\x00\x0dIHDR", nil))
	if text := Words(noText.Doc); !strings.Contains(text, "This file cannot be read yet.") || !strings.Contains(text, "export it from the logger as CSV or XLSX") {
		t.Errorf("a picture: %s", text)
	}
	page := p.c.Get(p.path+"/traces").Want(http.StatusOK, In(fmt.Sprintf(`form[data-most="%d"]`, mostLogFile)))
	r := p.c.Request(http.MethodPost, p.path+"/traces/files", strings.NewReader("x"))
	r.ContentLength = -1
	r.Header.Set("Content-Type", page.Header.Get("Content-Type"))
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	p.c.Do(r).Want(http.StatusUnprocessableEntity)
}

// pair loads and confirms the two files of the command line's test, and returns the address
// at which their clocks are compared.
func (p *pipeside) pair() string {
	p.house.t.Helper()
	for role, query := range map[string]string{"reference": "zone=UTC&averaging.kind=none", "meter": "averaging.kind=trailing&averaging.seconds=30"} {
		content, err := os.ReadFile(logFiles + role + ".csv")
		if err != nil {
			p.house.t.Fatal(err)
		}
		fields := url.Values{}
		if role == "meter" {
			fields.Set("indication_id", p.Indication.String())
		}
		to := p.load(role, role+".csv", string(content), fields).Want(http.StatusSeeOther).Location
		page := p.c.Get(to+"?"+query).Want(http.StatusOK, Sound())
		p.c.Post(p.path+"/traces/series", p.formOf(page, "keep")).Want(http.StatusSeeOther)
	}
	list := p.c.Get(p.path+"/traces").Want(http.StatusOK, Sound())
	at := regexp.MustCompile(`/tasks/[^"]+/traces/clocks\?[^"]+`).FindString(list.Body)
	if at == "" {
		p.house.t.Fatalf("no way to compare the clocks: %s", Words(list.Doc))
	}
	return strings.ReplaceAll(at, "&amp;", "&")
}

// TestStretchesWithoutScripts goes from the clocks to a run and a stretch set aside by
// forms alone, and shows the rest of the people no form.
func TestStretchesWithoutScripts(t *testing.T) {
	p := openPipeside(t)
	p.fill("check")
	p.send("/before", "/plan", url.Values{"flow_points": {"2"}, "runs": {"3"}, "seconds": {"300"}, "interval": {"10"}, "averaging": {"30"}})
	clocks := p.c.Get(p.pair()).Want(http.StatusOK, Sound(), In(".answer", Says("The meter's clock is 83.8 s behind.")), In("figure.trace .still svg"))
	bad := p.formOf(clocks, "clock-note")
	bad.Set("note.start.reference_clock", "eleven")
	again := p.c.Post(p.path+"/traces/alignments", bad).Want(http.StatusUnprocessableEntity, Sound(), In("#form-clock-note", Says("“eleven” is no time")))
	if form := All(again.Doc, `#form-clock-note input[value="eleven"]`); len(form) != 1 {
		t.Error("what was typed is lost")
	}
	stretches := p.follow(p.c.Post(p.path+"/traces/alignments", p.formOf(clocks, "signals")))
	if n := len(All(stretches.Doc, "[data-stretch]")); n != 4 {
		t.Fatalf("%d stretches are proposed; the command line finds 4 in these files", n)
	}
	here := regexp.MustCompile(`/tasks/[^"?]+/traces/alignments/[0-9a-f-]+`).FindString(stretches.Body)
	looked := p.c.Get(here+"?from=08:12:00&to=08:20:00").Want(http.StatusOK, Sound(), In("#pick .answer", Says("% high")), In("#pick", Says("480 s")))
	form := p.formOf(looked, "pick")
	form.Set("flow_point", "2")
	form.Set("from", "08:12:00")
	form.Set("to", "08:20:0")
	p.c.Post(p.path+"/traces/runs", form).Want(http.StatusUnprocessableEntity, In("#form-pick", Says("“08:20:0” is no time")))
	form.Set("to", "08:20:00")
	taken := p.take("pick", form)
	if n := len(All(taken.Doc, "[data-stretch]")); n != 4 {
		t.Errorf("%d stretches after one was taken: its proposal must be gone", n)
	}
	aside := p.formOf(taken, "aside-1")
	p.c.Post(p.path+"/traces/aside", aside).Want(http.StatusUnprocessableEntity, Sound(), In("#form-aside-1", Says("Fill it in.")))
	aside.Set("reason", "the pump was still settling")
	taken = p.follow(p.c.Post(p.path+"/traces/aside", aside))
	if text := Words(taken.Doc); !strings.Contains(text, "the pump was still settling") || !strings.Contains(text, "Run 1 before adjustment, flow point 2") {
		t.Errorf("decided so far: %s", text)
	}
	other := p.house.as(access.Approver)
	for _, at := range []string{p.path + "/traces", here, p.path + "/before"} {
		page := other.Get(at).Want(http.StatusOK, Sound())
		if forms := All(page.Doc, `main form[method="post"]`); len(forms) > 0 {
			t.Errorf("%s shows the approver %d forms", at, len(forms))
		}
	}
	p.c.Get(p.path+"/before").Want(http.StatusOK, In("#runs", Says("from logger files, 24 March 2026, 08:12:00 – 08:20:00"), Says("the reference's calibration")))
	far := p.formOf(taken, "stretch-1")
	far.Set("flow_point", "2")
	p.c.Post(p.path+"/traces/runs", far).Want(http.StatusUnprocessableEntity, Sound(), In("#form-stretch-1", Says("away from the other runs at flow point 2")))
}

// take takes a stretch, and answers what is asked since the files are of a day before the
// visit.
func (p *pipeside) take(form string, fields url.Values) Answer {
	p.house.t.Helper()
	asked := p.c.Post(p.path+"/traces/runs", fields).Want(http.StatusUnprocessableEntity, Sound(), In("#form-"+form, Says("lies before mounting 1 was written down")))
	fields.Set("sure", p.formOf(asked, form).Get("sure"))
	return p.follow(p.c.Post(p.path+"/traces/runs", fields))
}

// TestIndicationsSideBySide: a run holds what two loggers of the meter showed at the same
// time, each with its own clock.
func TestIndicationsSideBySide(t *testing.T) {
	p := openPipeside(t)
	p.fill("check")
	p.send("/before", "/plan", url.Values{"flow_points": {"1"}, "runs": {"1"}, "seconds": {"300"}, "interval": {"10"}, "averaging": {"30"}})
	p.WithCurrent()
	decide := func(clocks string) Answer {
		return p.follow(p.c.Post(p.path+"/traces/alignments", p.formOf(p.c.Get(clocks).Want(http.StatusOK), "signals")))
	}
	first := decide(p.pair())
	if boxes := All(first.Doc, `input[name="also"]`); len(boxes) > 0 {
		t.Error("one indication has nothing beside it")
	}
	content, err := os.ReadFile(logFiles + "meter.csv")
	if err != nil {
		t.Fatal(err)
	}
	to := p.load("meter", "output.csv", string(content), url.Values{"indication_id": {p.Current.String()}}).Want(http.StatusSeeOther).Location
	p.c.Post(p.path+"/traces/series", p.formOf(p.c.Get(to+"?averaging.kind=trailing&averaging.seconds=30").Want(http.StatusOK), "keep")).Want(http.StatusSeeOther)
	list := p.c.Get(p.path+"/traces").Want(http.StatusOK, Sound())
	at := regexp.MustCompile(`/tasks/[^"]+/traces/clocks\?[^"]+`).FindString(list.Body)
	page := decide(strings.ReplaceAll(at, "&amp;", "&"))
	box := All(page.Doc, `#form-stretch-1 input[name="also"]`)
	if len(box) != 1 {
		t.Fatalf("%d indications are offered beside: %s", len(box), Words(page.Doc))
	}
	form := p.formOf(page, "stretch-1")
	for _, a := range box[0].Attr {
		if a.Key == "value" {
			form.Set("also", a.Val)
		}
	}
	form.Set("flow_point", "1")
	p.take("stretch-1", form)
	runs := p.c.Get(p.path+"/before").Want(http.StatusOK, Sound())
	at = regexp.MustCompile(`/tasks/[^"]+/runs/[0-9a-f-]+`).FindString(runs.Body)
	run := p.c.Get(at).Want(http.StatusOK, Sound(), Says("from logger files"))
	for _, row := range All(run.Doc, "tbody tr") {
		if cells := All(row, "td"); len(cells) < 4 || Words(cells[2]) == "–" || Words(cells[3]) == "–" {
			t.Fatalf("a reading without one of the indications: %s", Words(row))
		}
	}
}

// TestEnvelopeForScripts: what the scripts draw is the series, within the window asked for.
func TestEnvelopeForScripts(t *testing.T) {
	p := openPipeside(t)
	page := p.c.Get(p.pair()).Want(http.StatusOK)
	at := regexp.MustCompile(`/series/[0-9a-f-]+/envelope`).FindString(page.Body)
	var drawn drawnSeries
	ask := func(query string, status int) {
		t.Helper()
		r := p.c.Request(http.MethodGet, at+query, nil)
		r.Header.Set("Accept", "application/json")
		a := p.c.Do(r).Want(status)
		drawn = drawnSeries{}
		if status == http.StatusOK {
			if err := json.Unmarshal([]byte(a.Body), &drawn); err != nil {
				t.Fatal(err)
			}
		}
	}
	const from, to = 1774339247000, 1774341937000 // 08:00:47 to 08:45:37 UTC
	ask(fmt.Sprintf("?from=%d&to=%d&width=512", from, to), http.StatusOK)
	if len(drawn.At) != 264 || drawn.Low != nil || drawn.Origin != from || drawn.Step != 10000 || drawn.Mean[0] != 0.0199707 {
		t.Errorf("whole: %d samples from %d, step %v, low %v, first %v", len(drawn.At), drawn.Origin, drawn.Step, drawn.Low, drawn.Mean[0])
	}
	ask(fmt.Sprintf("?from=%d&to=%d&width=50", from, to), http.StatusOK)
	if n := len(drawn.At); n > 50 || n < 25 || len(drawn.Low) != n || drawn.Low[3] > drawn.Mean[3] || drawn.High[3] < drawn.Mean[3] {
		t.Errorf("in few ranges: %+v", drawn)
	}
	for _, query := range []string{"", "?from=1&to=1&width=5", "?from=a&to=2&width=5", "?from=1&to=2&width=0"} {
		ask(query, http.StatusUnprocessableEntity)
	}
}
