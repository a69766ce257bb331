package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"rillmark/domain/access"
	"rillmark/service/store/storetest"
	. "rillmark/service/web/webtest"
)

func TestAuditShowsAndChecksTheTrail(t *testing.T) {
	h := openHouse(t)
	c, auditor := h.as(access.Coordinator), h.as(access.Auditor)
	client := h.addClient(c, "Aldermere Water")
	site := h.addSite(c, client, "Fenwick Lane")
	auditor.Get("/audit").Want(200, Sound(), In(".history .event", Says("Site added")), In(".history a", Has("href", site)), In(".history", Says("the program (test)")))
	id := client[strings.LastIndex(client, "/")+1:]
	auditor.Get("/audit?kind=client&id="+id).Want(200, Sound(), Count(".history li", 2), In(`option[value="client"]`, Has("selected", "")))
	for _, query := range []string{"kind=client&id=nonsense", "kind=nonsense&id=" + id, "id=" + id, "person=x", "act=x", "from=yesterday", "until=2026-02-30", "before=x", "before=-1"} {
		auditor.Get("/audit?"+query).Want(422, Sound())
	}
	auditor.Get("/audit?kind=site").Want(200, Sound(), Count(".history li", 1))
	auditor.Get("/audit?person="+h.people[access.Coordinator].String()+"&act=client.add&from="+day(0)+"&until="+day(0)).Want(200, Sound(), Count(".history li", 1),
		In("details.seeks", Has("open", "")), In(`option[value="client.add"]`, Has("selected", "")))
	auditor.Get("/audit?from="+day(1)).Want(200, Sound(), Count(".history li", 0), In(".none", Says("Ask for less")))
	h.as(access.Approver).Get("/audit").Want(200, Sound())
	auditor.Get("/audit/check").Want(200, Sound(), In("h1", Says("The trail is whole")), In(".facts", Says("7 events")))
	h.sql("ALTER TABLE audit.event DISABLE TRIGGER ALL")
	h.sql("UPDATE audit.event SET payload = replace(payload, 'Aldermere', 'Oldermere') WHERE seq = 6")
	auditor.Get("/audit/check").Want(200, Sound(), In("h1", Says("The trail is not whole")), In(".say.act", Says("Event 6: its content is not what was recorded.")))
}

func TestTrailGoesOnToOlderEvents(t *testing.T) {
	h := openHouse(t)
	c, auditor := h.as(access.Coordinator), h.as(access.Auditor)
	client := h.addClient(c, "Aldermere Water")
	for range 55 {
		page := c.Get(client + "/change")
		c.Submit(page, client, url.Values{"note": {page.Form(client).Get("note") + "x"}}).Want(303)
	}
	for _, path := range []string{"/audit", client + "/history"} {
		first := auditor.Get(path).Want(200, Count(".history li", eventsOnPage), In(`.further a[rel="next"]`))
		older := auditor.Get(Attr(All(first.Doc, `.further a[rel="next"]`)[0], "href")).Want(200, In(".further a", Says("The newest")))
		if n := len(All(older.Doc, ".history li")); n < 6 || n > 12 {
			t.Errorf("%s: the second page has %d events", path, n)
		}
	}
}

func TestErasedTextsShowAsErased(t *testing.T) {
	h := openHouse(t)
	c := h.as(access.Coordinator)
	client := h.addClient(c, "Aldermere Water")
	c.Submit(c.Get(client+"/change"), client, url.Values{"contact_name": {"Per Persen"}, "contact_email": {"per@aldermere.example"}, "contact_phone": {"+47 22 33 44 55"}}).Want(303)
	c.Get(client).Want(200, In(`.facts a[href="mailto:per@aldermere.example"]`), In(`.facts a[href="tel:+4722334455"]`))
	c.Get(client+"/history").Want(200, In(".history ins", Says("Per Persen")))
	h.sql("UPDATE private_text SET text = NULL")
	c.Get(client+"/history").Want(200, Sound(), In(".history ins", Says("(erased)")), In(".history", Silent("Per Persen")))
}

func TestTextsAreShownAsTexts(t *testing.T) {
	h := openHouse(t)
	c := h.as(access.Coordinator)
	client := h.addClient(c, `<script>alert("x")</script> & "Sons"`)
	c.Get(client).Want(200, Sound(), In("h1", Says(`<script>alert("x")</script> & "Sons"`)), Not("h1 script"))
	c.Get("/clients?search=%3Cscript%3E").Want(200, Sound(), In(".rows .name", Says("<script>")))
	c.Get("/clients?search=%22%3E%3Cimg+src%3Dx%3E").Want(200, Sound(), Not("img"))
}

// TestDatabaseAwayLosesNothing kills the server under a form: the answer says so, and
// carries the form to be sent again.
func TestDatabaseAwayLosesNothing(t *testing.T) {
	cluster := storetest.NewCluster(t, true)
	h := openHouseOn(t, cluster.Clone(t))
	c := h.as(access.Coordinator)
	form := c.Get("/clients/new").Form("/clients")
	form.Set("name", "Aldermere Water")
	cluster.Kill(t)
	away := c.Post("/clients", form).Want(http.StatusServiceUnavailable, Sound(), In("main", Says("The database does not answer.")))
	if away.Header.Get("Retry-After") == "" {
		t.Error("no Retry-After")
	}
	if got := away.Form("/clients"); got.Get("name") != "Aldermere Water" || got.Get("operation") != form.Get("operation") {
		t.Errorf("the form carries %v", got)
	}
	c.Get("/healthz").Want(http.StatusServiceUnavailable)
	cluster.Restart(t)
	var done Answer
	for range 20 { // connections that died are found out one by one
		if done = c.Submit(away, "/clients", nil); done.Status == 303 {
			break
		}
	}
	done.Want(303)
	c.Get(done.Location).Want(200, In("h1", Says("Aldermere Water")))
	c.Get("/healthz").Want(200)
}
