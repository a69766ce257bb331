package web

import (
	"fmt"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"rillmark/domain/access"
	"rillmark/domain/sheet"
	"rillmark/service/capture/capturetest"
	. "rillmark/service/web/webtest"
)

// pipe is a house with a task prepared, and the technician of its crew.
type pipeside struct {
	*house
	*capturetest.Place
	c    *Client
	path string
}

func openPipeside(t *testing.T) *pipeside {
	t.Helper()
	h := openHouse(t)
	p := capturetest.Prepare(t, h.db, "../..", h.people[access.Technician])
	return &pipeside{house: h, Place: p, c: h.as(access.Technician), path: "/tasks/" + p.Task.String()}
}

// send fills a form of a place and sends it.
func (p *pipeside) send(page, action string, fields url.Values) Answer {
	p.house.t.Helper()
	return p.c.Submit(p.c.Get(p.path+page).Want(http.StatusOK), p.path+action, fields).Want(http.StatusSeeOther)
}

// fill fills the sheet in by its forms with what was observed in the worked example, up
// to the place named.
func (p *pipeside) fill(upTo string) {
	p.house.t.Helper()
	s := p.Example.Sheet
	order := []string{"survey", "mounting", "check", "before", "adjust", "after", "verdict"}
	for _, place := range order {
		switch place {
		case "survey":
			for _, v := range s.Survey {
				fields := url.Values{"entered": {v.Entered}, "source": {string(v.Source)}, "position": {v.Position}}
				if v.KitID != nil {
					fields.Set("kit_id", v.KitID.String())
				}
				p.send("/survey/"+string(v.Name), "/survey", fields)
			}
		case "mounting":
			p.send("/mounting", "/mounting", url.Values{"spacing": {"117"}, "clock_position": {"3 o'clock"}})
		case "check":
			p.send("/check", "/check", url.Values{"snr": {"31"}, "sound_speed": {"1481.2"}})
			z := s.ZeroChecks[0]
			p.send("/check", "/zero", url.Values{"possible": {"yes"}, "isolated_by": {z.IsolatedBy}, "tightness": {z.Tightness}, "cutoff_off": {"yes"},
				"seconds": {"300"}, "mean_velocity": {"0.6"}, "u_velocity": {"0.3"}, "action": {z.Action}})
		case "before":
			n := s.Controls[0]
			p.send("/before", "/control", url.Values{"kind": {"inhibited"}, "what": {n.What}, "done_by": {n.DoneBy}})
			p.runs(sheet.Before)
		case "adjust":
			a := s.Adjustments[0]
			p.send("/adjust", "/adjust", url.Values{"parameter": {a.Parameter}, "kind": {string(a.Kind)}, "old_entered": {a.OldEntered}, "new_entered": {a.NewEntered},
				"permission": {a.Permission}, "seal_before": {a.SealBefore}, "seal_after": {a.SealAfter}, "reason": {a.Reason}})
		case "after":
			p.runs(sheet.After)
			p.send("/check", "/check", url.Values{"snr": {"31"}, "sound_speed": {"1480.9"}})
			p.send("/adjust", "/control", url.Values{"kind": {"restored"}, "what": {s.Controls[1].What}, "done_by": {s.Controls[1].DoneBy}})
		case "verdict":
			p.send("/verdict", "/evaluation", nil)
			p.send("/verdict", "/notes", url.Values{"kind": {"finished"}, "text": {"done"}})
		}
		if place == upTo {
			return
		}
	}
}

func (p *pipeside) runs(phase sheet.Phase) {
	p.house.t.Helper()
	page := "/" + string(phase)
	plan, _ := p.Example.Sheet.Plan(phase)
	p.send(page, "/plan", url.Values{"flow_points": {fmt.Sprint(plan.FlowPoints)}, "runs": {fmt.Sprint(plan.Runs)}, "seconds": {fmt.Sprint(plan.Seconds)},
		"interval": {fmt.Sprint(plan.Interval)}, "averaging": {fmt.Sprint(plan.Averaging)}})
	for _, run := range p.Example.Sheet.Taken(phase) {
		fields := url.Values{"flow_point": {fmt.Sprint(run.FlowPoint)}}
		for _, r := range run.Readings {
			fields.Add("references", strings.TrimSuffix(r.ReferenceEntered, " m3/h"))
			fields.Add("values", strings.TrimSuffix(r.Indications[0].Entered, " m3/h"))
		}
		p.send(page, "/runs", fields)
	}
}

