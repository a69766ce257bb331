package web

import (
	"context"
	"crypto/rand"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/certificate"
	"rillmark/domain/evaluation"
	"rillmark/service/account"
	"rillmark/service/account/accounttest"
	"rillmark/service/agreeing"
	"rillmark/service/capture"
	"rillmark/service/capture/tracing"
	"rillmark/service/document"
	"rillmark/service/equipment"
	"rillmark/service/issuing"
	"rillmark/service/planning"
	"rillmark/service/registry"
	"rillmark/service/sentence"
	"rillmark/service/store"
	"rillmark/service/store/storetest"
	"rillmark/service/web/webtest"
	"rillmark/templates"
)

func TestMain(m *testing.M) { storetest.Main(m) }

// openTest opens the embedded view; a missing word fails the test.
func openTest(t *testing.T) *view {
	t.Helper()
	v, err := openView(templates.Files, testBook(t))
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func testBook(t *testing.T) *sentence.Book {
	t.Helper()
	book, err := sentence.Open(templates.Files, "en")
	if err != nil {
		t.Fatal(err)
	}
	book.OnMissing(func(key string, err error) { t.Errorf("catalogue: %s: %v", key, err) })
	return book
}

// house is the program with a database of its own and one person per role.
type house struct {
	t      *testing.T
	db     storetest.DB
	store  *store.Store
	web    *Web
	server *httptest.Server
	people map[access.Role]domain.PersonID
}

const testPassword = "a few words in a row"

// openHouse makes a house. Change alters the configuration before the server starts.
func openHouse(t *testing.T, change ...func(*Config)) *house {
	t.Helper()
	return openHouseOn(t, storetest.Clone(t), change...)
}

func openHouseOn(t *testing.T, db storetest.DB, change ...func(*Config)) *house {
	t.Helper()
	h := &house{t: t, db: db, store: db.Open(t, store.App), people: map[access.Role]domain.PersonID{}}
	accounts := account.New(account.Config{Store: h.store, IDs: storetest.IDs(), Random: rand.Reader, Hashing: accounttest.Hashing()})
	c := Config{Accounts: accounts, Registry: registry.New(h.store), Equipment: equipment.New(h.store, time.UTC),
		Agreeing: agreeing.New(h.store, time.UTC), Planning: planning.New(planning.Config{Store: h.store, IDs: storetest.IDs()}), Capture: capture.New(capture.Config{Store: h.store, IDs: storetest.IDs(), Version: "test"}), Records: h.store, Book: testBook(t), Files: templates.Files,
		IDs: storetest.IDs(), Now: time.Now, Company: "Saltmarsh Metering Services", Zone: time.UTC}
	c.Tracing = tracing.New(tracing.Config{Store: h.store, IDs: storetest.IDs(), Capture: c.Capture})
	c.Issuing = issuing.New(issuing.Config{Store: h.store, Portal: db.Open(t, store.Portal), Random: rand.Reader,
		Company: certificate.Party{Name: c.Company, Address: []string{"Tide Mill Lane 9", "Saltmarsh"}}, Program: "Rillmark", Version: "test",
		PublicURL: "https://rillmark.example", Layout: document.Latest, Say: c.Book.Fault, Render: document.Render,
		Facts: func(ctx context.Context, a access.Actor, id domain.TaskID) (evaluation.Facts, error) {
			w, err := c.Capture.Sheet(ctx, a, id)
			if err != nil {
				return evaluation.Facts{}, err
			}
			return w.Facts, nil
		}})
	for _, f := range change {
		f(&c)
	}
	var err error
	if h.web, err = New(c); err != nil {
		t.Fatal(err)
	}
	names := map[access.Role]string{access.Administrator: "Ada Vinter", access.Coordinator: "Cora Lindqvist", access.Technician: "Tem Okonjo",
		access.Approver: "Ines Sørby", access.Auditor: "Otto Brandt"}
	for _, role := range access.Roles {
		h.people[role] = h.addPerson(string(role), names[role], role)
	}
	h.server = httptest.NewServer(h.web)
	t.Cleanup(h.server.Close)
	return h
}

func (h *house) addPerson(login, name string, roles ...access.Role) domain.PersonID {
	h.t.Helper()
	id := domain.NewID[domain.PersonKind](storetest.IDs())
	texts := make([]string, len(roles))
	for i, r := range roles {
		texts[i] = string(r)
	}
	if _, err := h.web.Accounts.AddPerson(context.Background(), access.System("test"), account.AddPerson{
		Operation: storetest.Operation(), ID: id, Login: login, Name: name, Roles: texts, Password: testPassword}); err != nil {
		h.t.Fatal(err)
	}
	return id
}

// as returns a client that is logged in in the role; the empty role is nobody.
func (h *house) as(role access.Role) *webtest.Client {
	h.t.Helper()
	c := webtest.NewClient(h.t, h.server.URL)
	if role != "" {
		h.login(c, string(role))
	}
	return c
}

func (h *house) login(c *webtest.Client, login string) {
	h.t.Helper()
	a := c.Post("/login", url.Values{"login": {login}, "password": {testPassword}})
	if a.Status != 303 {
		h.t.Fatalf("login of %s: status %d: %s", login, a.Status, a.Body)
	}
}

// sql runs a statement as the superuser: for tests that shift time or break things.
func (h *house) sql(statement string, args ...any) {
	h.t.Helper()
	conn := h.db.Connect(h.t, "")
	if _, err := conn.Exec(h.t.Context(), statement, args...); err != nil {
		h.t.Fatal(err)
	}
}

// count returns the number that a query gives.
func (h *house) count(query string, args ...any) int {
	h.t.Helper()
	var n int
	if err := h.db.Connect(h.t, "").QueryRow(h.t.Context(), query, args...).Scan(&n); err != nil {
		h.t.Fatal(err)
	}
	return n
}

// addClient adds a client through its form and returns the path of its page.
func (h *house) addClient(c *webtest.Client, name string) string {
	h.t.Helper()
	return h.add(c, "/clients/new", "/clients", url.Values{"name": {name}, "address": {"Quay Road 3\nAldermere"}})
}

func (h *house) addSite(c *webtest.Client, client, name string) string {
	h.t.Helper()
	return h.add(c, client+"/sites/new", client+"/sites", url.Values{"name": {name}, "time_zone": {"Europe/Oslo"}})
}

func (h *house) addPoint(c *webtest.Client, site, tag string) string {
	h.t.Helper()
	return h.add(c, site+"/points/new", site+"/points", url.Values{"tag": {tag}, "outside_diameter": {"219.1 mm"}, "wall": {"6.3 mm"}})
}

func (h *house) add(c *webtest.Client, page, action string, fields url.Values) string {
	h.t.Helper()
	a := c.Submit(c.Get(page).Want(200), action, fields)
	if a.Status != 303 || !strings.HasPrefix(a.Location, "/") {
		h.t.Fatalf("add at %s: status %d: %s", action, a.Status, a.Body)
	}
	return a.Location
}
