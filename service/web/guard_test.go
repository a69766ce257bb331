package web

import (
	"bytes"
	"errors"
	"log/slog"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"rillmark/domain/access"
	. "rillmark/service/web/webtest"
)

// linksOf returns the local addresses that a page leads to, each once.
func linksOf(page Answer) []string {
	seen := map[string]bool{}
	var links []string
	for _, a := range All(page.Doc, "a[href]") {
		href := Attr(a, "href")
		if strings.HasPrefix(href, "/") && !seen[href] {
			seen[href] = true
			links = append(links, href)
		}
	}
	return links
}

func TestHeadersOnEveryAnswer(t *testing.T) {
	h := openHouse(t)
	c := h.as(access.Coordinator)
	for name, answer := range map[string]Answer{
		"page": c.Get("/clients"), "asset": c.Get(h.web.view.assets.address["look.css"]), "redirect": h.as("").Get("/clients"),
		"not found": c.Get("/no/such"), "refused": c.Get("/audit"), "wrong method": c.Do(c.Request("DELETE", "/clients", nil)),
		"json": c.PostJSON("/clients", "{}"), "health": c.Get("/healthz"),
	} {
		for header, want := range map[string]string{"X-Content-Type-Options": "nosniff", "Referrer-Policy": "same-origin",
			"Cross-Origin-Opener-Policy": "same-origin", "Cross-Origin-Resource-Policy": "same-origin"} {
			if got := answer.Header.Get(header); got != want {
				t.Errorf("%s: %s is %q", name, header, got)
			}
		}
		csp := answer.Header.Get("Content-Security-Policy")
		if !strings.Contains(csp, "default-src 'none'") || strings.Contains(csp, "unsafe") || !strings.Contains(csp, "frame-ancestors 'none'") {
			t.Errorf("%s: policy %q", name, csp)
		}
		if cache := answer.Header.Get("Cache-Control"); (cache == "no-store") == (name == "asset") {
			t.Errorf("%s: Cache-Control %q", name, cache)
		}
		if answer.Header.Get("X-Request-Id") == "" || answer.Header.Get("Etag") != "" || answer.Header.Get("Strict-Transport-Security") != "" {
			t.Errorf("%s: %v", name, answer.Header)
		}
	}
}

func TestHTTPSMakesCookiesStrict(t *testing.T) {
	plain, secure := openHouse(t), openHouse(t, func(c *Config) { c.PublicURL = "https://flow.example" })
	login := url.Values{"login": {"auditor"}, "password": {testPassword}}
	for name, cookie := range map[string]string{"plain": plain.as("").Post("/login", login).Header.Get("Set-Cookie"),
		"secure": secure.as("").Post("/login", login).Header.Get("Set-Cookie")} {
		if !strings.Contains(cookie, "HttpOnly") || !strings.Contains(cookie, "SameSite=Lax") || !strings.Contains(cookie, "Path=/") {
			t.Errorf("%s: %s", name, cookie)
		}
		if strict := strings.HasPrefix(cookie, "__Host-") && strings.Contains(cookie, "Secure"); strict != (name == "secure") {
			t.Errorf("%s: %s", name, cookie)
		}
	}
	if hsts := secure.as("").Get("/login").Header.Get("Strict-Transport-Security"); !strings.Contains(hsts, "max-age=") {
		t.Errorf("no HSTS: %q", hsts)
	}
}

func TestOtherOriginIsRefused(t *testing.T) {
	h := openHouse(t)
	c := h.as(access.Coordinator)
	form := c.Get("/clients/new").Form("/clients")
	form.Set("name", "Sent from elsewhere")
	for name, headers := range map[string]map[string]string{
		"origin": {"Origin": "https://elsewhere.example"}, "fetch metadata": {"Sec-Fetch-Site": "cross-site"},
		"null origin": {"Origin": "null"}, "other port": {"Origin": "http://127.0.0.1:1"},
	} {
		r := c.Request(http.MethodPost, "/clients", strings.NewReader(form.Encode()))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		for k, v := range headers {
			r.Header.Set(k, v)
		}
		a := c.Do(r)
		if a.Status != http.StatusForbidden || !strings.Contains(a.Body, "another website") {
			t.Errorf("%s: status %d: %s", name, a.Status, a.Body)
		}
	}
	if n := h.count("SELECT count(*) FROM client"); n != 0 {
		t.Errorf("%d clients were added from elsewhere", n)
	}
}

func TestOtherHostIsRefused(t *testing.T) {
	h := openHouse(t, func(c *Config) { c.PublicURL = "https://flow.example" })
	c := h.as("")
	for host, want := range map[string]int{"flow.example": 200, "FLOW.example:443": 200, "127.0.0.1:9": 200, "[::1]:9": 200, "localhost": 200,
		"evil.example": 403, "flow.example.evil": 403, "10.0.0.1": 403} {
		r := c.Request(http.MethodGet, "/login", nil)
		r.Host = host
		if a := c.Do(r); a.Status != want {
			t.Errorf("%s: status %d, want %d", host, a.Status, want)
		}
	}
}