// TestSheetPictures leaves pictures of every place, fresh and filled in, in the folder
// that RILLMARK_SHOTS names.
func TestSheetPictures(t *testing.T) {
	folder := os.Getenv("RILLMARK_SHOTS")
	if folder == "" {
		t.Skip("RILLMARK_SHOTS names no folder")
	}
	p := openPipeside(t)
	b := Open(t, Phone)
	b.Go(p.server.URL + "/login")
	b.Type("#f-login", "technician")
	b.Type("#f-password", testPassword)
	b.Press(".do")
	look := func(name, path string) {
		b.Go(p.server.URL + p.path + path)
		for _, size := range []Size{Phone, Desk} {
			b.Resize(size)
			b.Shot(folder, name+"-"+size.Name)
		}
		b.Resize(Narrow)
		fits(t, b, name, Narrow)
		b.Resize(Phone)
		fits(t, b, name, Phone)
	}
	for _, at := range []string{"sheet", "survey", "survey/wall", "survey/between", "pipe", "mounting", "check", "before", "adjust", "verdict"} {
		look("fresh-"+at, "/"+at)
	}
	p.fill("survey")
	look("survey", "/survey")
	look("wall", "/survey/wall")
	look("mounting-new", "/mounting")
	p.fill2(t, look)
}

func (p *pipeside) fill2(t *testing.T, look func(name, path string)) {
	t.Helper()
	p.send("/mounting", "/mounting", url.Values{"spacing": {"117"}, "clock_position": {"3 o'clock"}})
	look("mounting", "/mounting")
	p.send("/check", "/check", url.Values{"snr": {"27"}, "sound_speed": {"1452"}})
	look("check-failed", "/check")
	p.send("/check", "/check", url.Values{"snr": {"31"}, "sound_speed": {"1481.2"}})
	look("check", "/check")
	p.send("/before", "/control", url.Values{"kind": {"inhibited"}, "what": {"flow control of the dosing"}, "done_by": {"the shift operator"}})
	look("before-plan", "/before")
	p.runs(sheet.Before)
	look("before", "/before")
	look("adjust", "/adjust")
	a := p.Example.Sheet.Adjustments[0]
	p.send("/adjust", "/adjust", url.Values{"parameter": {a.Parameter}, "kind": {string(a.Kind)}, "old_entered": {a.OldEntered}, "new_entered": {a.NewEntered},
		"permission": {a.Permission}, "seal_before": {a.SealBefore}, "seal_after": {a.SealAfter}, "reason": {a.Reason}})
	p.runs(sheet.After)
	look("after", "/after")
	p.send("/verdict", "/evaluation", nil)
	look("verdict", "/verdict")
	look("sheet", "/sheet")
}

