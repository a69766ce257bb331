package registry_test

import (
	"errors"
	"fmt"
	"slices"
	"testing"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/register"
	"rillmark/service/registry"
	"rillmark/service/store"
	"rillmark/service/store/storetest"
)

func TestMain(m *testing.M) { storetest.Main(m) }

// office is a register on a database of its own.
type office struct {
	*registry.Service
	db    storetest.DB
	store *store.Store
}

func open(t *testing.T) office {
	t.Helper()
	db := storetest.Clone(t)
	s := db.Open(t, store.App)
	return office{registry.New(s), db, s}
}

var boss = access.System("test")

func roleOf(role access.Role) access.Actor {
	return access.Actor{Person: domain.NewID[domain.PersonKind](storetest.IDs()), Roles: []access.Role{role}}
}

func addClient(name string) registry.AddClient {
	return registry.AddClient{Operation: storetest.Operation(), ID: newID[domain.ClientKind](), Name: name}
}

func (o office) client(t *testing.T, name string) domain.ClientID {
	t.Helper()
	c := addClient(name)
	if _, err := o.AddClient(t.Context(), boss, c); err != nil {
		t.Fatalf("client %q: %v", name, err)
	}
	return c.ID
}

func (o office) site(t *testing.T, of domain.ClientID, name string) domain.SiteID {
	t.Helper()
	c := registry.AddSite{Operation: storetest.Operation(), ID: newID[domain.SiteKind](), ClientID: of, Name: name, TimeZone: "Europe/Oslo"}
	if _, err := o.AddSite(t.Context(), boss, c); err != nil {
		t.Fatalf("site %q: %v", name, err)
	}
	return c.ID
}

func addPoint(of domain.SiteID, tag string) registry.AddPoint {
	return registry.AddPoint{Operation: storetest.Operation(), ID: newID[domain.PointKind](), SiteID: of, PointTexts: register.PointTexts{Tag: tag}}
}

func (o office) point(t *testing.T, of domain.SiteID, tag string) domain.PointID {
	t.Helper()
	c := addPoint(of, tag)
	if _, err := o.AddPoint(t.Context(), boss, c); err != nil {
		t.Fatalf("point %q: %v", tag, err)
	}
	return c.ID
}

func wantKind(t *testing.T, err error, kind domain.Kind, code *fault.Code) {
	t.Helper()
	if err == nil || domain.KindOf(err) != kind || !fault.Has(err, code) {
		t.Errorf("want %v with %s, got %v", kind, code.Name(), err)
	}
}

// wantFaults wants just these codes in these fields, and nothing stored.
func wantFaults(t *testing.T, err error, want ...string) {
	t.Helper()
	got := []string{}
	for _, f := range fault.AllOf(err) {
		got = append(got, f.Field+" "+f.Code.Name())
	}
	if domain.KindOf(err) != domain.Invalid || !slices.Equal(got, want) {
		t.Errorf("%v: faults %v, want %v", domain.KindOf(err), got, want)
	}
}

// current is the thing as it stands, that a conflict carries.
func current[T any](t *testing.T, err error) T {
	t.Helper()
	var e *domain.Error
	var none T
	if !errors.As(err, &e) || e.Kind != domain.Stale {
		t.Errorf("no conflict: %v", err)
		return none
	}
	thing, ok := e.Current.(T)
	if !ok {
		t.Errorf("the conflict carries %T", e.Current)
	}
	return thing
}

// told prints a thing's history, newest first, as its page would.
func (o office) told(t *testing.T, kind audit.Kind, id fmt.Stringer) (all []string) {
	t.Helper()
	list, err := o.History(t.Context(), boss, audit.Subject{Kind: kind, ID: id.String()}, 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range list {
		all = append(all, e.Event.Action)
		for _, c := range e.Event.Changes {
			for _, f := range c.Fields {
				before, _ := e.Text(f.Before)
				after, _ := e.Text(f.After)
				all = append(all, fmt.Sprintf("%s: %q → %q", f.Name, before, after))
			}
		}
	}
	return all
}

func wantTold(t *testing.T, got []string, want ...string) {
	t.Helper()
	if !slices.Equal(got, want) {
		t.Errorf("history\n%q\nwant\n%q", got, want)
	}
}
