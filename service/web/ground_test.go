package web

import (
	"bytes"
	"mime/multipart"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"rillmark/domain/access"
	. "rillmark/service/web/webtest"
)

// ground is what the work rests on, each by the path of its page.
type ground struct {
	client, site, point, meter, indication, installation string
	reference, pair, calibration, set                    string
	method, edition, authorisation, agreement            string
}

// patterns are the paths by the patterns of routes.
func (g ground) patterns() map[string]string {
	return map[string]string{"/clients/:client": g.client, "/sites/:site": g.site, "/points/:point": g.point, "/meters/:meter": g.meter,
		"/indications/:indication": g.indication, "/installations/:installation": g.installation, "/kit/:item": g.reference,
		"/calibrations/:calibration": g.calibration, "/sets/:set": g.set, "/methods/:method": g.method, "/editions/:edition": g.edition,
		"/authorisations/:authorisation": g.authorisation, "/agreements/:agreement": g.agreement}
}

func lastPart(path string) string { return path[strings.LastIndex(path, "/")+1:] }

func day(offset int) string { return time.Now().AddDate(0, 0, offset).Format(time.DateOnly) }

// addGround makes one of each through the forms.
func (h *house) addGround() ground {
	h.t.Helper()
	c, approver, administrator := h.as(access.Coordinator), h.as(access.Approver), h.as(access.Administrator)
	g := ground{client: h.addClient(c, "Aldermere Water")}
	g.site = h.addSite(c, g.client, "Fenwick Lane pumping station")
	g.point = h.addPoint(c, g.site, "FT-204")
	g.meter = h.add(c, g.client+"/meters/new", g.client+"/meters", url.Values{"principle": {"electromagnetic"}, "maker": {"Norrland Flow"}, "model": {"N3"},
		"serial": {"61-00377"}, "measurand": {"volume"}, "nominal_size": {"DN 200"}})
	h.add(c, g.meter+"/indications/new", g.meter+"/indications", url.Values{"name": {"Loop to control room"}, "way": {"current"}, "unit": {"m³/h"},
		"low_signal": {"4 mA"}, "high_signal": {"20 mA"}, "flow_at_low": {"0 m³/h"}, "flow_at_high": {"360 m³/h"}})
	g.indication = Attr(All(c.Get(g.meter).Doc, ".rows a.row")[0], "href")
	h.add(c, g.point+"/installations/new", g.point+"/installations", url.Values{"meter_id": {lastPart(g.meter)}, "installed_at": {"2021-03-04T09:30"},
		"installed_by": {"Works crew, Aldermere Water"}, "install_reason": {"Replaces 58-20113, liner worn."}})
	g.installation = Attr(All(c.Get(g.point).Doc, ".timeline h3 a")[0], "href")

	g.reference = h.add(c, "/kit/new?kind=reference-meter", "/kit", url.Values{"tag": {"RM-02"}, "works_by": {"transit-time"}, "takes_spacing": {"yes"}, "maker": {"Tidewater"}, "model": {"P2"}, "serial": {"2208"}, "resolution": {"0.01 m³/h"}})
	g.pair = h.add(c, "/kit/new?kind=transducer-pair", "/kit", url.Values{"tag": {"TP-04"}, "wave": {"shear"}, "wedge_angle": {"38 °"}, "wedge_sound_speed": {"2720 m/s"}, "exit_offset": {"11.5 mm"}, "frequency": {"1 MHz"}})
	g.calibration = h.add(c, g.reference+"/calibrations/new", g.reference+"/calibrations", url.Values{"laboratory": {"Estuary Flow Laboratory"}, "certificate_number": {"K-118"}, "route": {"accredited"},
		"calibrated_on": {day(-30)}, "valid_until": {day(335)}, "pair_id": {lastPart(g.pair)}, "least_inside_diameter": {"50 mm"}, "most_inside_diameter": {"600 mm"}, "traverses": {"1", "2"},
		"at": {"0.5 m/s", "2 m/s", "5 m/s"}, "error": {"-0,3 %", "0.2 %", "0.4 %"}, "expanded": {"0.8 %", "0.6 %", "0.6 %"}, "k": {"", "", "2.05"}})
	g.set = h.add(c, "/sets/new", "/sets", url.Values{"name": {"North van"}, "members": {lastPart(g.reference), lastPart(g.pair)}})

	g.method = h.add(approver, "/methods/new", "/methods", url.Values{"number": {"VP-3"}, "title": {"Flow meters in place, by clamp-on reference"}})
	g.edition = h.add(approver, g.method+"/editions/new", g.method+"/editions", url.Values{"in_force_from": {day(-60)}})
	h.add(administrator, g.method+"/authorisations/new", g.method+"/authorisations", url.Values{"person_id": {h.people[access.Technician].String()}, "act": {"perform"},
		"authorised_from": {day(-50)}, "ground": {"Trained by I. Sørby; three tasks watched."}})
	for _, row := range All(administrator.Get(g.method).Doc, ".rows a.row") {
		if href := Attr(row, "href"); strings.HasPrefix(href, "/authorisations/") {
			g.authorisation = href
		}
	}
	g.agreement = h.add(c, g.point+"/agreements/new", g.point+"/agreements", url.Values{"order_number": {"PO-4411"}, "method_edition_id": {lastPart(g.edition)},
		"agreed_by": {"R. Moss, Aldermere Water"}, "agreed_on": {day(-20)}, "rule": {"guard-band"}, "phase": {"before", "after"}, "kind": {"reading", "reading"},
		"lower": {"± 5 %", "−2 %"}, "upper": {"", "2,5 %"}, "interval_months": {"24"}})
	return g
}

