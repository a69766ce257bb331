package web

import (
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"

	"rillmark/domain/access"
	"rillmark/service/capture/capturetest"
)

// TestEveryRouteHasItsRule asks the router itself, so that a route cannot be added beside
// the table, and holds each to an act that is known.
func TestEveryRouteHasItsRule(t *testing.T) {
	h := openHouse(t)
	table := map[string]route{}
	for _, r := range h.web.routes() {
		table[r.method+" "+r.path] = r
		if !slices.Contains(access.Acts(), r.act) {
			t.Errorf("%s %s has no rule (%q)", r.method, r.path, r.act)
		}
		if r.handle == nil {
			t.Errorf("%s %s has no handler", r.method, r.path)
		}
	}
	for _, r := range h.web.engine.Routes() {
		method := r.Method
		if method == http.MethodHead {
			method = http.MethodGet
		}
		if _, there := table[method+" "+r.Path]; !there {
			t.Errorf("%s %s is served and not in the table", r.Method, r.Path)
		}
	}
}

// TestRouteWithoutRuleIsRefused holds the wrapper: whatever a table says, no rule is no way.
func TestRouteWithoutRuleIsRefused(t *testing.T) {
	h := openHouse(t, func(*Config) {})
	open := func(*exchange) error { t.Error("the handler of a route without a rule ran"); return nil }
	h.web.engine.GET("/unruled", h.web.wrap(route{method: "GET", path: "/unruled", handle: open}))
	h.as(access.Administrator).Get("/unruled").Want(http.StatusForbidden)
}

// TestRoutesByRole tries every route as every role and as nobody. What a role may do must
// not end at the door; what it may not must, with the page that says so.
func TestRoutesByRole(t *testing.T) {
	h := openHouse(t)
	g := h.addGround()
	task := capturetest.Prepare(t, h.db, "../..", h.people[access.Technician]).Task
	fill := func(path string, role access.Role) string {
		person := "/people/" + h.people[access.Auditor].String()
		path = strings.Replace(path, "/people/:person", person, 1)
		for pattern, actual := range g.patterns() {
			path = strings.Replace(path, pattern, actual, 1)
		}
		return strings.NewReplacer(":entry", lastPart(g.point), "*name", "look.css", ":task", task.String(), ":value", "wall").Replace(path)
	}
	for _, role := range append([]access.Role{""}, access.Roles...) {
		actor := access.Actor{}
		if role != "" {
			actor = access.Actor{Person: h.people[role], Roles: []access.Role{role}}
		}
		c := h.as(role)
		for _, r := range h.web.routes() {
			if r.path == "/logout" || r.path == "/login" {
				continue // they end or begin the session that the others need; tested apart
			}
			path := fill(r.path, role)
			answer := c.Get(path)
			if r.method == http.MethodPost {
				answer = c.Post(path, url.Values{})
			}
			atDoor := answer.Status == http.StatusSeeOther && strings.HasPrefix(answer.Location, "/login")
			switch allowed := access.Allowed(actor, r.act); {
			case role == "" && !allowed && !atDoor:
				t.Errorf("nobody, %s %s: status %d, want the login", r.method, r.path, answer.Status)
			case role != "" && !allowed && answer.Status != http.StatusForbidden:
				t.Errorf("%s, %s %s: status %d, want 403", role, r.method, r.path, answer.Status)
			case allowed && (atDoor || answer.Status == http.StatusForbidden || answer.Status >= 500):
				t.Errorf("%s, %s %s: status %d, location %q, though allowed", role, r.method, r.path, answer.Status, answer.Location)
			}
		}
	}
	if n := h.count("SELECT count(*) FROM security_log WHERE event = 'access.refused'"); n < 20 {
		t.Errorf("%d refusals in the security log", n)
	}
}

// TestButtonsFollowTheRules looks that nobody is offered what they may not do.
func TestButtonsFollowTheRules(t *testing.T) {
	h := openHouse(t)
	g := h.addGround()
	for _, role := range access.Roles {
		c := h.as(role)
		pages := []string{"/", "/clients", "/kit", "/sets", "/methods", "/plan", g.client + "/meters", "/account"}
		for _, page := range g.patterns() {
			pages = append(pages, page)
		}
		for _, rule := range []struct {
			act  access.Act
			path string
		}{{access.SeePeople, "/people"}, {access.SeePeople, "/people/" + h.people[access.Technician].String()}, {access.SeeAudit, "/audit"}} {
			if access.Allowed(access.Actor{Person: h.people[role], Roles: []access.Role{role}}, rule.act) {
				pages = append(pages, rule.path)
			}
		}
		for _, page := range pages {
			for _, href := range linksOf(c.Get(page).Want(http.StatusOK)) {
				if answer := c.Get(href); answer.Status != http.StatusOK {
					t.Errorf("%s on %s is offered %s: status %d", role, page, href, answer.Status)
				}
			}
		}
	}
}
