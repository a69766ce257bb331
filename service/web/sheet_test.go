package web

import (
	"fmt"
	"net/http"
	"net/url"
	"os"
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
