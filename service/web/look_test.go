package web

import (
	"os"
	"testing"

	"rillmark/domain/access"
	. "rillmark/service/web/webtest"
)

// pagesFitEveryWindow opens every kind of page in a real browser at a phone's, a
// desk's and the narrowest width: nothing reaches beyond the window, the browser
// complains of nothing, what is pressed is large enough. With RILLMARK_SHOTS naming a
// folder it leaves pictures there, to be looked at.
func pagesFitEveryWindow(t *testing.T) {
	h := openHouse(t)
	c := h.as(access.Coordinator)
	client := h.addClient(c, "Aldermere Water")
	h.addClient(c, "Brackwell Dairies")
	h.addClient(c, "Cawdale District Heating and Steam Supply Association")
	site := h.addSite(c, client, "Fenwick Lane pumping station")
	c.Submit(c.Get(site+"/change"), site, map[string][]string{"address": {"Fenwick Lane 12\nAldermere"},
		"access_note": {"Key at the gatehouse. Report to the shift supervisor."}, "safety_note": {"Pipe gallery is a confined space: permit and gas test before entry.\nTraffic in the yard."}}).Want(303)
	point := h.addPoint(c, site, "FT-204")
	c.Submit(c.Get(point+"/change"), point, map[string][]string{"name": {"rising main"}, "fluid": {"drinking water"}, "pipe": {"DN 200, steel"}, "straight_before": {"2.4 m"}}).Want(303)
	stale := c.Get(point + "/change")
	c.Submit(stale, point, map[string][]string{"wall": {"6.5 mm"}}).Want(303)

	p := Open(t, Phone)
	shots := os.Getenv("RILLMARK_SHOTS")
	look := func(name, path string) {
		if path != "" {
			p.Go(h.server.URL + path)
		}
		for _, size := range []Size{Phone, Desk, Narrow} {
			p.Resize(size)
			if shots != "" && size != Narrow {
				p.Shot(shots, name+"-"+size.Name)
			}
			fits(t, p, name, size)
		}
		p.Resize(Phone)
	}
	look("login", "/login")
	p.Type("#f-login", "coordinator")
	p.Type("#f-password", "not the password")
	p.Press(".do")
	look("login-wrong", "")
	p.Complaints() // the refused login is one
	p.Type("#f-password", testPassword)
	p.Press(".do")
	for name, path := range map[string]string{"today": "/", "clients": "/clients", "client": client, "client-new": "/clients/new", "site": site,
		"site-change": site + "/change", "point": point, "point-new": site + "/points/new", "point-change": point + "/change",
		"point-history": point + "/history", "account": "/account", "password": "/account/password", "people-coordinator": "/people", "parts": "/parts"} {
		look(name, path)
	}
	p.Go(h.server.URL + "/clients/new")
	p.Press(".acts .do")
	look("client-wrong", "")
	p.Complaints() // the refused form is one
	p.Go(h.server.URL + point + "/change")
	Eval[bool](p, `document.querySelector('[name=version]').value = "2", true`)
	p.Type("#f-wall", "6.8 mm")
	p.Set("#f-note", "Scale inside, see photo.")
	p.Press(".acts .do")
	look("conflict", "")
	p.Complaints()
	p.Go(h.server.URL + "/no/such/page")
	look("not-found", "")
	p.Complaints()
	p.Go(h.server.URL + "/account")
	p.Words("Log out")
	p.Type("#f-login", "administrator")
	p.Type("#f-password", testPassword)
	p.Press(".do")
	for name, path := range map[string]string{"people": "/people", "person": "/people/" + h.people[access.Technician].String(), "person-new": "/people/new",
		"person-change": "/people/" + h.people[access.Technician].String() + "/change", "audit": "/audit", "audit-check": "/audit/check"} {
		look(name, path)
	}
}

// fits holds an open page to what every page must be in a window.
func fits(t *testing.T, p *Page, name string, size Size) {
	t.Helper()
	if wide := Eval[int64](p, "document.documentElement.scrollWidth"); wide > size.Width {
		t.Errorf("%s at %d: the page is %d wide", name, size.Width, wide)
	}
	small := Eval[[]string](p, `[...document.querySelectorAll("a, button, input:not([type=hidden]), select, textarea, label:has(input)")].filter(e => {
		const r = e.getBoundingClientRect();
		const own = !e.closest("p:not(.further), dd, h3, td") || e.matches(".quiet, .do");
		return own && r.width > 0 && r.height > 0 && r.height < 47.5 && !(e.matches("input[type=radio], input[type=checkbox]")) && !e.matches(".skip");
	}).map(e => e.tagName + " " + e.className + " " + e.innerText + " " + e.getBoundingClientRect().height)`)
	if len(small) > 0 {
		t.Errorf("%s at %d: too small to press: %q", name, size.Width, small)
	}
	if size != Narrow { // light on a phone, dark on a desk: the colours are the same at both
		scheme := map[Size]string{Phone: "light", Desk: "dark"}[size]
		p.Prefer("prefers-color-scheme", scheme)
		p.HoldBarriers(name + ", " + size.Name + ", " + scheme)
	}
	if said := p.Complaints(); len(said) > 0 && name != "login-wrong" && name != "client-wrong" && name != "conflict" && name != "not-found" {
		t.Errorf("%s at %d: the browser complains: %q", name, size.Width, said)
	}
}
