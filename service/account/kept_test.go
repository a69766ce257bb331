package account_test

import (
	"fmt"
	"strings"
	"testing"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/service/account"
)

// late is a visitor whose session has ended.
func (h house) late(t *testing.T, login string) account.Visitor {
	t.Helper()
	in := h.in(t, login)
	h.age(t, in.Actor.Session, account.IdleLimit)
	v, err := h.Visitor(t.Context(), in.Session)
	if err != nil || v.State != account.Expired {
		t.Fatalf("%+v, %v", v, err)
	}
	return v
}

func TestFormIsKeptForTheSamePersonAlone(t *testing.T) {
	t.Parallel()
	h := open(t)
	ida, per := h.add(t, "ida", access.Technician), h.add(t, "per", access.Administrator)
	const form = "name=Tidewater+%26+Works&note=a%0Ab"
	id, err := h.Keep(t.Context(), h.late(t, "ida"), "/clients/new", form)
	if err != nil {
		t.Fatal(err)
	}
	again := h.in(t, "ida").Actor // a new login
	list, err := h.KeptFor(t.Context(), again)
	if err != nil || len(list) != 1 || list[0].ID != id || list[0].Path != "/clients/new" || list[0].Form != form || list[0].At.IsZero() {
		t.Errorf("kept %+v, %v", list, err)
	}
	for _, other := range []access.Actor{per, {}, system} {
		if list, err := h.KeptFor(t.Context(), other); err != nil || len(list) != 0 {
			t.Errorf("%s sees %v, %v", other.Name(), list, err)
		}
		if err := h.Drop(t.Context(), other, id); err != nil {
			t.Error(err)
		}
	}
	if list, _ := h.KeptFor(t.Context(), ida); len(list) != 1 {
		t.Error("somebody else dropped it")
	}
	if err := h.Drop(t.Context(), ida, id); err != nil {
		t.Error(err)
	}
	if list, _ := h.KeptFor(t.Context(), ida); len(list) != 0 {
		t.Errorf("still there: %v", list)
	}
}

func TestKeptFormsHaveBounds(t *testing.T) {
	t.Parallel()
	h := open(t)
	h.add(t, "ida", access.Technician)
	v := h.late(t, "ida")
	if _, err := h.Keep(t.Context(), v, "/x", strings.Repeat("x", account.EntryLimit)); err != nil {
		t.Errorf("at the limit: %v", err)
	}
	_, err := h.Keep(t.Context(), v, "/x", strings.Repeat("x", account.EntryLimit+1))
	wantKind(t, err, domain.TooLarge, account.EntryTooLarge)
	if _, err := h.Keep(t.Context(), v, "/"+strings.Repeat("é", 1999), ""); err != nil {
		t.Errorf("path at the limit: %v", err)
	}
	_, err = h.Keep(t.Context(), v, "/"+strings.Repeat("é", 2000), "")
	wantKind(t, err, domain.TooLarge, domain.TooLong)
	for _, path := range []string{"", "x", "//elsewhere.example/x", `/\elsewhere.example`, "https://elsewhere.example/"} {
		if _, err := h.Keep(t.Context(), v, path, ""); err == nil {
			t.Errorf("kept for %q", path)
		}
	}
	_, err = h.Keep(t.Context(), account.Visitor{}, "/x", "")
	wantKind(t, err, domain.Unauthenticated, domain.NotLoggedIn)
}

func TestOldestKeptFormGoes(t *testing.T) {
	t.Parallel()
	h := open(t)
	ida := h.add(t, "ida", access.Technician)
	h.add(t, "per", access.Technician)
	pers, v := h.late(t, "per"), h.late(t, "ida")
	if _, err := h.Keep(t.Context(), pers, "/his", ""); err != nil {
		t.Fatal(err)
	}
	for i := range 53 {
		if _, err := h.Keep(t.Context(), v, fmt.Sprint("/", i), ""); err != nil {
			t.Fatal(err)
		}
	}
	list, err := h.KeptFor(t.Context(), ida)
	if err != nil || len(list) != 50 || list[0].Path != "/52" || list[49].Path != "/3" {
		t.Errorf("%d kept, %v", len(list), err)
	}
	if list, _ := h.KeptFor(t.Context(), pers.Person.Actor(domain.SessionID{})); len(list) != 1 {
		t.Error("another person's form went")
	}
}
