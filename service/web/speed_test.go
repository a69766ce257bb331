package web

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/gin-gonic/gin"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/service/registry"
	"rillmark/service/store"
	"rillmark/service/store/storetest"
	"rillmark/service/web/part"
)

// fiftyClients is a full page of the list.
func fiftyClients(h *house) {
	actor := access.Actor{Person: h.people[access.Coordinator], Roles: []access.Role{access.Coordinator}}
	for i := range 60 {
		if _, err := h.web.Registry.AddClient(context.Background(), actor, registry.AddClient{Operation: storetest.Operation(),
			ID: domain.NewID[domain.ClientKind](storetest.IDs()), Name: fmt.Sprintf("Client %02d of Saltmarsh", i), Address: "1 Quay"}); err != nil {
			h.t.Fatal(err)
		}
	}
}

// bareClients is the list without the program around it: the same query on the same pool,
// the same template, and nothing that asks who is reading.
func bareClients(h *house, like listPage) http.Handler {
	return http.HandlerFunc(func(rw http.ResponseWriter, r *http.Request) {
		rows, err := store.Rows[registry.ClientRow](r.Context(), h.store, `
			SELECT c.id, c.name, c.address, lower(c.name) AS key,
			       (SELECT count(*) FROM site s WHERE s.client_id = c.id) AS sites,
			       (SELECT count(*) FROM measuring_point m WHERE m.client_id = c.id) AS points
			FROM client c WHERE (lower(c.name), c.id) > ($1, $2) AND c.name ILIKE $3
			ORDER BY lower(c.name), c.id LIMIT $4`, "", domain.ClientID{}, "%%", 51)
		if err != nil {
			http.Error(rw, err.Error(), http.StatusInternalServerError)
			return
		}
		p := like
		p.Rows = nil
		for _, c := range rows[:50] {
			p.Rows = append(p.Rows, part.Row{Href: "/clients/" + c.ID.String(), Name: c.Name, More: firstLine(c.Address), Much: like.Rows[0].Much})
		}
		rw.Header().Set("Content-Type", "text/html; charset=utf-8")
		if err := h.web.view.pages["clients"].ExecuteTemplate(rw, "page", p); err != nil {
			panic(err)
		}
	})
}

// likeClients is the page's frame as the coordinator gets it.
func likeClients(h *house, r *http.Request, secret string) listPage {
	h.t.Helper()
	v, err := h.web.Accounts.Visitor(r.Context(), secret)
	if err != nil {
		h.t.Fatal(err)
	}
	c, _ := gin.CreateTestContext(httptest.NewRecorder())
	c.Request = r
	x := &exchange{Web: h.web, gin: c, r: r, visitor: v, actor: v.Actor()}
	return listPage{base: x.base(part.Heading{Title: x.text("clients.title"), Lead: x.text("clients.lead")}),
		Search: part.Field{Name: "search", Label: x.text("clients.search"), Kind: part.Search}, Empty: x.text("clients.none"),
		Rows:    []part.Row{{Much: x.text("client.sites", "n", 0)}},
		Further: x.further("/clients", "", "", "more"), Add: &part.Button{Deed: x.text("clients.add"), Href: "/clients/new"}}
}

