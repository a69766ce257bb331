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

func TestLoginLeadsBackAndNowhereElse(t *testing.T) {
	h := openHouse(t)
	c := h.as("")
	away := c.Get("/clients?search=x").Want(303)
	if away.Location != "/login?next=%2Fclients%3Fsearch%3Dx" {
		t.Errorf("sent to %s", away.Location)
	}
	page := c.Get(away.Location).Want(200, Sound(), Not(".ways"), Not(".who"))
	back := c.Submit(page, "/login", url.Values{"login": {"auditor"}, "password": {testPassword}}).Want(303)
	if back.Location != "/clients?search=x" {
		t.Errorf("led back to %s", back.Location)
	}
	if again := c.Get("/login?next=/people").Want(303); again.Location != "/people" {
		t.Errorf("logged in already: led to %s", again.Location)
	}
}

func TestLocalPath(t *testing.T) {
	for next, want := range map[string]string{
		"/clients": "/clients", "/clients?search=a%26b": "/clients?search=a%26b", "": "/", "clients": "/", "//evil.example": "/", "/\\evil.example": "/",
		"https://evil.example/": "/", "/\tx": "/", "javascript:alert(1)": "/", "/login": "/", "/logout": "/", "/%2f%2fevil": "/", "/" + strings.Repeat("x", 3000): "/",
		"\\\\evil.example": "/", "/a\r\nSet-Cookie: x": "/", "/clients#x": "/clients",
	} {
		if got := localPath(next); got != want {
			t.Errorf("%q leads to %q, want %q", shortened(next, 60), got, want)
		}
	}
}

func TestLoginThatFails(t *testing.T) {
	h := openHouse(t)
	for name, form := range map[string]url.Values{
		"wrong password": {"login": {"auditor"}, "password": {"wrong"}}, "nobody": {"login": {"nobody"}, "password": {testPassword}},
		"nothing": {}, "both many": {"login": {strings.Repeat("x", 5000)}, "password": {strings.Repeat("x", 5000)}},
	} {
		a := h.as("").Post("/login", form).Want(http.StatusUnauthorized, Sound(), In(".say.act", Says("Login or password is wrong.")))
		if a.Header.Get("Set-Cookie") != "" {
			t.Errorf("%s: a cookie is set", name)
		}
		if got := a.Form("/login").Get("password"); got != "" {
			t.Errorf("%s: the password is on the page", name)
		}
	}
	c := h.as("")
	for range 40 {
		if a := c.Post("/login", url.Values{"login": {"auditor"}, "password": {"wrong"}}); a.Status == http.StatusTooManyRequests {
			if a.Header.Get("Retry-After") == "" || !strings.Contains(a.Body, "Wait") {
				t.Errorf("the wait is not told: %v", a.Header)
			}
			return
		}
	}
	t.Error("40 wrong tries are not slowed down")
}

func TestLogoutEndsTheSession(t *testing.T) {
	h := openHouse(t)
	c := h.as(access.Auditor)
	stolen := c.Request(http.MethodGet, "/account", nil)
	page := c.Get("/account").Want(200, Sound(), In(".line-act", Says("this device")))
	for _, cookie := range c.Cookies() {
		stolen.AddCookie(cookie)
	}
	c.Submit(page, "/logout", nil).Want(303)
	c.Get("/account").Want(303)
	if a := NewClient(t, h.server.URL).Do(stolen); a.Status != 303 {
		t.Errorf("the session's secret still opens the door: status %d", a.Status)
	}
}

