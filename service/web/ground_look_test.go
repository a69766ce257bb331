package web

import (
	"net/url"
	"os"
	"testing"

	"rillmark/domain/access"
	. "rillmark/service/web/webtest"
)

// groundFitsEveryWindow opens the pages of what the work rests on, as pagesFitEveryWindow
// does with the others: with the points at which something needs a person.
func groundFitsEveryWindow(t *testing.T) {
	h := openHouse(t)
	g := h.addGround()
	c := h.as(access.Coordinator)
	h.fillGround(g)
	p := Open(t, Phone)
	shots := os.Getenv("RILLMARK_SHOTS")
	look := func(name, path string) {
		if path != "" {
			p.Go(h.server.URL + path)
		}
		for _, size := range []Size{Phone, Desk, Narrow} {
			p.Resize(size)
			if shots != "" && size != Narrow {
				p.Shot(shots, "ground-"+name+"-"+size.Name)
			}
			fits(t, p, name, size)
		}
		p.Resize(Phone)
	}
	login := func(who string) {
		p.Type("#f-login", who)
		p.Type("#f-password", testPassword)
		p.Press(".do")
	}
	p.Go(h.server.URL + "/login")
	login("coordinator")
	gauge := Attr(All(c.Get("/kit?search=WG-01").Doc, ".rows a.row")[0], "href")
	for name, path := range map[string]string{"meters": g.client + "/meters", "meter": g.meter, "meter-new": g.client + "/meters/new", "indication": g.indication,
		"indication-new": g.meter + "/indications/new", "point": g.point, "installation": g.installation, "installation-new": g.point + "/installations/new",
		"installation-change": g.installation + "/change", "kit": "/kit", "kit-item": g.reference, "kit-gauge": gauge, "kit-which": "/kit/new", "kit-new": "/kit/new?kind=transducer-pair",
		"kit-change": g.reference + "/change", "kit-history": g.reference + "/history", "calibration": g.calibration, "calibration-new": g.reference + "/calibrations/new", "sets": "/sets", "set": g.set,
		"set-change": g.set + "/change", "methods": "/methods", "method": g.method, "edition": g.edition, "agreement": g.agreement,
		"agreement-new": g.point + "/agreements/new", "agreement-history": g.agreement + "/history"} {
		look(name, path)
	}
	visit := h.add(c, g.site+"/visits/new", g.site+"/visits", url.Values{"from": {day(2) + "T08:00"}, "until": {day(2) + "T16:00"}, "people": {h.people[access.Technician].String()},
		"sets": {lastPart(g.set)}, "kit": {lastPart(gauge)}, "points": {lastPart(g.point)}, "anyway": {"yes"}})
	look("visit", visit)
	look("visit-new", g.site+"/visits/new")
	look("plan", "/plan")
	p.Go(h.server.URL + g.reference + "/calibrations/new")
	p.Type("#f-points-0-at", "0.5 m/s")
	p.Type("#f-points-0-expanded", "0.5")
	p.Press(".acts .do")
	p.Complaints() // the refused form is one
	look("calibration-wrong", "")
	p.Go(h.server.URL + "/account")
	p.Words("Log out")
	login("approver")
	look("edition-new", g.method+"/editions/new")
	look("edition-change", g.edition+"/change")
}

// fillGround adds what needs a person, and a meter that was exchanged.
func (h *house) fillGround(g ground) {
	c := h.as(access.Coordinator)
	second := h.add(c, g.client+"/meters/new", g.client+"/meters", url.Values{"principle": {"vortex"}, "maker": {"Halvorsen & Sons"}, "model": {"Vx 200 compact"}, "serial": {"58-20113"}, "measurand": {"volume"}})
	c.Submit(c.Get(g.point+"/installations/new"), g.point+"/installations", url.Values{"meter_id": {lastPart(second)}, "installed_at": {"2012-06-11T08:00"}, "installed_by": {"Brackwell Pipework"}, "install_reason": {"New rising main."},
		"removed_at": {"2021-03-04T09:00"}, "removed_by": {"Works crew, Aldermere Water"}, "remove_reason": {"Liner worn at the inlet."}}).Want(303)
	c.Submit(c.Get(g.meter+"/change"), g.meter, url.Values{"firmware": {"4.2"}}).Want(303)
	c.Submit(c.Get(g.point+"/change"), g.point, url.Values{"name": {"rising main"}, "fluid": {"drinking water"}, "pipe": {"DN 200, steel"}}).Want(303)
	h.add(c, g.meter+"/indications/new", g.meter+"/indications", url.Values{"name": {"Display"}, "way": {"display"}, "unit": {"m³/h"}, "resolution": {"0.1 m³/h"}})
	h.add(c, g.meter+"/indications/new", g.meter+"/indications", url.Values{"name": {"Pulse output"}, "way": {"pulse"}, "unit": {"m³"}, "pulse_volume": {"100 pulses/m³"}})
	h.add(c, "/kit/new?kind=wall-gauge", "/kit", url.Values{"tag": {"WG-01"}, "maker": {"Tidewater"}, "model": {"T1"}, "resolution": {"0.01 mm"}})
	thermometer := h.add(c, "/kit/new?kind=thermometer", "/kit", url.Values{"tag": {"TH-03"}, "resolution": {"0.1 K"}})
	h.add(c, thermometer+"/calibrations/new", thermometer+"/calibrations", url.Values{"laboratory": {"Estuary Flow Laboratory"}, "certificate_number": {"K-91"}, "route": {"accredited"},
		"calibrated_on": {day(-400)}, "valid_until": {day(-35)}, "at": {"5 °C", "20 °C", "60 °C"}, "error": {"0.1 K", "0 K", "-0.1 K"}, "expanded": {"0.05 K", "0.05 K", "0.08 K"}})
	tape := h.add(c, "/kit/new?kind=tape", "/kit", url.Values{"tag": {"TA-01"}, "graduation": {"1 mm"}})
	h.add(c, tape+"/calibrations/new", tape+"/calibrations", url.Values{"laboratory": {"Estuary Flow Laboratory"}, "certificate_number": {"K-92"}, "route": {"in-house"},
		"calibrated_on": {day(-330)}, "valid_until": {day(20)}, "at": {"1 m"}, "error": {"0.2 mm"}, "expanded": {"0.3 mm"}})
	cable := h.add(c, "/kit/new?kind=cable", "/kit", url.Values{"tag": {"CA-04"}})
	c.Submit(c.Get(cable+"/change"), cable, url.Values{"out_of_service_on": {day(-3)}, "out_of_service_why": {"Screen broken at the plug."}}).Want(303)
}
