package account_test

import (
	"slices"
	"strings"
	"sync"
	"testing"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/person"
	"rillmark/service/account"
	"rillmark/service/store/storetest"
)

func TestPersonIsAddedTidied(t *testing.T) {
	t.Parallel()
	h := open(t)
	c := command("  Ida.B ", access.Auditor, access.Technician, access.Auditor)
	c.Name = "  Ida  Brandt "
	w, err := h.AddPerson(t.Context(), system, c)
	if err != nil || w != (account.Written{ID: c.ID.String(), Version: 1}) {
		t.Fatalf("%+v, %v", w, err)
	}
	p := h.person(t, c.ID)
	if p.Login != "ida.b" || p.Name != "Ida  Brandt" || !slices.Equal(p.Roles, []string{"technician", "auditor"}) || p.Version != 1 || p.DisabledAt != nil || p.CreatedAt.IsZero() {
		t.Errorf("%+v", p)
	}
	again, err := h.AddPerson(t.Context(), system, c)
	if err != nil || again != w {
		t.Errorf("sent twice: %+v, %v", again, err)
	}
	h.in(t, "ida.b")
}

func TestEverythingThatIsWrongWithAPersonIsTold(t *testing.T) {
	t.Parallel()
	h := open(t)
	c := command("Not a login", "captain")
	c.Name, c.Password, c.ID = "a\x07b", "short", domain.PersonID{}
	_, err := h.AddPerson(t.Context(), system, c)
	if domain.KindOf(err) != domain.Invalid {
		t.Errorf("%v", err)
	}
	wantFaults(t, err, "id id.malformed", "login person.login-form", "name text.control-character", "roles person.role-unknown", "password person.password-short")
	c = command("ida")
	c.Name, c.Password = strings.Repeat("n", 201), strings.Repeat("p", 201)
	_, err = h.AddPerson(t.Context(), system, c)
	wantFaults(t, err, "name text.too-long", "roles person.no-role", "password person.password-long", "password person.password-common")
	if n := one[int](t, h, "SELECT count(*) FROM person"); n != 0 {
		t.Errorf("%d people", n)
	}
}

func TestLoginIsTakenOnce(t *testing.T) {
	t.Parallel()
	h := open(t)
	h.add(t, "ida", access.Technician)
	per := h.add(t, "per", access.Technician)
	_, err := h.AddPerson(t.Context(), system, command("IDA", access.Auditor))
	wantKind(t, err, domain.Taken, person.LoginTaken)
	c := h.change(t, per.Person)
	c.Login = "ida"
	_, err = h.ChangePerson(t.Context(), system, c)
	wantKind(t, err, domain.Taken, person.LoginTaken)
}

func TestWhoMayManagePeople(t *testing.T) {
	t.Parallel()
	h := open(t)
	ida := h.add(t, "ida", access.Technician)
	for _, role := range access.Roles {
		a := h.add(t, string(role), role)
		_, err := h.AddPerson(t.Context(), a, command("by."+string(role), access.Auditor))
		if want := role == access.Administrator; (err == nil) != want || (!want && domain.KindOf(err) != domain.Forbidden) {
			t.Errorf("%s adds: %v", role, err)
		}
		_, err = h.ChangePerson(t.Context(), a, h.change(t, ida.Person))
		if want := role == access.Administrator; (err == nil) != want {
			t.Errorf("%s changes: %v", role, err)
		}
		_, err = h.SetPassword(t.Context(), a, account.SetPassword{Operation: storetest.Operation(), ID: ida.Person, Password: password + "!"})
		if want := role == access.Administrator; (err == nil) != want {
			t.Errorf("%s sets another's password: %v", role, err)
		}
		sees := role == access.Administrator || role == access.Coordinator || role == access.Auditor
		if _, err := h.People(t.Context(), a); (err == nil) != sees {
			t.Errorf("%s lists: %v", role, err)
		}
		if _, err := h.Person(t.Context(), a, ida.Person); (err == nil) != sees {
			t.Errorf("%s looks: %v", role, err)
		}
		if p, err := h.Person(t.Context(), a, a.Person); err != nil || p.ID != a.Person {
			t.Errorf("%s looks at itself: %v", role, err)
		}
	}
	for name, err := range map[string]error{
		"add":    second(h.AddPerson(t.Context(), access.Actor{}, command("x", access.Auditor))),
		"change": second(h.ChangePerson(t.Context(), access.Actor{}, h.change(t, ida.Person))),
		"set":    second(h.SetPassword(t.Context(), access.Actor{}, account.SetPassword{Operation: storetest.Operation(), ID: ida.Person, Password: password})),
		"list":   second(h.People(t.Context(), access.Actor{})),
		"none":   second(h.SetPassword(t.Context(), access.Actor{}, account.SetPassword{Operation: storetest.Operation(), Password: password})),
	} {
		if domain.KindOf(err) != domain.Unauthenticated {
			t.Errorf("nobody: %s: %v", name, err)
		}
	}
}

func second[T any](_ T, err error) error { return err }

