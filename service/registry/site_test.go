package registry_test

import (
	"strings"
	"testing"

	"rillmark/domain"
	"rillmark/domain/audit"
	"rillmark/domain/register"
	"rillmark/service/registry"
	"rillmark/service/store/storetest"
)

func TestSiteIsAddedChangedAndItsHistoryTold(t *testing.T) {
	t.Parallel()
	o := open(t)
	client := o.client(t, "Tidewater")
	c := registry.AddSite{Operation: storetest.Operation(), ID: newID[domain.SiteKind](), ClientID: client, Name: " Plant ", TimeZone: " Europe/Oslo", SafetyNote: "hot pipes"}
	if w, err := o.AddSite(t.Context(), boss, c); err != nil || w.Version != 1 {
		t.Fatalf("%+v, %v", w, err)
	}
	ch := registry.ChangeSite{Operation: storetest.Operation(), ID: c.ID, Version: 1, Name: "Plant", TimeZone: "Asia/Kolkata", AccessNote: "ring twice", SafetyNote: "hot pipes"}
	if w, err := o.ChangeSite(t.Context(), boss, ch); err != nil || w.Version != 2 {
		t.Fatalf("%+v, %v", w, err)
	}
	got, err := o.Site(t.Context(), boss, c.ID)
	if err != nil || got.ClientID != client || got.Name != "Plant" || got.TimeZone != "Asia/Kolkata" || got.Version != 2 {
		t.Errorf("%+v, %v", got, err)
	}
	history := []string{"site.change", `time_zone: "Europe/Oslo" → "Asia/Kolkata"`, `access_note: "" → "ring twice"`,
		"site.add", `name: "" → "Plant"`, `time_zone: "" → "Europe/Oslo"`, `safety_note: "" → "hot pipes"`}
	wantTold(t, o.told(t, audit.Site, c.ID), history...)
	wantTold(t, o.told(t, audit.Client, client), append(history, "client.add", `name: "" → "Tidewater"`)...)
	ch = registry.ChangeSite{Operation: storetest.Operation(), ID: c.ID, Version: 1, Name: "Late", TimeZone: "Etc/UTC"}
	_, err = o.ChangeSite(t.Context(), boss, ch)
	if now := current[register.Site](t, err); now.Version != 2 || now.Name != "Plant" {
		t.Errorf("%+v", now)
	}
}

func TestSiteThatIsWrongIsRefusedWhole(t *testing.T) {
	t.Parallel()
	o := open(t)
	client := o.client(t, "Tidewater")
	for name, c := range map[string]struct {
		site registry.AddSite
		want []string
	}{
		"everything": {registry.AddSite{Name: "", Address: strings.Repeat("x", 1001), TimeZone: "", AccessNote: "\x00", SafetyNote: strings.Repeat("x", 4001)},
			[]string{"id id.malformed", "name text.required", "address text.too-long", "time_zone text.required", "access_note text.control-character", "safety_note text.too-long"}},
		"zone of nowhere":   {registry.AddSite{ID: newID[domain.SiteKind](), Name: "x", TimeZone: "Mars/Olympus"}, []string{"time_zone register.time-zone-unknown"}},
		"this machine's":    {registry.AddSite{ID: newID[domain.SiteKind](), Name: "x", TimeZone: "Local"}, []string{"time_zone register.time-zone-unknown"}},
		"a file":            {registry.AddSite{ID: newID[domain.SiteKind](), Name: "x", TimeZone: "../etc/passwd"}, []string{"time_zone register.time-zone-unknown"}},
		"an endless zone's": {registry.AddSite{ID: newID[domain.SiteKind](), Name: "x", TimeZone: strings.Repeat("x", 65)}, []string{"time_zone text.too-long", "time_zone register.time-zone-unknown"}},
	} {
		t.Run(name, func(t *testing.T) {
			c.site.Operation, c.site.ClientID = storetest.Operation(), client
			_, err := o.AddSite(t.Context(), boss, c.site)
			wantFaults(t, err, c.want...)
		})
	}
}

func TestSiteOfNoClientIsRefused(t *testing.T) {
	t.Parallel()
	o := open(t)
	for name, of := range map[string]domain.ClientID{"unknown": newID[domain.ClientKind](), "none": {}} {
		_, err := o.AddSite(t.Context(), boss, registry.AddSite{Operation: storetest.Operation(), ID: newID[domain.SiteKind](), ClientID: of, Name: "x", TimeZone: "Etc/UTC"})
		if wantKind(t, err, domain.NotFound, domain.NoSuchThing); t.Failed() {
			t.Fatal(name)
		}
	}
	_, err := o.Site(t.Context(), boss, newID[domain.SiteKind]())
	wantKind(t, err, domain.NotFound, domain.NoSuchThing)
	_, err = o.ChangeSite(t.Context(), boss, registry.ChangeSite{Operation: storetest.Operation(), ID: newID[domain.SiteKind](), Name: "x", TimeZone: "Etc/UTC"})
	wantKind(t, err, domain.NotFound, domain.NoSuchThing)
}

func TestSiteNameIsTakenOnceForEachClient(t *testing.T) {
	t.Parallel()
	o := open(t)
	first, second := o.client(t, "First"), o.client(t, "Second")
	o.site(t, first, "Plant")
	o.site(t, second, "Plant")
	_, err := o.AddSite(t.Context(), boss, registry.AddSite{Operation: storetest.Operation(), ID: newID[domain.SiteKind](), ClientID: first, Name: "PLANT", TimeZone: "Etc/UTC"})
	wantKind(t, err, domain.Taken, register.NameTaken)
	page, err := o.Sites(t.Context(), boss, first, registry.Filter{})
	if err != nil || len(page.Items) != 1 {
		t.Errorf("a client's sites: %v, %v", page.Items, err)
	}
}