func TestBodyBeyondItsLimit(t *testing.T) {
	h := openHouse(t)
	c := h.as(access.Coordinator)
	form := c.Get("/clients/new").Form("/clients")
	form.Set("note", strings.Repeat("x", usualBody))
	c.Post("/clients", form).Want(http.StatusRequestEntityTooLarge, Sound(), In("main", Says("256 KiB")))
	chunked := c.Request(http.MethodPost, "/clients", struct{ *strings.Reader }{strings.NewReader(form.Encode())})
	chunked.ContentLength = -1
	chunked.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	c.Do(chunked).Want(http.StatusRequestEntityTooLarge)
	big := c.PostJSON("/clients", `{"note":"`+strings.Repeat("x", usualBody)+`"}`)
	if big.Status != http.StatusRequestEntityTooLarge || !strings.Contains(big.Body, "web.body-too-large") {
		t.Errorf("JSON: status %d: %.200s", big.Status, big.Body)
	}
}

func TestPanicTellsNothing(t *testing.T) {
	var log bytes.Buffer
	h := openHouse(t, func(c *Config) { c.Log = slog.New(slog.NewTextHandler(&log, nil)) })
	h.web.engine.GET("/panics", h.web.wrap(route{method: "GET", path: "/panics", act: access.SignedIn, handle: func(*exchange) error { panic("the secret detail") }}))
	h.web.engine.GET("/fails", h.web.wrap(route{method: "GET", path: "/fails", act: access.SignedIn, handle: func(*exchange) error { return errors.New("the secret detail") }}))
	c := h.as(access.Auditor)
	for _, path := range []string{"/panics", "/fails"} {
		a := c.Get(path).Want(http.StatusInternalServerError, Sound(), Silent("secret"), In("main", Says("fault of the program")))
		if id := a.Header.Get("X-Request-Id"); !strings.Contains(a.Body, id) || !strings.Contains(log.String(), id) {
			t.Errorf("%s: the request %s is not named to the person and in the log", path, id)
		}
	}
	if !strings.Contains(log.String(), "the secret detail") || !strings.Contains(log.String(), "guard_test.go") || !strings.Contains(log.String(), "level=ERROR") {
		t.Errorf("the log lacks the cause or the stack:\n%s", log.String())
	}
}

func TestUnknownPageAndMethod(t *testing.T) {
	h := openHouse(t)
	c := h.as(access.Coordinator)
	c.Get("/no/such/page").Want(http.StatusNotFound, Sound(), In(".ways", Says("Clients")), In("main", Says("no page at this address")))
	h.as("").Get("/no/such/page").Want(http.StatusNotFound, Sound(), Not(".ways"))
	c.Get("/clients/").Want(http.StatusNotFound)
	a := c.Do(c.Request(http.MethodPut, "/clients", nil)).Want(http.StatusMethodNotAllowed, Sound(), In("main", Says("does not take PUT")))
	if allow := a.Header.Get("Allow"); !strings.Contains(allow, "GET") || !strings.Contains(allow, "POST") {
		t.Errorf("Allow: %q", allow)
	}
	head := c.Do(c.Request(http.MethodHead, "/clients", nil))
	if head.Status != http.StatusOK || head.Body != "" {
		t.Errorf("HEAD: status %d, %d bytes", head.Status, len(head.Body))
	}
}

func TestForeignAndMalformedIDs(t *testing.T) {
	h := openHouse(t)
	c := h.as(access.Coordinator)
	client := h.addClient(c, "Aldermere Water")
	site := h.addSite(c, client, "Fenwick Lane")
	id := func(path string) string { return path[strings.LastIndex(path, "/")+1:] }
	for _, path := range []string{
		"/clients/" + id(site), "/sites/" + id(client), "/points/" + id(site), "/clients/" + h.people[access.Auditor].String(),
		"/clients/nonsense", "/clients/00000000-0000-0000-0000-000000000000", "/clients/%00", "/sites/x/change", "/people/" + id(client),
		"/clients/" + id(site) + "/change", "/clients/" + id(site) + "/history", "/sites/" + id(client) + "/points/new",
	} {
		c.Get(path).Want(http.StatusNotFound, Sound())
	}
	form := c.Get("/clients/new").Form("/clients")
	c.Post("/clients/"+id(site), form).Want(http.StatusNotFound)
	c.Post("/clients/"+id(site)+"/sites", form).Want(http.StatusNotFound)
	h.as("").Get(client).Want(http.StatusSeeOther)
}

func TestGateTurnsAway(t *testing.T) {
	h := openHouse(t)
	c := h.as(access.Auditor)
	var leave []func()
	for range costlyAtOnce {
		out, err := h.web.costly.enter()
		if err != nil {
			t.Fatal(err)
		}
		leave = append(leave, out)
	}
	if a := c.Get("/audit/check").Want(http.StatusTooManyRequests, Sound()); a.Header.Get("Retry-After") == "" {
		t.Error("no Retry-After")
	}
	for _, out := range leave {
		out()
	}
	c.Get("/audit/check").Want(http.StatusOK, Sound(), In("h1", Says("The trail is whole")))
}