func TestPeopleAreListedByName(t *testing.T) {
	t.Parallel()
	h := open(t)
	for login, name := range map[string]string{"c": "ada", "b": "Berit", "a": "Cecil"} {
		c := command(login, access.Auditor)
		c.Name = name
		if _, err := h.AddPerson(t.Context(), system, c); err != nil {
			t.Fatal(err)
		}
	}
	list, err := h.People(t.Context(), system)
	if err != nil || len(list) != 3 || list[0].Name != "ada" || list[1].Name != "Berit" || list[2].Name != "Cecil" {
		t.Errorf("%v, %v", list, err)
	}
	_, err = h.Person(t.Context(), system, domain.NewID[domain.PersonKind](storetest.IDs()))
	wantKind(t, err, domain.NotFound, domain.NoSuchThing)
}

func TestStaleChangeIsAConflictThatShowsThePresentState(t *testing.T) {
	t.Parallel()
	h := open(t)
	ida := h.add(t, "ida", access.Technician)
	first, late := h.change(t, ida.Person), h.change(t, ida.Person)
	first.Name, late.Name = "First", "Late"
	if w, err := h.ChangePerson(t.Context(), system, first); err != nil || w.Version != 2 {
		t.Fatalf("%+v, %v", w, err)
	}
	_, err := h.ChangePerson(t.Context(), system, late)
	wantKind(t, err, domain.Stale, domain.ChangedSince)
	var e *domain.Error
	if !asError(err, &e) || e.Current.(person.Person).Name != "First" {
		t.Errorf("the present state is missing: %+v", e)
	}
	if w, err := h.ChangePerson(t.Context(), system, first); err != nil || w.Version != 2 {
		t.Errorf("sent again after its own change: %+v, %v", w, err)
	}
	_, err = h.ChangePerson(t.Context(), system, account.ChangePerson{Operation: storetest.Operation(), ID: domain.NewID[domain.PersonKind](storetest.IDs()), Version: 1})
	wantKind(t, err, domain.NotFound, domain.NoSuchThing)
}

func TestLastAdministratorStays(t *testing.T) {
	t.Parallel()
	h := open(t)
	boss, second := h.add(t, "boss", access.Administrator), h.add(t, "second", access.Administrator, access.Auditor)
	me := h.change(t, boss.Person)
	me.Disabled = true
	_, err := h.ChangePerson(t.Context(), boss, me)
	wantKind(t, err, domain.Invalid, account.CannotDisableMe)

	c := h.change(t, second.Person)
	c.Roles = []string{"auditor"}
	if _, err := h.ChangePerson(t.Context(), boss, c); err != nil {
		t.Fatal(err)
	}
	for name, edit := range map[string]func(*account.ChangePerson){
		"gives the role up": func(c *account.ChangePerson) { c.Roles = []string{"auditor"} },
		"is disabled":       func(c *account.ChangePerson) { c.Disabled = true },
	} {
		c := h.change(t, boss.Person)
		edit(&c)
		_, err := h.ChangePerson(t.Context(), system, c)
		if wantKind(t, err, domain.Invalid, person.LastAdmin); t.Failed() {
			t.Fatalf("the last administrator %s", name)
		}
	}
	// A disabled administrator does not count, one with other changes stays one.
	c = h.change(t, second.Person)
	c.Roles, c.Disabled = []string{"administrator"}, true
	if _, err := h.ChangePerson(t.Context(), boss, c); err != nil {
		t.Fatal(err)
	}
	c = h.change(t, boss.Person)
	c.Roles = []string{"auditor"}
	_, err = h.ChangePerson(t.Context(), boss, c)
	wantKind(t, err, domain.Invalid, person.LastAdmin)
	c = h.change(t, boss.Person)
	c.Name = "The Boss"
	if _, err := h.ChangePerson(t.Context(), boss, c); err != nil {
		t.Error(err)
	}
}

// Two administrators who take the role from each other at the same instant.
func TestAdministratorsDoNotDisableEachOther(t *testing.T) {
	t.Parallel()
	h := open(t)
	for round := range 5 {
		a := h.add(t, "a"+strings.Repeat("x", round), access.Administrator)
		b := h.add(t, "b"+strings.Repeat("x", round), access.Administrator)
		h.exec(t, "UPDATE person SET roles = '{auditor}' WHERE id NOT IN ($1, $2)", a.Person, b.Person)
		commands := []account.ChangePerson{h.change(t, a.Person), h.change(t, b.Person)}
		errs := make([]error, 2)
		var all sync.WaitGroup
		for i, by := range []access.Actor{b, a} {
			commands[i].Disabled = true
			all.Go(func() { _, errs[i] = h.ChangePerson(background, by, commands[i]) })
		}
		all.Wait()
		if (errs[0] == nil) == (errs[1] == nil) {
			t.Errorf("round %d: %v; %v", round, errs[0], errs[1])
		}
		if n := one[int](t, h, "SELECT count(*) FROM person WHERE 'administrator' = any(roles) AND disabled_at IS NULL"); n != 1 {
			t.Errorf("round %d: %d administrators", round, n)
		}
	}
}