// TestFormOnEndedSessionIsKept lets a session end while a form is being filled in. The
// entry is offered to its person after the login, and to nobody else; sent from there it
// happens once.
func TestFormOnEndedSessionIsKept(t *testing.T) {
	for name, end := range map[string]string{
		"idle":    "UPDATE session SET idle_until = clock_timestamp() - interval '1 minute'",
		"ended":   "UPDATE session SET ends_at = clock_timestamp() - interval '1 minute'",
		"revoked": "UPDATE session SET revoked_at = clock_timestamp()",
	} {
		t.Run(name, func(t *testing.T) {
			h := openHouse(t)
			c := h.as(access.Coordinator)
			form := c.Get("/clients/new").Form("/clients")
			form.Set("name", "Aldermere Water")
			form.Set("address", "Quay Road 3\r\nAldermere")
			h.sql(end)
			late := c.Post("/clients", form).Want(303)
			if !strings.HasPrefix(late.Location, "/login?kept=yes&next=%2Fkept%2F") {
				t.Fatalf("sent to %s", late.Location)
			}
			page := c.Get(late.Location).Want(200, Sound(), In(".say.act", Says("What you sent is kept.")))
			other := h.as(access.Administrator)
			other.Get("/").Want(200, Not(".say"))
			kept := page.Form("/login").Get("next")
			if a := other.Get(kept).Want(303); a.Location != "/" {
				t.Errorf("somebody else is led to %s", a.Location)
			}
			in := c.Submit(page, "/login", url.Values{"login": {"coordinator"}, "password": {testPassword}}).Want(303)
			c.Get("/clients").Want(200, In(".say.act", Says("An entry of yours is waiting."), Says("a new client")))
			shown := c.Get(in.Location).Want(200, Sound(), In(".facts", Says("Aldermere Water"), Says("Quay Road 3 Aldermere")))
			done := c.Submit(shown, "/clients", nil).Want(303)
			c.Get(done.Location).Want(200, In("h1", Says("Aldermere Water")), Not(".say.act"))
			c.Submit(shown, "/clients", nil).Want(303)
			if n := h.count("SELECT count(*) FROM client"); n != 1 {
				t.Errorf("%d clients", n)
			}
			if n := h.count("SELECT count(*) FROM kept_entry"); n != 0 {
				t.Errorf("%d entries still wait", n)
			}
		})
	}
}

func TestKeptEntryThatIsWrongOrUnwanted(t *testing.T) {
	h := openHouse(t)
	c := h.as(access.Coordinator)
	form := c.Get("/clients/new").Form("/clients")
	h.sql("UPDATE session SET idle_until = clock_timestamp() - interval '1 minute'")
	kept := c.Get(c.Post("/clients", form).Location).Form("/login").Get("next")
	h.login(c, "coordinator")
	refused := c.Submit(c.Get(kept), "/clients", nil).Want(422, In("#f-name-wrong"))
	if refused.Form("/clients").Get("kept") == "" {
		t.Error("the corrected form would leave its entry behind")
	}
	c.Submit(refused, "/clients", url.Values{"name": {"Aldermere Water"}}).Want(303)
	c.Get("/").Want(200, Not(".say.act"))
	form.Set("name", "Unwanted")
	h.sql("UPDATE session SET idle_until = clock_timestamp() - interval '1 minute'")
	c.Post("/clients", form).Want(303)
	h.login(c, "coordinator")
	today := c.Get("/").Want(200, In(".say.act", Says("waiting")))
	c.Submit(today, Attr(All(today.Doc, ".say form")[0], "action"), nil).Want(303)
	c.Get("/").Want(200, In(".say", Says("thrown away")), Not(".say.act"))
}

func TestNothingSecretIsKept(t *testing.T) {
	h := openHouse(t)
	c := h.as(access.Administrator)
	form := c.Get("/people/new").Form("/people")
	form.Set("password", "a very secret word")
	h.sql("UPDATE session SET idle_until = clock_timestamp() - interval '1 minute'")
	late := c.Post("/people", form).Want(303)
	c.Get(late.Location).Want(200, In(".say.act", Says("go back in your browser")))
	c.Post("/account/password", url.Values{"present": {"x"}}).Want(303)
	if n := h.count("SELECT count(*) FROM kept_entry"); n != 0 {
		t.Errorf("%d entries kept", n)
	}
	if late := h.as("").Post("/people", form); late.Status != 303 || strings.Contains(late.Location, "kept") || strings.Contains(late.Body, "secret") {
		t.Errorf("a stranger's form: status %d to %s", late.Status, late.Location)
	}
}

