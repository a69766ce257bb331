package web

import (
	"net/http"
	"net/url"
	"testing"

	"rillmark/domain/access"
	. "rillmark/service/web/webtest"
)

// insist sends a form, is asked a question that holds the words, and sends the same again.
func (p *pipeside) insist(page, action string, fields url.Values, asked string) Answer {
	p.t.Helper()
	question := p.c.Submit(p.c.Get(p.path+page), p.path+action, fields).Want(http.StatusUnprocessableEntity, Sound(), In(".wrong", Says(asked)))
	return p.c.Submit(question, p.path+action, fields).Want(http.StatusSeeOther)
}

// TestQuestionsAreAskedOnce sends what is most likely a slip: it is asked about before it is
// kept; the same again is believed, something else is asked about anew, and a program is
// not asked.
func TestQuestionsAreAskedOnce(t *testing.T) {
	p := openPipeside(t)
	measured := func(text string) url.Values { return url.Values{"entered": {text}, "source": {"measured"}} }
	p.insist("/survey/outside-diameter", "/survey", measured("2601"), "is the unit right?")
	page := p.c.Get(p.path + "/survey/outside-diameter")
	other := p.c.Submit(page, p.path+"/survey", measured("219.1")).Want(http.StatusUnprocessableEntity, In(".wrong", Says("differ by 91.6 %")))
	other = p.c.Submit(other, p.path+"/survey", measured("291.1")).Want(http.StatusUnprocessableEntity, In(".wrong", Says("differ by 88.8 %")))
	if n := p.Count("SELECT count(*) FROM survey_value"); n != 1 {
		t.Errorf("%d values, want the one that was insisted on", n)
	}
	p.c.Submit(other, p.path+"/survey", measured("291.1")).Want(http.StatusSeeOther)
	if n := p.Count("SELECT count(*) FROM survey_value"); n != 2 {
		t.Errorf("%d values, want 2", n)
	}
}

// TestUnitsAndDirectionsAreQuestioned: a wall as thin as a slip of the unit, a straight length
// in millimetres for metres, and a factor that goes the wrong way.
func TestUnitsAndDirectionsAreQuestioned(t *testing.T) {
	p := openPipeside(t)
	measured := func(text string) url.Values { return url.Values{"entered": {text}, "source": {"measured"}} }
	p.c.Submit(p.c.Get(p.path+"/survey/outside-diameter"), p.path+"/survey", measured("219.1")).Want(http.StatusSeeOther)
	p.insist("/survey/wall", "/survey", measured("0.25"), "very thin")
	p.insist("/survey/straight-after", "/survey", measured("1500"), "very long")
}

func TestAdjustmentThatGoesTheWrongWayIsQuestioned(t *testing.T) {
	p := openPipeside(t)
	p.fill("before")
	factor := func(text string) url.Values {
		return url.Values{"parameter": {"factor"}, "kind": {"multiplier"}, "old_entered": {"1"}, "new_entered": {text}, "permission": {"the operator"}, "reason": {"reads high"}}
	}
	p.insist("/adjust", "/adjust", factor("1.02"), "would make the error larger")
}

// TestRunIsQuestioned: an empty run is none; the readings of an earlier run, a speed that no
// pipe has, and a meter at a multiple of the reference are asked about.
func TestRunIsQuestioned(t *testing.T) {
	p := openPipeside(t)
	p.fill("check")
	p.send("/before", "/plan", url.Values{"flow_points": {"1"}, "runs": {"3"}, "seconds": {"30"}, "interval": {"10"}})
	p.c.Submit(p.c.Get(p.path+"/before"), p.path+"/runs", nil).Want(http.StatusUnprocessableEntity, In("main", Says("No reading is entered")))
	run := func(reference, shown string) url.Values {
		return url.Values{"references": {reference, "", ""}, "values": {shown, "", ""}}
	}
	p.send("/before", "/runs", run("60", "61"))
	p.insist("/before", "/runs", run("60", "61"), "the very readings of run 1")
	p.insist("/before", "/runs", run("60000", "61000"), "m/s in this pipe")
	p.insist("/before", "/runs", run("60", "6.1"), "0.1 times the reference")
	p.insist("/before", "/runs", run("0", "61"), "no error")
	if n := p.Count("SELECT count(*) FROM run"); n != 5 {
		t.Errorf("%d runs, want 5", n)
	}
}

// TestStopsAreSaidFirst: a wall below the minimum is said beside the value at once, then on
// every place of the sheet before anything else, and the way on is no longer the first.
func TestStopsAreSaidFirst(t *testing.T) {
	p := openPipeside(t)
	p.fill("survey")
	p.send("/survey/minimum-wall", "/survey", url.Values{"entered": {"9"}, "source": {"client"}})
	got := p.send("/survey/wall", "/survey", url.Values{"entered": {"7"}, "position": {"12 o'clock"}, "source": {"measured"}})
	if got.Location != p.path+"/survey/wall" {
		t.Errorf("goes on to %s", got.Location)
	}
	for _, at := range []string{"/sheet", "/survey", "/mounting", "/before"} {
		p.c.Get(p.path+at).Want(200, In(".say.act", Says("Stop: the wall of 7 mm")))
	}
	p.c.Get(p.path+"/survey").Want(200, In(".acts .do.second", Says("On to the mounting")), In("main", Says("cleared")))
}

