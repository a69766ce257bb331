package account_test

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"testing"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/person"
	"rillmark/service/account"
	"rillmark/service/account/accounttest"
	"rillmark/service/store"
	"rillmark/service/store/storetest"
)

func TestMain(m *testing.M) { storetest.Main(m) }

const password = "correct horse 7"

// house is a service on a database of its own, with the people in it.
type house struct {
	*account.Service
	db    storetest.DB
	store *store.Store
}

func open(t *testing.T) house {
	t.Helper()
	db := storetest.Clone(t)
	s := db.Open(t, store.App)
	return house{account.New(account.Config{Store: s, IDs: storetest.IDs(), Random: rand.Reader, Hashing: accounttest.Hashing()}), db, s}
}

var system = access.System("test")

// add adds a person with the usual password.
func (h house) add(t *testing.T, login string, roles ...access.Role) access.Actor {
	t.Helper()
	c := command(login, roles...)
	if _, err := h.AddPerson(t.Context(), system, c); err != nil {
		t.Fatalf("add %s: %v", login, err)
	}
	return access.Actor{Person: c.ID, Roles: roles}
}

func command(login string, roles ...access.Role) account.AddPerson {
	texts := make([]string, len(roles))
	for i, r := range roles {
		texts[i] = string(r)
	}
	return account.AddPerson{Operation: storetest.Operation(), ID: domain.NewID[domain.PersonKind](storetest.IDs()),
		Login: login, Name: "Person " + login, Roles: texts, Password: password}
}

// try knocks at the door.
func (h house) try(t *testing.T, login, password, address, device string) (account.Entrance, error) {
	t.Helper()
	return h.Login(t.Context(), account.Attempt{Login: login, Password: password, Address: address, Agent: "test", Device: device})
}

func (h house) in(t *testing.T, login string) account.Entrance {
	t.Helper()
	in, err := h.try(t, login, password, "192.0.2.1", "")
	if err != nil {
		t.Fatalf("login of %s: %v", login, err)
	}
	return in
}

func (h house) state(t *testing.T, in account.Entrance) account.State {
	t.Helper()
	v, err := h.Visitor(t.Context(), in.Session)
	if err != nil {
		t.Fatal(err)
	}
	return v.State
}

// exec runs a statement as the superuser: for what takes hours otherwise.
func (h house) exec(t *testing.T, sql string, args ...any) {
	t.Helper()
	if _, err := h.db.Connect(t, "").Exec(t.Context(), sql, args...); err != nil {
		t.Fatalf("%s: %v", sql, err)
	}
}

func one[T any](t *testing.T, h house, sql string, args ...any) T {
	t.Helper()
	var x T
	if err := h.db.Connect(t, "").QueryRow(t.Context(), sql, args...).Scan(&x); err != nil {
		t.Fatalf("%s: %v", sql, err)
	}
	return x
}

// change is the command that leaves a person as they are.
func (h house) change(t *testing.T, id domain.PersonID) account.ChangePerson {
	t.Helper()
	p := h.person(t, id)
	return account.ChangePerson{Operation: storetest.Operation(), ID: id, Version: p.Version, Login: p.Login, Name: p.Name,
		Roles: p.Roles, Disabled: p.DisabledAt != nil}
}

func (h house) person(t *testing.T, id domain.PersonID) person.Person {
	t.Helper()
	p, err := h.Person(t.Context(), system, id)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func wantKind(t *testing.T, err error, kind domain.Kind, code *fault.Code) {
	t.Helper()
	if err == nil || domain.KindOf(err) != kind || !fault.Has(err, code) {
		t.Errorf("want %v with %s, got %v", kind, code.Name(), err)
	}
}

// wantFaults wants just these codes in these fields.
func wantFaults(t *testing.T, err error, want ...string) {
	t.Helper()
	got := faultNames(err)
	if fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("faults %v, want %v", got, want)
	}
}

var errNoRandomness = errors.New("no randomness")

type dry struct{}

func (dry) Read([]byte) (int, error) { return 0, errNoRandomness }

var _ io.Reader = dry{}

var background = context.Background()

func asError(err error, e **domain.Error) bool { return errors.As(err, e) }

func faultNames(err error) (all []string) {
	for _, f := range fault.AllOf(err) {
		all = append(all, f.Field+" "+f.Code.Name())
	}
	return all
}
