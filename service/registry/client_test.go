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

func TestClientIsAddedChangedAndItsHistoryTold(t *testing.T) {
	t.Parallel()
	o := open(t)
	c := addClient("  Tidewater Works ")
	c.Address, c.ContactName, c.ContactEmail, c.ContactPhone, c.Note = "Quay 1\r\nHarbour \r\n", "Ingrid Fell", "ingrid@example.org", "+47 000", "a\tb\n\n"
	w, err := o.AddClient(t.Context(), boss, c)
	if err != nil || w != (registry.Written{ID: c.ID.String(), Version: 1}) {
		t.Fatalf("%+v, %v", w, err)
	}
	got, err := o.Client(t.Context(), boss, c.ID)
	if err != nil || got.Name != "Tidewater Works" || got.Address != "Quay 1\nHarbour" || got.Note != "a\tb" || got.Version != 1 || got.CreatedAt != got.ChangedAt {
		t.Errorf("%+v, %v", got, err)
	}
	ch := registry.ChangeClient{Operation: storetest.Operation(), ID: c.ID, Version: 1, Name: "Tidewater & Sons", Address: got.Address,
		ContactName: "Per Holm", ContactPhone: got.ContactPhone, Note: got.Note}
	if w, err := o.ChangeClient(t.Context(), boss, ch); err != nil || w.Version != 2 {
		t.Fatalf("%+v, %v", w, err)
	}
	if w, err := o.ChangeClient(t.Context(), boss, ch); err != nil || w.Version != 2 {
		t.Errorf("sent twice: %+v, %v", w, err)
	}
	after, err := o.Client(t.Context(), boss, c.ID)
	if err != nil || after.Name != "Tidewater & Sons" || after.ContactEmail != "" || !after.ChangedAt.After(after.CreatedAt) || !after.CreatedAt.Equal(got.CreatedAt) {
		t.Errorf("%+v, %v", after, err)
	}
	wantTold(t, o.told(t, audit.Client, c.ID),
		"client.change", `name: "Tidewater Works" → "Tidewater & Sons"`, `contact_name: "Ingrid Fell" → "Per Holm"`, `contact_email: "ingrid@example.org" → ""`,
		"client.add", `name: "" → "Tidewater Works"`, `address: "" → "Quay 1\nHarbour"`, `contact_name: "" → "Ingrid Fell"`,
		`contact_email: "" → "ingrid@example.org"`, `contact_phone: "" → "+47 000"`, `note: "" → "a\tb"`)
}

func TestClientThatIsWrongIsRefusedWhole(t *testing.T) {
	t.Parallel()
	o := open(t)
	c := addClient(" \t ")
	c.ID, c.Address, c.ContactName, c.ContactEmail = domain.ClientID{}, strings.Repeat("x", 1001), "a\u202eb", "not one"
	c.ContactPhone, c.Note = "1\n2", "\x1b[2J"
	_, err := o.AddClient(t.Context(), boss, c)
	wantFaults(t, err, "id id.malformed", "name text.required", "address text.too-long", "contact_name text.control-character",
		"contact_email register.email-form", "contact_phone text.control-character", "note text.control-character")
	for name, text := range map[string]string{"broken": "\xff", "nought": "a\x00b", "line separator": "a\u2028b"} {
		if _, err := o.AddClient(t.Context(), boss, addClient(text)); domain.KindOf(err) != domain.Invalid {
			t.Errorf("%s: %v", name, err)
		}
	}
	id := o.client(t, strings.Repeat("é", 200))
	_, err = o.ChangeClient(t.Context(), boss, registry.ChangeClient{Operation: storetest.Operation(), ID: id, Version: 1, Name: strings.Repeat("é", 201)})
	wantFaults(t, err, "name text.too-long")
	page, err := o.Clients(t.Context(), boss, registry.Filter{})
	if err != nil || len(page.Items) != 1 {
		t.Errorf("stored: %v, %v", page.Items, err)
	}
}

func TestClientNameIsTakenOnce(t *testing.T) {
	t.Parallel()
	o := open(t)
	o.client(t, "Tidewater Works")
	other := o.client(t, "Other")
	_, err := o.AddClient(t.Context(), boss, addClient("TIDEWATER works"))
	wantKind(t, err, domain.Taken, register.NameTaken)
	_, err = o.ChangeClient(t.Context(), boss, registry.ChangeClient{Operation: storetest.Operation(), ID: other, Version: 1, Name: "tidewater works"})
	wantKind(t, err, domain.Taken, register.NameTaken)
	if _, err := o.ChangeClient(t.Context(), boss, registry.ChangeClient{Operation: storetest.Operation(), ID: other, Version: 1, Name: "OTHER"}); err != nil {
		t.Errorf("its own name in capitals: %v", err)
	}
}

func TestIDOfAnotherClientIsRefused(t *testing.T) {
	t.Parallel()
	o := open(t)
	id := o.client(t, "First")
	c := addClient("Second")
	c.ID = id
	_, err := o.AddClient(t.Context(), boss, c)
	wantKind(t, err, domain.Reused, domain.OperationReused)
	if got, err := o.Client(t.Context(), boss, id); err != nil || got.Name != "First" {
		t.Errorf("%+v, %v", got, err)
	}
}

func TestStaleClientIsAConflict(t *testing.T) {
	t.Parallel()
	o := open(t)
	id := o.client(t, "First")
	change := func(version int64, name string) error {
		_, err := o.ChangeClient(t.Context(), boss, registry.ChangeClient{Operation: storetest.Operation(), ID: id, Version: version, Name: name})
		return err
	}
	if err := change(1, "Second"); err != nil {
		t.Fatal(err)
	}
	for _, version := range []int64{1, 0, 3, -1} {
		if now := current[register.Client](t, change(version, "Late")); now.Name != "Second" || now.Version != 2 {
			t.Errorf("on version %d: %+v", version, now)
		}
	}
	_, err := o.ChangeClient(t.Context(), boss, registry.ChangeClient{Operation: storetest.Operation(), ID: newID[domain.ClientKind](), Version: 1, Name: "x"})
	wantKind(t, err, domain.NotFound, domain.NoSuchThing)
	_, err = o.Client(t.Context(), boss, newID[domain.ClientKind]())
	wantKind(t, err, domain.NotFound, domain.NoSuchThing)
}
