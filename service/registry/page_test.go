package registry_test

import (
	"encoding/base64"
	"fmt"
	"slices"
	"strings"
	"testing"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/service/registry"
	"rillmark/service/store/storetest"
)

// pages reads a whole list, calling between after each page.
func (o office) pages(t *testing.T, f registry.Filter, between func(page int)) (names []string) {
	t.Helper()
	for n := 1; ; n++ {
		page, err := o.Clients(t.Context(), boss, f)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range page.Items {
			names = append(names, c.Name)
		}
		if page.Next == "" {
			return names
		}
		f.After = page.Next
		between(n)
	}
}

func TestListGoesOnWhereItWas(t *testing.T) {
	t.Parallel()
	o := open(t)
	var want []string
	for i := range 25 {
		name := fmt.Sprintf("Client %02d", i)
		if i%2 == 1 {
			name = strings.ToUpper(name)
		}
		want = append(want, name)
		o.client(t, name)
	}
	for _, limit := range []int{1, 7, 24, 25, 26, 0, -1, 1000} {
		if got := o.pages(t, registry.Filter{Limit: limit}, func(int) {}); !slices.Equal(got, want) {
			t.Errorf("in pages of %d: %v", limit, got)
		}
	}
	// What comes in before the place where the reader is does not shift the pages, what
	// comes in behind it is met.
	got := o.pages(t, registry.Filter{Limit: 10}, func(page int) {
		o.client(t, fmt.Sprintf("Before %d", page))
		o.client(t, fmt.Sprintf("Client 24 and %d", page))
	})
	if want = append(want, "Client 24 and 1", "Client 24 and 2"); !slices.Equal(got, want) {
		t.Errorf("with others coming in: %v", got)
	}
}

func TestPageOfTheUsualSize(t *testing.T) {
	t.Parallel()
	o := open(t)
	for i := range registry.PageSize + 1 {
		o.client(t, fmt.Sprintf("Client %02d", i))
	}
	page, err := o.Clients(t.Context(), boss, registry.Filter{})
	if err != nil || len(page.Items) != registry.PageSize || page.Next == "" {
		t.Errorf("%d items, next %q, %v", len(page.Items), page.Next, err)
	}
}

