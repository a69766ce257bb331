package web

import (
	"net/http"
	"net/url"
	"testing"

	"rillmark/domain/access"
	. "rillmark/service/web/webtest"
)

func TestVisitNamesBeforeBookingWhatCannotCarryResults(t *testing.T) {
	t.Parallel()
	h := openHouse(t)
	g := h.addGround()
	c := h.as(access.Coordinator)
	gauge := h.add(c, "/kit/new?kind=wall-gauge", "/kit", url.Values{"tag": {"WG-01"}})
	page := c.Get(g.site+"/visits/new").Want(200, Sound(), In(`input[type="datetime-local"]`), In(".choices", Says("FT-204")), In(`input[name="sets"]`))
	visit := url.Values{"from": {day(2) + "T08:00"}, "until": {day(2) + "T16:00"}, "people": {h.people[access.Technician].String()}, "sets": {lastPart(g.set)}, "kit": {lastPart(gauge)}, "points": {lastPart(g.point)}}
	warned := c.Submit(page, g.site+"/visits", visit).Want(422, Sound(), In(".say.act", Says("WG-01 has no calibration on record")), In(`input[name="anyway"]`), In("#f-from", Has("value", day(2)+"T08:00")))
	if n := h.count("SELECT count(*) FROM visit"); n != 0 {
		t.Fatalf("%d visits are booked before anybody read the warning", n)
	}
	planned := c.Submit(warned, g.site+"/visits", url.Values{"anyway": {"yes"}}).Want(303)
	c.Get(planned.Location).Want(200, Sound(), In("main", Says("WG-01 has no calibration on record")), In(".facts", Says("RM-02"), Says("TP-04"), Says("Tem Okonjo")))
	c.Get(planned.Location+"/history").Want(200, Sound(), In(".history", Says("Tem Okonjo"), Says("RM-02")))

	visit.Del("kit")
	visit["from"], visit["until"] = []string{day(2) + "T15:00"}, []string{day(2) + "T18:00"}
	c.Submit(c.Get(g.site+"/visits/new"), g.site+"/visits", visit).Want(http.StatusConflict, Sound(), In("main", Says("RM-02"), Says("Fenwick Lane pumping station"), Says("Tem Okonjo")))
	visit["from"], visit["until"] = []string{day(340) + "T08:00"}, []string{day(340) + "T16:00"}
	c.Submit(c.Get(g.site+"/visits/new"), g.site+"/visits", visit).Want(422, In(".say.act", Says("The calibration of RM-02 + TP-04 holds until")))
	visit["from"], visit["until"] = []string{day(3) + "T08:00"}, []string{day(3) + "T16:00"}
	c.Submit(c.Get(g.site+"/visits/new"), g.site+"/visits", visit).Want(303)

	administrator := h.as(access.Administrator)
	administrator.Submit(administrator.Get(g.authorisation+"/change"), g.authorisation, url.Values{"authorised_until": {day(2)}}).Want(303)
	visit["from"], visit["until"] = []string{day(4) + "T08:00"}, []string{day(4) + "T16:00"}
	c.Submit(c.Get(g.site+"/visits/new"), g.site+"/visits", visit).Want(422, In(".say.act", Says("Tem Okonjo is not authorised for VP-3")))
}

func TestNewAgreementReachesTasksWithoutRuns(t *testing.T) {
	t.Parallel()
	h := openHouse(t)
	g := h.addGround()
	c := h.as(access.Coordinator)
	h.add(c, g.site+"/visits/new", g.site+"/visits", url.Values{"from": {day(2) + "T08:00"}, "until": {day(2) + "T16:00"}, "people": {h.people[access.Technician].String()}, "sets": {lastPart(g.set)}, "points": {lastPart(g.point)}})
	done := h.add(c, g.point+"/agreements/new", g.point+"/agreements", url.Values{"agreed_by": {"R. Moss"}, "agreed_on": {day(0)}, "consent": {"R. Moss by mail, today."}})
	if n := h.count("SELECT count(*) FROM task WHERE agreement_id = $1", lastPart(done)); n != 1 {
		t.Errorf("%d tasks go by the new agreement", n)
	}
}