// TestSpeedOfAPage compares the list of clients with its bare form, by eight at a time and
// in turns, so that whatever else the machine does touches both alike. It says what it measured; with
// RILLMARK_SPEED=1 it takes its time for it.
func TestSpeedOfAPage(t *testing.T) {
	rounds := 1
	if os.Getenv("RILLMARK_SPEED") == "1" {
		rounds = 12
	}
	h := openHouse(t)
	fiftyClients(h)
	coordinator := h.as(access.Coordinator)
	var cookie *http.Cookie
	for _, c := range coordinator.Cookies() {
		if c.Name == h.web.cookieName(sessionCookie) {
			cookie = c
		}
	}
	request := func() *http.Request {
		r := httptest.NewRequest(http.MethodGet, "/clients", nil)
		r.AddCookie(cookie)
		return r
	}
	bare := bareClients(h, likeClients(h, request(), cookie.Value))
	rows := regexp.MustCompile(`>Client \d\d of Saltmarsh<`)
	took := map[string]time.Duration{}
	for range rounds {
		for name, handler := range map[string]http.Handler{"bare": bare, "ours": h.web} {
			began := time.Now()
			together(8, 50, func() {
				w := httptest.NewRecorder()
				handler.ServeHTTP(w, request())
				if n := len(rows.FindAllString(w.Body.String(), -1)); w.Code != http.StatusOK || n != 50 {
					t.Errorf("%s: status %d, %d rows", name, w.Code, n)
				}
			})
			took[name] += time.Since(began)
		}
	}
	per := func(name string) float64 { return float64(rounds*8*50) / took[name].Seconds() }
	t.Logf("page of 50 rows: %.0f a second, bare handler %.0f a second, ratio %.2f", per("ours"), per("bare"), per("ours")/per("bare"))
}

// TestSpeedOfAWrite compares adding a client by JSON with a bare handler that reads the same
// JSON and makes the same service call.
func TestSpeedOfAWrite(t *testing.T) {
	rounds := 1
	if os.Getenv("RILLMARK_SPEED") == "1" {
		rounds = 8
	}
	h := openHouse(t)
	actor := access.Actor{Person: h.people[access.Coordinator], Roles: []access.Role{access.Coordinator}}
	var cookie *http.Cookie
	for _, c := range h.as(access.Coordinator).Cookies() {
		if c.Name == h.web.cookieName(sessionCookie) {
			cookie = c
		}
	}
	bare := http.HandlerFunc(func(rw http.ResponseWriter, r *http.Request) {
		var in struct{ Operation, ID, Name string }
		if err := json.NewDecoder(r.Body).Decode(&in); err != nil {
			http.Error(rw, err.Error(), http.StatusBadRequest)
			return
		}
		operation, err1 := domain.ParseID[domain.OperationKind](in.Operation)
		id, err2 := domain.ParseID[domain.ClientKind](in.ID)
		if err := errors.Join(err1, err2); err != nil {
			http.Error(rw, err.Error(), http.StatusBadRequest)
			return
		}
		written, err := h.web.Registry.AddClient(r.Context(), actor, registry.AddClient{Operation: operation, ID: id, Name: in.Name})
		if err != nil {
			http.Error(rw, err.Error(), http.StatusInternalServerError)
			return
		}
		rw.WriteHeader(http.StatusCreated)
		_ = json.NewEncoder(rw).Encode(written)
	})
	took := map[string]time.Duration{}
	for range rounds {
		for name, handler := range map[string]http.Handler{"bare": bare, "ours": h.web} {
			began := time.Now()
			together(8, 25, func() {
				id := domain.NewID[domain.ClientKind](storetest.IDs())
				body := fmt.Sprintf(`{"operation":"%s","id":"%s","name":"Client %[2]s"}`, storetest.Operation(), id)
				r := httptest.NewRequest(http.MethodPost, "/clients", strings.NewReader(body))
				r.Header.Set("Content-Type", "application/json")
				r.AddCookie(cookie)
				w := httptest.NewRecorder()
				handler.ServeHTTP(w, r)
				if w.Code/100 != 2 {
					t.Errorf("%s: status %d: %s", name, w.Code, w.Body)
				}
			})
			took[name] += time.Since(began)
		}
	}
	per := func(name string) float64 { return float64(rounds*8*25) / took[name].Seconds() }
	t.Logf("write by JSON: %.0f a second, bare handler %.0f a second, ratio %.2f", per("ours"), per("bare"), per("ours")/per("bare"))
}

// together runs the act n times in each of so many goroutines and waits.
func together(at, n int, act func()) {
	var all sync.WaitGroup
	for range at {
		all.Go(func() {
			for range n {
				act()
			}
		})
	}
	all.Wait()
}