func TestSearchTakesWhatIsTyped(t *testing.T) {
	t.Parallel()
	o := open(t)
	for _, name := range []string{"100 % Water", "100 Waters", "a_b", "axb", `back\slash`, "Ærlig Åpen", "O'Brien"} {
		o.client(t, name)
	}
	for search, want := range map[string][]string{"%": {"100 % Water"}, "_": {"a_b"}, `\`: {`back\slash`}, "WATER": {"100 % Water", "100 Waters"}, "ærlig å": {"Ærlig Åpen"},
		"'": {"O'Brien"}, "  a_b ": {"a_b"}, "nothing": nil, "Ærlig A\u030apen": {"Ærlig Åpen"}, strings.Repeat("x", 100000): nil, "%%": nil, `\%`: nil} {
		page, err := o.Clients(t.Context(), boss, registry.Filter{Search: search})
		var got []string
		for _, c := range page.Items {
			got = append(got, c.Name)
		}
		if err != nil || !slices.Equal(got, want) {
			t.Errorf("%.20q: %v, %v", search, got, err)
		}
	}
	for _, search := range []string{"\x00", "\xff"} {
		if _, err := o.Clients(t.Context(), boss, registry.Filter{Search: search}); domain.KindOf(err) != domain.Invalid {
			t.Errorf("%q: %v", search, err)
		}
	}
}

func TestPlaceThatIsNoneIsRefused(t *testing.T) {
	t.Parallel()
	o := open(t)
	client := o.client(t, "x")
	site := o.site(t, client, "x")
	for _, after := range []string{"x", "!!!", base64.RawURLEncoding.EncodeToString([]byte(`{"k":1}`)), base64.RawURLEncoding.EncodeToString([]byte(`{"k":"a","i":"b"}`)), "\x00", strings.Repeat("A", 1<<20)} {
		f := registry.Filter{After: after}
		_, clients := o.Clients(t.Context(), boss, f)
		_, sites := o.Sites(t.Context(), boss, client, f)
		_, points := o.Points(t.Context(), boss, site, f)
		for _, err := range []error{clients, sites, points} {
			wantKind(t, err, domain.Invalid, registry.MarkMalformed)
		}
	}
	nought := base64.RawURLEncoding.EncodeToString([]byte(`{"k":"a\u0000","i":"0190aaaa-0000-7000-8000-000000000001"}`))
	if _, err := o.Clients(t.Context(), boss, registry.Filter{After: nought}); domain.KindOf(err) != domain.Invalid {
		t.Errorf("got %v", err)
	}
}

func TestListsCountWhatHangsOnEach(t *testing.T) {
	t.Parallel()
	o := open(t)
	client := o.client(t, "Tidewater")
	site := o.site(t, client, "Plant")
	o.site(t, client, "Annex")
	o.point(t, site, "F2")
	o.point(t, site, "f10")
	clients, err := o.Clients(t.Context(), boss, registry.Filter{})
	if err != nil || len(clients.Items) != 1 || clients.Items[0].Sites != 2 || clients.Items[0].Points != 2 {
		t.Errorf("%+v, %v", clients.Items, err)
	}
	sites, err := o.Sites(t.Context(), boss, client, registry.Filter{Search: "plan"})
	if err != nil || len(sites.Items) != 1 || sites.Items[0].Points != 2 {
		t.Errorf("%+v, %v", sites.Items, err)
	}
	points, err := o.Points(t.Context(), boss, site, registry.Filter{Limit: 1})
	if err != nil || len(points.Items) != 1 || points.Items[0].Tag != "f10" {
		t.Fatalf("%+v, %v", points.Items, err)
	}
	points, err = o.Points(t.Context(), boss, site, registry.Filter{Limit: 1, After: points.Next})
	if err != nil || len(points.Items) != 1 || points.Items[0].Tag != "F2" || points.Next != "" {
		t.Errorf("%+v, %v", points, err)
	}
}

func TestWhoMaySeeAndChange(t *testing.T) {
	t.Parallel()
	o := open(t)
	client := o.client(t, "Tidewater")
	site := o.site(t, client, "Plant")
	point := o.point(t, site, "F1")
	for _, role := range append([]access.Role{""}, access.Roles...) {
		a := roleOf(role)
		if role == "" {
			a = access.Actor{}
		}
		register := role == access.Coordinator
		points := register || role == access.Technician
		ok := func(what string, err error, want bool) {
			t.Helper()
			kind := domain.Forbidden
			if role == "" {
				kind = domain.Unauthenticated
			}
			if (err == nil) != want || (!want && domain.KindOf(err) != kind) {
				t.Errorf("%q %s: %v", role, what, err)
			}
		}
		name := "by " + string(role)
		_, err := o.AddClient(t.Context(), a, addClient(name))
		ok("adds a client", err, register)
		_, err = o.AddSite(t.Context(), a, registry.AddSite{Operation: storetest.Operation(), ID: newID[domain.SiteKind](), ClientID: client, Name: name, TimeZone: "Etc/UTC"})
		ok("adds a site", err, register)
		_, err = o.AddPoint(t.Context(), a, addPoint(site, name))
		ok("adds a point", err, points)

		c, _ := o.Client(t.Context(), boss, client)
		_, err = o.ChangeClient(t.Context(), a, registry.ChangeClient{Operation: storetest.Operation(), ID: client, Version: c.Version, Name: "Tidewater"})
		ok("changes a client", err, register)
		s, _ := o.Site(t.Context(), boss, site)
		_, err = o.ChangeSite(t.Context(), a, registry.ChangeSite{Operation: storetest.Operation(), ID: site, Version: s.Version, Name: "Plant", TimeZone: "Etc/UTC"})
		ok("changes a site", err, register)
		p, _ := o.Point(t.Context(), boss, point)
		_, err = o.ChangePoint(t.Context(), a, registry.ChangePoint{Operation: storetest.Operation(), ID: point, Version: p.Version, PointTexts: p.Texts()})
		ok("changes a point", err, points)

		see := role != ""
		_, err = o.Clients(t.Context(), a, registry.Filter{})
		ok("lists clients", err, see)
		_, err = o.Sites(t.Context(), a, client, registry.Filter{})
		ok("lists sites", err, see)
		_, err = o.Points(t.Context(), a, site, registry.Filter{})
		ok("lists points", err, see)
		_, err = o.Client(t.Context(), a, client)
		ok("sees a client", err, see)
		_, err = o.Site(t.Context(), a, site)
		ok("sees a site", err, see)
		_, err = o.Point(t.Context(), a, point)
		ok("sees a point", err, see)
		_, err = o.History(t.Context(), a, audit.Subject{Kind: audit.Client, ID: client.String()}, 0)
		ok("sees the history", err, see)
	}
}

func TestHistoryComesInPages(t *testing.T) {
	t.Parallel()
	o := open(t)
	id := o.client(t, "v1")
	for v := int64(1); v <= 60; v++ {
		if _, err := o.ChangeClient(t.Context(), boss, registry.ChangeClient{Operation: storetest.Operation(), ID: id, Version: v, Name: fmt.Sprint("v", v+1)}); err != nil {
			t.Fatal(err)
		}
	}
	about := audit.Subject{Kind: audit.Client, ID: id.String()}
	first, err := o.History(t.Context(), boss, about, 0)
	if err != nil || len(first) != 50 || first[0].Seq != 61 {
		t.Fatalf("%d, %v", len(first), err)
	}
	rest, err := o.History(t.Context(), boss, about, first[49].Seq)
	if err != nil || len(rest) != 11 || rest[10].Event.Action != "client.add" {
		t.Errorf("%d, %v", len(rest), err)
	}
	if _, err := o.History(t.Context(), boss, audit.Subject{Kind: audit.Client, ID: "not an id"}, 0); err == nil {
		t.Error("the history of no id")
	}
}