// TestSheetFormsTwice sends forms of the sheet twice: once, and the same place.
func TestSheetFormsTwice(t *testing.T) {
	p := openPipeside(t)
	p.fill("check")
	for _, form := range []struct {
		page, action, table string
		fields              url.Values
	}{
		{"/survey/wall", "/survey", "survey_value", url.Values{"entered": {"7.0"}, "source": {"measured"}}},
		{"/mounting?again=yes", "/mounting", "mounting", url.Values{"spacing": {"116"}}},
		{"/check", "/zero", "zero_check", url.Values{"possible": {"no"}, "action": {"cannot be stopped"}}},
		{"/before", "/control", "control_note", url.Values{"kind": {"nothing-controlled"}}},
		{"/before", "/plan", "run_plan", url.Values{"flow_points": {"1"}}},
		{"/before", "/runs", "run", url.Values{"references": {"60", "60.1"}, "values": {"61.8", "61,8"}}},
	} {
		before := p.Count("SELECT count(*) FROM " + form.table)
		sent := p.c.Get(p.path + form.page).Want(http.StatusOK).Form(p.path + form.action)
		for name, values := range form.fields {
			sent[name] = values
		}
		first, again := p.c.Post(p.path+form.action, sent).Want(http.StatusSeeOther), p.c.Post(p.path+form.action, sent).Want(http.StatusSeeOther)
		if first.Location != again.Location {
			t.Errorf("%s: %s, then %s", form.action, first.Location, again.Location)
		}
		if n := p.Count("SELECT count(*) FROM "+form.table) - before; n != 1 {
			t.Errorf("%s: %d rows", form.action, n)
		}
	}
}

// TestSheetKeepsWhatWasTyped refuses forms: the sentence stands beside its field and what
// was typed is still there.
func TestSheetKeepsWhatWasTyped(t *testing.T) {
	p := openPipeside(t)
	p.fill("check")
	p.send("/before", "/control", url.Values{"kind": {"nothing-controlled"}})
	for _, form := range []struct {
		page, action string
		fields       url.Values
		checks       []Check
	}{
		{"/survey/wall", "/survey", url.Values{"entered": {"about seven"}}, []Check{In("#value-entered", Has("value", "about seven")), In("#value-entered-wrong", Says("about seven"))}},
		{"/mounting?again=yes", "/mounting", url.Values{"spacing": {"1,234"}, "note": {"stiff"}}, []Check{In("#mount-spacing-wrong"), In("#mount-note", Has("value", "stiff"))}},
		{"/check", "/check", url.Values{"snr": {"20"}, "sound_speed": {""}}, []Check{In("#check-sound_speed-wrong"), In("#check-snr", Has("value", "20"))}},
		{"/check", "/zero", url.Values{"possible": {"yes"}, "tightness": {"two valves"}}, []Check{In("#zero-isolated_by-wrong"), In("#zero-tightness", Says("two valves"))}},
		{"/before", "/plan", url.Values{"flow_points": {"three"}}, []Check{In("#plan-flow_points-wrong"), In("#plan-flow_points", Has("value", "three"))}},
		{"/adjust", "/adjust", url.Values{"parameter": {"span"}}, []Check{In("#adjust-reason-wrong"), In("#adjust-parameter", Has("value", "span"))}},
		{"/verdict", "/notes", url.Values{"text": {""}}, []Check{In("#note-text-wrong")}},
	} {
		p.c.Submit(p.c.Get(p.path+form.page).Want(http.StatusOK), p.path+form.action, form.fields).
			Want(http.StatusUnprocessableEntity, append(form.checks, Sound())...)
	}
	p.send("/before", "/plan", url.Values{"flow_points": {"1"}, "runs": {"3"}, "seconds": {"30"}, "interval": {"10"}})
	p.c.Submit(p.c.Get(p.path+"/before").Want(http.StatusOK), p.path+"/runs", url.Values{"references": {"60", "sixty"}, "values": {"61.8", "61.9"}}).
		Want(http.StatusUnprocessableEntity, In("#run-ref-1", Has("value", "sixty")), In("#run-ind0-0", Has("value", "61.8")), In(".reading .wrong", Says("sixty")), Sound())
	if n := p.Count("SELECT count(*) FROM run"); n != 0 {
		t.Errorf("%d runs", n)
	}
}