func TestSetPassword(t *testing.T) {
	t.Parallel()
	h := open(t)
	boss, ida := h.add(t, "boss", access.Administrator), h.add(t, "ida", access.Technician)
	here, there := h.in(t, "ida"), h.in(t, "ida")
	c := account.SetPassword{Operation: storetest.Operation(), ID: ida.Person, Present: "wrong horse 7", Password: "new horse 77"}
	_, err := h.SetPassword(t.Context(), here.Actor, c)
	wantKind(t, err, domain.Invalid, account.PasswordWrong)
	c.Present = password
	w, err := h.SetPassword(t.Context(), here.Actor, c)
	if err != nil {
		t.Fatal(err)
	}
	if h.state(t, here) != account.Open || h.state(t, there) != account.Revoked {
		t.Errorf("this session %d, the other %d", h.state(t, here), h.state(t, there))
	}
	if again, err := h.SetPassword(t.Context(), here.Actor, c); err != nil || again != w {
		t.Errorf("sent twice, when the present password is the new one: %+v, %v", again, err)
	}
	if n := one[int](t, h, "SELECT count(*) FROM audit.event WHERE payload LIKE '%person.set-password%'"); n != 1 {
		t.Errorf("%d events", n)
	}
	if _, err := h.try(t, "ida", password, "192.0.2.1", ""); domain.KindOf(err) != domain.Unauthenticated {
		t.Errorf("the old one: %v", err)
	}
	if _, err := h.try(t, "ida", "new horse 77", "192.0.2.1", ""); err != nil {
		t.Errorf("the new one: %v", err)
	}

	// An administrator needs no present password, and ends all sessions.
	if _, err := h.SetPassword(t.Context(), boss, account.SetPassword{Operation: storetest.Operation(), ID: ida.Person, Password: "third horse 7"}); err != nil {
		t.Fatal(err)
	}
	if h.state(t, here) != account.Revoked {
		t.Errorf("after the administrator's: %d", h.state(t, here))
	}
	// Neither does the administrator's right spare their own present password.
	_, err = h.SetPassword(t.Context(), boss, account.SetPassword{Operation: storetest.Operation(), ID: boss.Person, Password: "third horse 7"})
	wantKind(t, err, domain.Invalid, account.PasswordWrong)
	for password, want := range map[string]string{"short": "password person.password-short", "ida ida": "password person.password-short", "1234567890": "password person.password-common"} {
		_, err := h.SetPassword(t.Context(), boss, account.SetPassword{Operation: storetest.Operation(), ID: ida.Person, Password: password})
		if domain.KindOf(err) != domain.Invalid {
			t.Errorf("%q: %v", password, err)
		}
		if got := faultNames(err); !slices.Contains(got, want) {
			t.Errorf("%q: %v", password, got)
		}
	}
	_, err = h.SetPassword(t.Context(), boss, account.SetPassword{Operation: storetest.Operation(), ID: domain.NewID[domain.PersonKind](storetest.IDs()), Password: password})
	wantKind(t, err, domain.NotFound, domain.NoSuchThing)
}

// An open session on a borrowed phone is no place to guess the password.
func TestPresentPasswordIsThrottled(t *testing.T) {
	t.Parallel()
	h := open(t)
	h.add(t, "ida", access.Technician)
	in := h.in(t, "ida")
	waited := false
	for range 8 {
		_, err := h.SetPassword(t.Context(), in.Actor, account.SetPassword{Operation: storetest.Operation(), ID: in.Actor.Person, Present: "wrong horse 7", Password: "new horse 77"})
		switch domain.KindOf(err) {
		case domain.Throttled:
			waited = true
		case domain.Invalid:
		default:
			t.Fatalf("got %v", err)
		}
	}
	if !waited {
		t.Error("eight guesses and no wait")
	}
}

func TestHistoryOfAPersonNamesNobody(t *testing.T) {
	t.Parallel()
	h := open(t)
	ida := h.add(t, "ida", access.Technician)
	c := h.change(t, ida.Person)
	c.Name, c.Roles = "Ida Brandt", []string{"auditor"}
	if _, err := h.ChangePerson(t.Context(), system, c); err != nil {
		t.Fatal(err)
	}
	if n := one[int](t, h, "SELECT count(*) FROM audit.event WHERE payload ~* 'brandt|person ida|\"ida\"'"); n != 0 {
		t.Errorf("%d events hold a name", n)
	}
	list, err := h.store.Trail(t.Context(), &audit.Subject{Kind: audit.Person, ID: ida.Person.String()}, 0, 10)
	if err != nil || len(list) != 2 {
		t.Fatalf("%v, %v", list, err)
	}
	got := map[string]string{}
	for _, f := range list[0].Event.Changes[0].Fields {
		before, _ := list[0].Text(f.Before)
		after, _ := list[0].Text(f.After)
		got[f.Name] = before + " → " + after
	}
	if len(got) != 2 || got["name"] != "Person ida → Ida Brandt" || got["roles"] != "technician → auditor" {
		t.Errorf("%v", got)
	}
}