func TestGroundEndToEnd(t *testing.T) {
	t.Parallel()
	h := openHouse(t)
	g := h.addGround()
	c := h.as(access.Coordinator)
	c.Get(g.meter).Want(200, Sound(), In("h1", Says("Norrland Flow N3 61-00377")), In(".rows .name", Says("Loop to control room")), In(".rows .more", Says("4 mA = 0 m³/h, 20 mA = 360 m³/h")),
		In(".timeline .now h3", Says("FT-204, Fenwick Lane pumping station installed")), In(".timeline .now .when", Says("4 March 2021, 09:30")))
	c.Get(g.client+"/meters").Want(200, Sound(), In(".rows .much", Says("FT-204")))
	c.Get(g.client+"/meters?search=nothing").Want(200, Sound(), In(".none", Says("“nothing”")))
	c.Get(g.indication).Want(200, Sound(), In(".facts", Says("360 m³/h")), In(".facts", Silent("not known")))
	c.Get(g.point).Want(200, Sound(), In(".timeline .now h3", Says("Norrland Flow N3 61-00377 installed")), In(".timeline", Says("Works crew, Aldermere Water: Replaces 58-20113, liner worn.")),
		In(".rows .name", Says("Norrland Flow N3 61-00377")), In(".rows .much", Says("since 4 March 2021")),
		In(`a.row[href="`+g.agreement+`"]`, Says("Order PO-4411"), Says("VP-3, edition 1"), Says("± 5 % of reading"), Says("guard band")))
	c.Get(g.installation).Want(200, Sound(), In(".facts", Says("Replaces 58-20113")))
	c.Get("/kit").Want(200, Sound(), In(`.ways a[aria-current="page"]`, Says("Kit")), In(".rows .name", Says("RM-02")), In(".rows .much", Says("valid until")))
	c.Get(g.reference).Want(200, Sound(), In(".rows .more", Says("Estuary Flow Laboratory"), Says("with TP-04")), Not(".say.act"))
	c.Get(g.pair).Want(200, Sound(), In(".rows .more", Says("with RM-02")), In(".facts", Says("38 °")))
	c.Get(g.calibration).Want(200, Sound(), In("table", Says("-0,3 %"), Says("2.05")), In(".facts", Says("50 mm to 600 mm"), Says("0.5 m/s to 5 m/s"), Says("1, 2")))
	c.Get(g.set).Want(200, Sound(), Count(".rows li", 2))
	c.Get(g.method).Want(200, Sound(), In(".rows .name", Says("Edition 1")), In("main", Says("Tem Okonjo"), Says("may do the work")))
	c.Get(g.edition).Want(200, Sound(), In(".say", Says("content stays as it is")), In("main", Says("95.45 %")), In("pre", Says("stated_capability")))
	c.Get(g.agreement).Want(200, Sound(), In("table", Says("± 5 % of reading"), Says("−2 % to 2.5 % of reading")), In(".facts", Says("24 months")))
	for _, path := range g.patterns() {
		c.Get(path+"/history").Want(200, Sound(), In(".history li"))
	}
	c.Get(g.installation+"/history").Want(200, In(".history ins", Says("Norrland Flow N3 61-00377")))
	c.Get(g.set+"/history").Want(200, In(".history", Says("RM-02, TP-04")))
	c.Get(g.authorisation+"/history").Want(200, In(".history", Says("Tem Okonjo"), Says("VP-3")))
	c.Get(g.agreement+"/history").Want(200, In(".history", Says("VP-3, edition 1"), Says("after, from 0 m³/h: −2 % to 2.5 % of reading")))
}