// TestSheetPlaces looks at every place, fresh and filled in: sound, provisional, and what
// each must say.
func TestSheetPlaces(t *testing.T) {
	p := openPipeside(t)
	places := []string{"/sheet", "/survey", "/survey/wall", "/survey/between", "/pipe", "/mounting", "/check", "/before", "/adjust", "/after", "/verdict"}
	for _, at := range places {
		p.c.Get(p.path+at).Want(http.StatusOK, Sound(), In(".provisional", Says("Provisional, not authorised")), In(".tape"))
	}
	p.fill("verdict")
	for _, at := range places {
		p.c.Get(p.path+at).Want(http.StatusOK, Sound(), In(".provisional"), In(".tape"))
	}
	p.c.Get(p.path+"/survey").Want(http.StatusOK, In("main", Says("mean of 4"), Says("WG-1"), Says("168.30 mm")))
	p.c.Get(p.path+"/mounting").Want(http.StatusOK, In(".clamp text", Says("117 mm")), In("main", Says("Accepted"), Says("from the survey")))
	p.c.Get(p.path+"/check").Want(http.StatusOK, In(".answer", Says("The set-up holds.")), In("main", Says("after the last run")))
	p.c.Get(p.path+"/before").Want(http.StatusOK, In("main", Says("9 taken, 9 used"), Says("45 taken, 45 used")), In(".answer", Says("Reads 2.9 % high.")))
	p.c.Get(p.path+"/verdict").Want(http.StatusOK, In(".answer", Says("% high, and")), In("#gains", Says("U 1.7 → 1.4 %")), In("#budget", Says("The largest part is")), In("#keep", Says("Evaluation 1")))
	for _, role := range []access.Role{access.Approver, access.Auditor, access.Coordinator} {
		other := p.as(role)
		for _, at := range places {
			other.Get(p.path+at).Want(http.StatusOK, Sound(), Not("form[data-capture]"))
		}
	}
	p.c.Get("/tasks/0190aaaa-0000-7000-8000-000000000001/survey").Want(http.StatusNotFound)
	p.c.Get(p.path + "/survey/colour").Want(http.StatusNotFound)
	p.c.Get(p.path + "/runs/0190aaaa-0000-7000-8000-000000000001").Want(http.StatusNotFound)
}

// TestSheetOfAnotherCrew shows the sheet to a technician who is not booked, and takes
// nothing from them.
func TestSheetOfAnotherCrew(t *testing.T) {
	p := openPipeside(t)
	p.addPerson("stranger", "Stig Vold", access.Technician)
	c := p.as("")
	p.login(c, "stranger")
	c.Get(p.path+"/survey").Want(http.StatusOK, In("main", Says("You are reading.")), Not("form[data-capture]"))
	form := p.c.Get(p.path + "/survey/wall").Form(p.path + "/survey")
	form["entered"], form["source"] = []string{"7"}, []string{"measured"}
	c.Post(p.path+"/survey", form).Want(http.StatusForbidden)
	c.Get("/").Want(http.StatusOK, In("main", Says("You are booked for no visit today.")))
	if n := p.Count("SELECT count(*) FROM survey_value"); n != 0 {
		t.Errorf("%d values", n)
	}
}

// TestReadingsOfAnEndedLoginAreKept sends a run after the login has ended: it is kept,
// offered to the same person, and becomes one run.
func TestReadingsOfAnEndedLoginAreKept(t *testing.T) {
	p := openPipeside(t)
	p.fill("check")
	p.send("/before", "/plan", url.Values{"flow_points": {"1"}, "runs": {"3"}, "seconds": {"30"}, "interval": {"10"}})
	form := p.c.Get(p.path + "/before").Form(p.path + "/runs")
	form["references"], form["values"] = []string{"60", "60.1"}, []string{"61.8", "sixty"}
	form.Set("captured_at", "2026-11-25T08:15:00.123Z")
	p.sql("UPDATE session SET idle_until = clock_timestamp() - interval '1 minute'")
	late := p.c.Post(p.path+"/runs", form).Want(http.StatusSeeOther)
	next := p.c.Get(late.Location).Want(http.StatusOK).Form("/login").Get("next")
	p.login(p.c, "technician")
	offered := p.c.Get(next).Want(http.StatusOK, Sound(), In("main", Says("an entry on the work sheet of FT-204"), Says("61.8, sixty")))
	refused := p.c.Submit(offered, p.path+"/runs", nil).Want(http.StatusUnprocessableEntity, In(".reading .wrong", Says("sixty")))
	p.c.Submit(refused, p.path+"/runs", url.Values{"values": {"61.8", "61.9"}}).Want(http.StatusSeeOther)
	if runs, kept := p.Count("SELECT count(*) FROM run WHERE captured_at = '2026-11-25T08:15:00.123Z'"), p.Count("SELECT count(*) FROM kept_entry"); runs != 1 || kept != 0 {
		t.Errorf("%d runs of the device's time, %d entries still kept", runs, kept)
	}
}