func TestPeopleAreManaged(t *testing.T) {
	h := openHouse(t)
	admin := h.as(access.Administrator)
	made := admin.Submit(admin.Get("/people/new").Want(200, Sound(), Count(`input[type="checkbox"]`, 5)), "/people", url.Values{"name": {"Nora Feld"}, "login": {"Nora"},
		"roles": {"technician", "approver"}, "password": {"four words in a row"}}).Want(303)
	admin.Get(made.Location).Want(200, Sound(), In("h1", Says("Nora Feld")), In(".lead", Says("technician, approver")))
	nora := h.as("")
	nora.Post("/login", url.Values{"login": {"nora"}, "password": {"four words in a row"}}).Want(303)
	nora.Get("/").Want(200, In(".who", Says("Nora Feld, technician, approver")))
	admin.Get(made.Location).Want(200, In(".line-act"))

	for name, row := range map[string]struct {
		field, value, sentence string
	}{
		"short":     {"password", "short", "at least 10"},
		"common":    {"password", "password123", "first that others would guess"},
		"login":     {"login", "Nora Feld", "small letters"},
		"taken":     {"login", "auditor", "belongs to someone"},
		"no name":   {"name", "", "cannot stay empty"},
		"no role":   {"roles", "", "no role"},
		"odd roles": {"roles", "king", "no role “king”"},
	} {
		a := admin.Submit(admin.Get("/people/new"), "/people", url.Values{"name": {"X"}, "login": {"x"}, "roles": {"auditor"}, "password": {"four words in a row"}, row.field: {row.value}})
		if a.Status != 422 && a.Status != 409 {
			t.Errorf("%s: status %d", name, a.Status)
		}
		a.Want(a.Status, Sound(), In("#f-"+row.field+"-wrong", Says(row.sentence)))
	}

	admin.Submit(admin.Get(made.Location+"/change").Want(200, Sound()), made.Location, url.Values{"disabled": {"yes"}}).Want(303)
	nora.Get("/").Want(303)
	nora.Post("/login", url.Values{"login": {"nora"}, "password": {"four words in a row"}}).Want(401, In(".say.act", Says("shut out")))
	admin.Get(made.Location+"/history").Want(200, Sound(), In(".history", Says("Shut out since"), Says("Ada Vinter")))
	admin.Get("/people").Want(200, In(".rows", Says("shut out")))

	self := "/people/" + h.people[access.Administrator].String()
	admin.Submit(admin.Get(self+"/change"), self, url.Values{"disabled": {"yes"}}).Want(422, In("#f-disabled-wrong", Says("shut yourself out")))
	admin.Submit(admin.Get(self+"/change"), self, url.Values{"roles": {"auditor"}}).Want(422, In("#f-roles-wrong", Says("last administrator")))
}

func TestStalePersonShowsBothSides(t *testing.T) {
	h := openHouse(t)
	admin := h.as(access.Administrator)
	who := "/people/" + h.people[access.Technician].String()
	mine, theirs := admin.Get(who+"/change"), admin.Get(who+"/change")
	admin.Submit(theirs, who, url.Values{"roles": {"technician", "approver"}}).Want(303)
	conflict := admin.Submit(mine, who, url.Values{"roles": {"technician", "coordinator"}, "disabled": {"yes"}}).
		Want(412, Sound(), Count(".side", 2), In(".theirs", Says("technician, approver")), Count(`input[type="checkbox"][checked]`, 2), In(`input[type="radio"][checked]`, Has("value", "yes")))
	admin.Submit(conflict, who, url.Values{"disabled": {""}}).Want(303)
	admin.Get(who).Want(200, In(".lead", Says("coordinator, technician")), Silent("Shut out since"))
}

