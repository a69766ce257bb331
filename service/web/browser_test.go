package web

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp/kb"

	"rillmark/domain/access"
	. "rillmark/service/web/webtest"
)

// TestInBrowser runs what needs a real browser, all of it in one.
func TestInBrowser(t *testing.T) {
	Open(t, Phone) // keeps the browser until the last of them is done
	t.Run("a coordinator adds a point on a phone", coordinatorAddsAPointOnAPhone)
	t.Run("the keyboard alone", keyboardAlone)
	t.Run("an impatient finger", impatientFinger)
	t.Run("print has nothing to press", printHasNothingToPress)
	t.Run("pages fit every window", pagesFitEveryWindow)
	t.Run("what the work rests on fits every window", groundFitsEveryWindow)
}

// coordinatorAddsAPointOnAPhone goes the whole way in a real browser: log in, add a
// client, a site and a point, make a mistake and mend it, and read the history.
func coordinatorAddsAPointOnAPhone(t *testing.T) {
	h := openHouse(t)
	p := Open(t, Phone)
	p.Go(h.server.URL + "/clients")
	if at := p.At(); at != "/login?next=%2Fclients" {
		t.Fatalf("at %s", at)
	}
	p.Type("#f-login", "coordinator")
	p.Tick(".reveal")
	p.Type("#f-password", testPassword)
	if kind := Eval[string](p, `document.querySelector("#f-password").type`); kind != "text" {
		t.Errorf("the shown password is of type %s", kind)
	}
	p.Press(".acts .do")
	p.Words("Add a client")
	if focus := Eval[string](p, `document.activeElement.id`); focus != "f-name" {
		t.Errorf("the cursor is in %q", focus)
	}
	p.Keys("Aldermere Water")
	p.Type("#f-contact_email", "office")
	p.Words("Add the client")
	if focus := Eval[string](p, `document.activeElement.id`); focus != "f-contact_email" || p.Value("#f-name") != "Aldermere Water" {
		t.Errorf("after a mistake the cursor is in %q, the name is %q", focus, p.Value("#f-name"))
	}
	p.Complaints() // the browser logs the refused form
	p.Go(h.server.URL + "/kit")
	p.Back() // onto the refused form
	if p.Value("#f-name") != "Aldermere Water" || p.Value("#f-contact_email") != "office" {
		t.Errorf("back on the refused form the name is %q, at %s", p.Value("#f-name"), p.At())
	}
	p.Complaints()
	p.Type("#f-contact_email", "office@aldermere.example")
	p.Words("Add the client")
	p.Words("Add a site")
	p.Type("#f-name", "Fenwick Lane pumping station")
	p.Type("#f-time_zone", "Europe/Oslo")
	p.Words("Add the site")
	p.Words("Add a measuring point")
	p.Type("#f-tag", "FT-204")
	p.Type("#f-outside_diameter", "8.625 in")
	p.Type("#f-wall", "6,3 mm")
	if mode := Eval[string](p, `document.querySelector("#f-wall").inputMode`); mode != "decimal" {
		t.Errorf("the keypad is %q", mode)
	}
	p.Words("Add the measuring point")
	if title := p.Text("h1"); title != "FT-204" {
		t.Errorf("the page is %q", title)
	}
	p.Words("Change the measuring point")
	p.Type("#f-wall", "6,5 mm")
	p.Words("Save the change")
	p.Words("History of every field")
	if text := p.Text(".history"); !strings.Contains(text, "6,3 mm") || !strings.Contains(text, "6,5 mm") || !strings.Contains(text, "Cora Lindqvist") {
		t.Errorf("the history says %q", text)
	}
	if said := p.Complaints(); len(said) > 0 {
		t.Errorf("the browser complains: %q", said)
	}
}

// keyboardAlone logs in and reaches the list without a pointer.
func keyboardAlone(t *testing.T) {
	h := openHouse(t)
	p := Open(t, Desk)
	p.Go(h.server.URL + "/")
	p.Keys("auditor" + kb.Tab + testPassword)
	p.Send(kb.Enter)
	if at := p.At(); at != "/" {
		t.Fatalf("at %s", at)
	}
	p.Keys(kb.Tab)
	if words := Eval[string](p, `document.activeElement.innerText`); words != "Skip to the page itself" {
		t.Errorf("the first stop is %q", words)
	}
	if top := Eval[float64](p, `document.activeElement.getBoundingClientRect().top`); top < 0 {
		t.Errorf("the skip link stays hidden at %g", top)
	}
	p.Keys(kb.Tab + kb.Tab + kb.Tab + kb.Tab)
	if words := Eval[string](p, `document.activeElement.innerText`); words != "Clients" {
		t.Errorf("the fifth stop is %q", words)
	}
	if outline := Eval[string](p, `getComputedStyle(document.activeElement).outlineStyle`); outline != "solid" {
		t.Errorf("the focus is not drawn: %s", outline)
	}
	p.Send(kb.Enter)
	if at := p.At(); at != "/clients" {
		t.Errorf("at %s", at)
	}
}

// impatientFinger presses a button twice: one client comes of it, and leaving a form
// with something typed asks first.
func impatientFinger(t *testing.T) {
	h := openHouse(t)
	p := Open(t, Phone)
	p.Go(h.server.URL + "/login")
	p.Type("#f-login", "coordinator")
	p.Type("#f-password", testPassword)
	p.Press(".acts .do")
	p.Go(h.server.URL + "/clients/new")
	p.Type("#f-name", "Aldermere Water")
	Eval[bool](p, `document.querySelector(".acts .do").addEventListener("click", () => {
		document.querySelector("form[data-guard]").requestSubmit();
	}, {once: true}), true`)
	p.Press(".acts .do")
	if n := h.count("SELECT count(*) FROM client"); n != 1 {
		t.Errorf("%d clients", n)
	}
	if n := h.count("SELECT count(*) FROM operation WHERE action = 'client.add'"); n != 1 {
		t.Errorf("%d operations", n)
	}
}

// printHasNothingToPress looks at the printed form of a page.
func printHasNothingToPress(t *testing.T) {
	h := openHouse(t)
	c := h.as(access.Coordinator)
	client := h.addClient(c, "Aldermere Water")
	p := Open(t, Desk)
	p.Go(h.server.URL + "/login?next=" + client)
	p.Type("#f-login", "coordinator")
	p.Type("#f-password", testPassword)
	p.Press(".acts .do")
	p.Prefer("media", "print")
	for _, selector := range []string{".ways", ".do", ".quiet", ".skip"} {
		if shown := Eval[bool](p, `[...document.querySelectorAll("`+selector+`")].some(e => e.offsetParent !== null)`); shown {
			t.Errorf("%s is printed", selector)
		}
	}
	if paper := Eval[string](p, `getComputedStyle(document.body).backgroundColor`); paper != "rgb(255, 255, 255)" {
		t.Errorf("the paper is %s", paper)
	}
}