func TestMeterIsExchanged(t *testing.T) {
	t.Parallel()
	h := openHouse(t)
	g := h.addGround()
	c := h.as(access.Technician)
	second := h.add(c, g.client+"/meters/new", g.client+"/meters", url.Values{"principle": {"electromagnetic"}, "maker": {"Norrland Flow"}, "serial": {"63-00012"}, "measurand": {"volume"}})
	install := url.Values{"meter_id": {lastPart(second)}, "installed_at": {"2025-05-06T11:00"}, "installed_by": {"T. Okonjo"}, "install_reason": {"Coil open"}}
	refused := c.Submit(c.Get(g.point+"/installations/new"), g.point+"/installations", install).Want(http.StatusConflict, Sound(),
		In("#f-installed_at-wrong", Says("Meter Norrland Flow N3 61-00377 is noted at this place from 4 March 2021, 09:30 until today.")), In("#f-install_reason", Says("Coil open")))
	old := c.Get(g.installation + "/change")
	remove := c.Get(g.installation+"/change").Want(200, Sound(), In("#f-installed_at", Has("value", "2021-03-04T09:30")))
	c.Submit(remove, g.installation, url.Values{"removed_at": {"2025-05-06T10:30"}}).Want(422, Sound(), In("#f-removed_by-wrong"), In("#f-remove_reason-wrong"))
	c.Submit(remove, g.installation, url.Values{"removed_at": {"2025-05-06T10:30"}, "removed_by": {"T. Okonjo"}, "remove_reason": {"Coil open"}}).Want(303)
	c.Submit(refused, g.point+"/installations", nil).Want(303)
	changed := c.Get(second + "/change")
	c.Submit(changed, second, url.Values{"firmware": {"4.2"}}).Want(303)
	page := c.Get(g.point).Want(200, Sound(), In(".timeline .now h3", Says("63-00012 installed")))
	var told []string
	for _, m := range All(page.Doc, ".timeline h3") {
		told = append(told, Words(m))
	}
	want := []string{"Meter changed", "Agreement noted: PO-4411", "Norrland Flow 63-00012 installed", "Norrland Flow N3 61-00377 removed", "Norrland Flow N3 61-00377 installed"}
	if len(told) != len(want) {
		t.Fatalf("the timeline tells %q", told)
	}
	for i := range want {
		if told[i] != want[i] {
			t.Errorf("the timeline tells %q in place %d, want %q", told[i], i, want[i])
		}
	}
	c.Get(g.point).Want(200, In(".timeline", Says("Firmware: empty → 4.2")))
	stale := c.Submit(old, g.installation, url.Values{"removed_at": {"2025-05-07T10:30"}, "removed_by": {"T. Okonjo"}, "remove_reason": {"Coil open"}}).Want(412, Sound())
	if got := stale.Form(g.installation).Get("version"); got != "2" {
		t.Errorf("the conflict goes on from version %q", got)
	}
}

func TestGridKeepsItsRows(t *testing.T) {
	t.Parallel()
	h := openHouse(t)
	g := h.addGround()
	c := h.as(access.Coordinator)
	path := g.reference + "/calibrations"
	form := c.Get(path+"/new").Want(200, Sound()).Form(path)
	rows := url.Values{"at": {"0.5 m/s", "", "2 m/s"}, "error": {"0.1 %", "", ""}, "expanded": {"0.5 %", "", "0.5"}, "k": {"", "", "0.1"}}
	more := c.Post(path, merged(form, rows, url.Values{"more": {"points"}, "laboratory": {"Estuary"}})).Want(200, Sound(),
		In("#f-points-2-at", Has("value", "2 m/s")), In("#f-points-5-at"), In("#f-laboratory", Has("value", "Estuary")))
	refused := c.Post(path, merged(more.Form(path), rows)).Want(422, Sound(), In("#f-points-2-error-wrong", Says("Fill it in")), In("#f-points-2-expanded-wrong"),
		In("#f-points-2-k-wrong", Says("1 or more")), In("#f-points-0-at", Has("value", "0.5 m/s")), In("#f-pair_id-wrong"), In(".choices .wrong", Says("traverses")))
	if n := h.count("SELECT count(*) FROM calibration"); n != 1 {
		t.Errorf("%d calibrations", n)
	}
	if form := refused.Form(path); form.Get("id") == "" || len(form["at"]) < 5 {
		t.Errorf("the refused form carries %v", form)
	}
}