// TestLeavingWithSomethingInhibited: whoever finishes while something is in manual is asked;
// it stays said afterwards.
func TestLeavingWithSomethingInhibited(t *testing.T) {
	p := openPipeside(t)
	p.fill("check")
	p.c.Submit(p.c.Get(p.path+"/before"), p.path+"/control", url.Values{"what": {"dosing"}, "done_by": {"the shift"}}).Want(http.StatusUnprocessableEntity, Sound())
	p.send("/before", "/control", url.Values{"kind": {"inhibited"}, "what": {"dosing"}, "done_by": {"the shift"}})
	p.insist("/verdict", "/notes", url.Values{"kind": {"finished"}, "text": {"the operator keeps it in manual"}}, "still in manual")
	p.c.Get(p.path+"/sheet").Want(200, In(".say.act", Says("nobody wrote down that it was restored")), Silent("Verdict complete"))
}

// TestSheetToFillInByHand: what a pen needs is there, with what is known and a row for each
// reading that was set.
func TestSheetToFillInByHand(t *testing.T) {
	p := openPipeside(t)
	p.fill("check")
	p.send("/before", "/plan", url.Values{"flow_points": {"2"}, "runs": {"3"}, "seconds": {"30"}, "interval": {"10"}})
	a := p.c.Get(p.path+"/paper").Want(200, Sound(), In("main", Says("Outside diameter"), Says("carbon steel"), Says("In manual or inhibited")))
	tables := All(a.Doc, "table")
	for _, table := range tables {
		if caption := Words(All(table, "caption")[0]); caption == "Before adjustment" {
			if n := len(All(table, "tbody tr")); n != 2*3*3 {
				t.Errorf("%d rows for 18 readings", n)
			}
			return
		}
	}
	t.Errorf("no table of readings among %d", len(tables))
}

// TestApproverSeesLikelySlips insists on a zero and on a doubled run: both stand first on the
// review, and a sheet that comes back says why at its top.
func TestApproverSeesLikelySlips(t *testing.T) {
	p := openPipeside(t)
	p.fill("verdict")
	m := p.Count("SELECT count(*) FROM mounting")
	p.SQL("UPDATE zero_check SET mean_velocity = 2, mean_entered = '2 m/s' WHERE possible")
	p.send("/verdict", "/evaluation", nil)
	p.SQL(`INSERT INTO authorisation (id, person_id, method_id, act, during, ground, version, created_at, changed_at)
		VALUES ($1, $2, $3, 'authorise', tstzrange('2020-01-01', NULL), 'appointed', 1, now(), now())`,
		p.web.IDs(), p.people[access.Approver], p.Example.Method.ID)
	approver := p.as(access.Approver)
	list := approver.Get("/review").Want(200)
	review := Attr(All(list.Doc, ".rows a.row")[0], "href")
	page := approver.Get(review).Want(200, Sound(), In("#look", Says("a zero of 2000.0 mm/s")), In("#kit", Says("until"), Silent("column")))
	if m != 1 {
		t.Errorf("%d mountings", m)
	}
	approver.Submit(page, review+"/return", url.Values{"reason": {"Isolate the line and read the zero again."}}).Want(303)
	p.c.Get(p.path+"/sheet").Want(200, In(".say.act", Says("Sent back by"), Says("Isolate the line")))
}

// TestWhatIsInhibitedLeadsToItsRestoring: the verdict says it before everything else and not
// among what stops nobody; its link opens the form with what was inhibited.
func TestWhatIsInhibitedLeadsToItsRestoring(t *testing.T) {
	p := openPipeside(t)
	p.fill("mounting")
	p.c.Get(p.path+"/verdict").Want(200, Silent("Still in manual"))
	p.c.Get(p.path+"/check").Want(200, Sound(), In("#zero", Says("Ask before you touch anything")))
	p.send("/before", "/control", url.Values{"kind": {"inhibited"}, "what": {"dosing pump 2"}, "done_by": {"the shift"}})
	page := p.c.Get(p.path+"/verdict").Want(200, Sound(), In(".say.act", Says("Still in manual")))
	link := Attr(All(page.Doc, ".say.act a.quiet")[0], "href")
	opened := p.c.Get(link).Want(200, Sound(), In("#control details", Has("open", "")))
	if form := opened.Form(p.path + "/control"); form.Get("kind") != "restored" || form.Get("what") != "dosing pump 2" {
		t.Errorf("the form holds %v", form)
	}
}