// TestRunPage corrects a reading, sets it aside, and takes it back in.
func TestRunPage(t *testing.T) {
	p := openPipeside(t)
	p.fill("before")
	run := All(p.c.Get(p.path+"/before").Doc, "#runs a.row")[0]
	page := strings.TrimPrefix(Attr(run, "href"), p.path)
	reading := Attr(All(p.c.Get(p.path+page).Want(http.StatusOK).Doc, "td a")[0], "href")
	page = strings.TrimPrefix(reading, p.path)
	p.c.Get(p.path+page).Want(http.StatusOK, Sound(), In("#correct-ref-0"))
	p.send(page, "/readings", url.Values{"references": {"99.9 m3/h"}, "reason": {"a digit"}})
	p.send(strings.Split(page, "?")[0]+"?reading="+p.newest(t), "/aside", url.Values{"reason": {"a pump started"}})
	p.c.Get(p.path+"/before").Want(http.StatusOK, In("#plan", Says("45 taken, 44 used")))
	p.c.Get(p.path+strings.Split(page, "?")[0]).Want(http.StatusOK, Sound(), In("table", Says("99.9 m3/h"), Says("set aside: a pump started")))
	p.send(strings.Split(page, "?")[0]+"?reading="+p.newest(t), "/aside", url.Values{"reason": {"it had not"}})
	p.c.Get(p.path+"/before").Want(http.StatusOK, In("#plan", Says("45 taken, 45 used")))
}

// newest is the id of the reading that was written last.
func (p *pipeside) newest(t *testing.T) string {
	t.Helper()
	var id string
	if err := p.db.Connect(t, "").QueryRow(t.Context(), "SELECT id::text FROM reading WHERE corrects IS NOT NULL ORDER BY received_at DESC, id DESC LIMIT 1").Scan(&id); err != nil {
		t.Fatal(err)
	}
	return id
}

// TestSheetEventsHaveWords reads the actions from the service's source, and the audit page
// after a whole task: a history must never show a bare key.
func TestSheetEventsHaveWords(t *testing.T) {
	source, err := filepath.Glob("../capture/*.go")
	if err != nil || len(source) == 0 {
		t.Fatal("no source", err)
	}
	known, action := pageKeys(t), regexp.MustCompile(`ctx, s, a, "([a-z.]+)"`)
	actions := 0
	for _, file := range source {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range action.FindAllStringSubmatch(string(data), -1) {
			if actions++; !known["event."+m[1]] {
				t.Errorf("%s: no words for the event %q", file, m[1])
			}
		}
	}
	if actions != 14 {
		t.Errorf("%d actions", actions)
	}
	p := openPipeside(t)
	p.fill("verdict")
	p.send("/survey/wall?corrects="+p.wall(t), "/survey", url.Values{"entered": {"7.1"}, "reason": {"slip"}})
	auditor, page := p.as(access.Auditor), "/audit"
	for range 10 {
		answer := auditor.Get(page).Want(http.StatusOK)
		next := All(answer.Doc, `.further a[rel="next"]`)
		if len(next) == 0 {
			return
		}
		page = Attr(next[0], "href")
	}
}

func (p *pipeside) wall(t *testing.T) string {
	t.Helper()
	var id string
	if err := p.db.Connect(t, "").QueryRow(t.Context(), "SELECT id::text FROM survey_value WHERE name = 'wall' ORDER BY received_at LIMIT 1").Scan(&id); err != nil {
		t.Fatal(err)
	}
	return id
}