func TestCalibrationWithItsDocument(t *testing.T) {
	t.Parallel()
	h := openHouse(t)
	g := h.addGround()
	c := h.as(access.Coordinator)
	path := g.reference + "/calibrations"
	page := c.Get(path+"/new").Want(200, In(`form[enctype="multipart/form-data"]`), In(`input[type="file"]`))
	send := func(file []byte) Answer {
		form := merged(page.Form(path), url.Values{"laboratory": {"Estuary"}, "certificate_number": {"K-200"}, "route": {"accredited"}, "calibrated_on": {day(-1)}, "valid_until": {day(300)},
			"pair_id": {lastPart(g.pair)}, "least_inside_diameter": {"50 mm"}, "most_inside_diameter": {"600 mm"}, "traverses": {"2"}, "at": {"1 m/s"}, "error": {"0 %"}, "expanded": {"0.5 %"}})
		var body bytes.Buffer
		w := multipart.NewWriter(&body)
		for name, values := range form {
			for _, v := range values {
				_ = w.WriteField(name, v)
			}
		}
		part, err := w.CreateFormFile("document", `K "200".pdf`)
		if err != nil {
			t.Fatal(err)
		}
		_, _ = part.Write(file)
		_ = w.Close()
		r := c.Request(http.MethodPost, path, &body)
		r.Header.Set("Content-Type", w.FormDataContentType())
		return c.Do(r)
	}
	file := append([]byte("%PDF-1.7\n"), bytes.Repeat([]byte("x"), 1500000)...)
	send([]byte("<html>not a certificate</html>")).Want(422, Sound(), In("#f-document-wrong", Says("none of PDF")), In("#f-laboratory", Has("value", "Estuary")))
	done := send(file).Want(303)
	send(file).Want(303) // sent twice, it happens once
	if n := h.count("SELECT count(*) FROM calibration"); n != 2 {
		t.Errorf("%d calibrations", n)
	}
	c.Get(done.Location).Want(200, Sound(), In(`a.do[href="`+done.Location+`/document"]`))
	got := c.Get(done.Location + "/document")
	if got.Status != 200 || got.Body != string(file) || got.Header.Get("Content-Type") != "application/pdf" {
		t.Errorf("the document: status %d, %s, %d bytes", got.Status, got.Header.Get("Content-Type"), len(got.Body))
	}
	if name := got.Header.Get("Content-Disposition"); !strings.HasPrefix(name, `attachment; filename="calibration-RM-02-`) {
		t.Errorf("named %s", name)
	}
	c.Get(g.calibration + "/document").Want(404)
	large := send(make([]byte, 22<<20))
	if large.Status != http.StatusRequestEntityTooLarge {
		t.Errorf("22 MiB: status %d", large.Status)
	}
}

func TestEditionTellsWhereItIsWrong(t *testing.T) {
	t.Parallel()
	h := openHouse(t)
	g := h.addGround()
	c := h.as(access.Approver)
	page := c.Get(g.method+"/editions/new").Want(200, Sound())
	content := page.Form(g.method + "/editions").Get("content")
	wrong := strings.Replace(content, `"coverage": 0.9545`, `"coverage": 95.45`, 1)
	c.Submit(page, g.method+"/editions", url.Values{"content": {wrong}, "in_force_from": {day(1)}}).Want(422, Sound(), In("#f-content-wrong", Says("coverage: ")), In("#f-content", Says("95.45")))
	c.Submit(page, g.method+"/editions", url.Values{"content": {"{"}, "in_force_from": {day(1)}}).Want(422, Sound(), In("#f-content-wrong"))
	frozen := c.Get(g.edition+"/change").Want(200, Sound(), In(".say", Says("content stays as it is")))
	c.Submit(frozen, g.edition, url.Values{"content": {strings.Replace(content, `"coverage": 0.9545`, `"coverage": 0.99`, 1)}}).Want(422, Sound(), In("#f-content-wrong", Says("Add a new edition")))
	c.Submit(page, g.method+"/editions", url.Values{"in_force_from": {day(1)}}).Want(303)
	c.Get(g.method).Want(200, Sound(), In(".rows .name", Says("Edition 2")))
}

func TestAgreementIsReplacedWithConsent(t *testing.T) {
	t.Parallel()
	h := openHouse(t)
	g := h.addGround()
	c := h.as(access.Coordinator)
	page := c.Get(g.point+"/agreements/new").Want(200, Sound(), In("h1", Says("What is agreed anew")), In("#f-consent"), In("#f-limits-0-lower", Has("value", "−5 %")), In("#f-limits-1-upper", Has("value", "2.5 %")))
	again := url.Values{"agreed_by": {"R. Moss"}, "agreed_on": {day(0)}}
	c.Submit(page, g.point+"/agreements", again).Want(422, Sound(), In("#f-consent-wrong", Says("must have consented")))
	again.Set("consent", "R. Moss by mail, today.")
	done := c.Submit(page, g.point+"/agreements", again).Want(303)
	c.Get(g.agreement).Want(200, Sound(), In(`.say a[href="`+done.Location+`"]`), Not(".acts"))
	c.Get(done.Location).Want(200, Sound(), In(".facts", Says("R. Moss by mail, today.")))
	c.Submit(page, g.point+"/agreements", merged(again, h.as(access.Coordinator).Get(g.point+"/agreements/new").Form(g.point+"/agreements"), url.Values{"replaces": {lastPart(g.agreement)}, "consent": {"x"}, "agreed_by": {"x"}, "agreed_on": {day(0)}})).
		Want(http.StatusConflict, Sound(), In(".say.act", Says("another agreement")))
}