func TestPasswords(t *testing.T) {
	h := openHouse(t)
	c, elsewhere, admin := h.as(access.Technician), h.as(access.Technician), h.as(access.Administrator)
	page := c.Get("/account/password").Want(200, Sound(), In("#f-present", Has("autocomplete", "current-password")), In("#f-password", Has("autocomplete", "new-password")))
	send := func(present, password, again string) Answer {
		return c.Submit(page, "/account/password", url.Values{"operation": {storetest.Operation().String()}, "present": {present}, "password": {password}, "again": {again}})
	}
	send("wrong one", "four other words here", "four other words here").Want(422, In("#f-present-wrong", Says("not your present password")))
	send(testPassword, "four other words here", "four other words her").Want(422, In("#f-again-wrong", Says("not the same")))
	short := send(testPassword, "short", "short").Want(422, In("#f-password-wrong"))
	if form := short.Form("/account/password"); form.Get("present")+form.Get("password")+form.Get("again") != "" {
		t.Error("a password is on the page")
	}
	send(testPassword, "four other words here", "four other words here").Want(303)
	c.Get("/account").Want(200, In(".say", Says("new password is set")))
	elsewhere.Get("/account").Want(303)

	who := "/people/" + h.people[access.Technician].String()
	admin.Submit(admin.Get(who+"/password").Want(200, Sound(), Not("#f-present")), who+"/password", url.Values{"password": {"set by the office"}, "again": {"set by the office"}}).Want(303)
	c.Get("/account").Want(303)
	c.Post("/login", url.Values{"login": {"technician"}, "password": {"set by the office"}}).Want(303)
	if n := h.count("SELECT count(*) FROM audit.event WHERE payload LIKE '%words%' OR payload LIKE '%argon2%'"); n != 0 {
		t.Error("a password is in the trail")
	}
}

func TestSessionsAreEnded(t *testing.T) {
	h := openHouse(t)
	here, there, admin := h.as(access.Technician), h.as(access.Technician), h.as(access.Administrator)
	page := here.Get("/account").Want(200, Count(".line-act", 2), Count(".line-act form", 1))
	here.Submit(page, "/account/sessions", nil).Want(303)
	there.Get("/account").Want(303)
	here.Get("/account").Want(200, Count(".line-act", 1), In(".say", Says("Ended.")))
	who := "/people/" + h.people[access.Technician].String()
	admin.Submit(admin.Get(who).Want(200, Count(".line-act form", 1)), who+"/sessions", nil).Want(303)
	here.Get("/account").Want(303)
	here.Post("/account/sessions", url.Values{"session": {"nonsense"}}).Want(303)
}

// TestFormWithoutACookieIsCarried sends a form from a browser that has lost its cookies: a
// wrong password first, then the right one; the form is offered and happens once. A path
// that leads elsewhere is not taken.
func TestFormWithoutACookieIsCarried(t *testing.T) {
	h := openHouse(t)
	form := h.as(access.Coordinator).Get("/clients/new").Form("/clients")
	form.Set("name", "Aldermere & Water")
	c := h.as("")
	late := c.Post("/clients", form).Want(401, Sound(), In(".say.act", Says("not lost")))
	if n := h.count("SELECT count(*) FROM kept_entry"); n != 0 {
		t.Errorf("%d entries are stored for a stranger", n)
	}
	wrong := c.Submit(late, "/login", url.Values{"login": {"coordinator"}, "password": {"another one"}}).Want(401)
	in := c.Submit(wrong, "/login", url.Values{"login": {"coordinator"}, "password": {testPassword}}).Want(303)
	shown := c.Get(in.Location).Want(200, In(".facts", Says("Aldermere & Water")))
	c.Submit(shown, "/clients", nil).Want(303)
	if n := h.count("SELECT count(*) FROM client WHERE name = 'Aldermere & Water'"); n != 1 {
		t.Errorf("%d clients", n)
	}
	for _, path := range []string{"//elsewhere.example/x", "https://elsewhere.example/", "/logout", "clients"} {
		in := h.as("").Post("/login", url.Values{"login": {"coordinator"}, "password": {testPassword}, "carried_path": {path}, "carried_form": {"name=x"}}).Want(303)
		if in.Location != "/" {
			t.Errorf("%s leads to %s", path, in.Location)
		}
	}
}
