package account_test

import (
	"crypto/rand"
	"errors"
	"slices"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/service/account"
	"rillmark/service/store/storetest"
)

func (h house) log(t *testing.T) []string {
	t.Helper()
	rows, _ := h.db.Connect(t, "").Query(t.Context(), "SELECT event || CASE WHEN person_id IS NULL THEN '' ELSE ' of a person' END FROM security_log ORDER BY id")
	list, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		t.Fatal(err)
	}
	return list
}

func TestLoginLetsThePersonIn(t *testing.T) {
	t.Parallel()
	h := open(t)
	who := h.add(t, "ida", access.Technician, access.Approver)
	for _, login := range []string{"ida", "  IDA ", "Ida"} {
		in, err := h.try(t, login, password, "192.0.2.1", "")
		if err != nil {
			t.Fatalf("%q: %v", login, err)
		}
		if in.Actor.Person != who.Person || !in.Actor.Session.Valid() || !slices.Equal(in.Actor.Roles, []access.Role{access.Technician, access.Approver}) {
			t.Errorf("%q: came in as %+v", login, in.Actor)
		}
		v, err := h.Visitor(t.Context(), in.Session)
		if err != nil || v.State != account.Open || v.Actor().Name() != in.Actor.Name() || v.Person.Name != "Person ida" || v.Session.Agent != "test" {
			t.Errorf("%q: visits as %+v, %v", login, v, err)
		}
		if left := in.Ends.Sub(v.Now); left > account.SessionLimit || left < account.SessionLimit-20e9 {
			t.Errorf("ends in %v", left)
		}
	}
	if got := h.log(t); !slices.Equal(got, []string{"login.ok of a person", "login.ok of a person", "login.ok of a person"}) {
		t.Errorf("log %v", got)
	}
}

// What is wrong is not told: the same answer for a wrong password and an unknown login.
func TestLoginDoesNotTellWhatIsWrong(t *testing.T) {
	t.Parallel()
	h := open(t)
	h.add(t, "ida", access.Technician)
	texts := map[string]bool{}
	for name, c := range map[string][2]string{"wrong password": {"ida", "correct horse 8"}, "no password": {"ida", ""}, "unknown": {"nobody", password},
		"nothing": {"", ""}, "endless password": {"ida", strings.Repeat("x", 1<<20)}, "endless login": {strings.Repeat("x", 1<<20), password},
		"the right one and more": {"ida", password + strings.Repeat(" ", 1000)}, "injected": {"ida' OR '1'='1", password}} {
		_, err := h.try(t, c[0], c[1], "192.0.2."+name, "")
		wantKind(t, err, domain.Unauthenticated, account.LoginWrong)
		texts[err.Error()] = true
	}
	if len(texts) != 1 {
		t.Errorf("different answers: %v", texts)
	}
	_, err := h.try(t, "broken \xff", password, "192.0.2.1", "")
	wantKind(t, err, domain.Unauthenticated, account.LoginWrong)
	_, err = h.try(t, "nought \x00", password, "192.0.2.1", "")
	wantKind(t, err, domain.Invalid, domain.NotUTF8)
	if n := one[int](t, h, "SELECT count(*) FROM session"); n != 0 {
		t.Errorf("%d sessions", n)
	}
}

func TestDisabledPersonIsToldSoWithTheRightPasswordAlone(t *testing.T) {
	t.Parallel()
	h := open(t)
	who := h.add(t, "ida", access.Technician)
	c := h.change(t, who.Person)
	c.Disabled = true
	if _, err := h.ChangePerson(t.Context(), system, c); err != nil {
		t.Fatal(err)
	}
	_, err := h.try(t, "ida", password, "192.0.2.1", "")
	wantKind(t, err, domain.Unauthenticated, account.PersonDisabled)
	_, err = h.try(t, "ida", "correct horse 8", "192.0.2.1", "")
	wantKind(t, err, domain.Unauthenticated, account.LoginWrong)
	c = h.change(t, who.Person)
	c.Disabled = false
	if _, err := h.ChangePerson(t.Context(), system, c); err != nil {
		t.Fatal(err)
	}
	h.in(t, "ida")
	if got := h.log(t); !slices.Equal(got, []string{"login.disabled of a person", "login.failed of a person", "login.ok of a person"}) {
		t.Errorf("log %v", got)
	}
}

func TestSecretsAreKeptAsHashesOnly(t *testing.T) {
	t.Parallel()
	h := open(t)
	h.Service = account.New(account.Config{Store: h.store, IDs: storetest.IDs(), Random: rand.Reader}) // hashing as in earnest
	h.add(t, "ida", access.Technician)
	if stored := one[string](t, h, "SELECT password FROM credential"); !strings.HasPrefix(stored, "$argon2id$v=19$m=19456,t=2,p=1$") {
		t.Errorf("the password is kept as %.40s", stored)
	}
	in := h.in(t, "ida")
	if in.Session == in.Device || len(in.Session) < 40 {
		t.Errorf("secrets %q and %q", in.Session, in.Device)
	}
	rows, _ := h.db.Connect(t, "").Query(t.Context(), `SELECT s::text FROM session s UNION ALL SELECT c::text FROM credential c UNION ALL SELECT d::text FROM login_device d
		UNION ALL SELECT o::text FROM operation o UNION ALL SELECT payload FROM audit.event UNION ALL SELECT l::text FROM security_log l UNION ALL SELECT r::text FROM login_throttle r`)
	list, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil || len(list) < 6 {
		t.Fatalf("%d rows, %v", len(list), err)
	}
	for _, row := range list {
		for _, secret := range []string{in.Session, in.Device, password} {
			if strings.Contains(row, secret) {
				t.Errorf("a secret stands in %s", row)
			}
		}
	}
}

func TestWhatTheBrowserCallsItselfIsCut(t *testing.T) {
	t.Parallel()
	h := open(t)
	h.add(t, "ida", access.Technician)
	in, err := h.Login(t.Context(), account.Attempt{Login: "ida", Password: password, Address: "192.0.2.1", Agent: "a\x00b\n\xff" + strings.Repeat("é", 400)})
	if err != nil {
		t.Fatal(err)
	}
	v, err := h.Visitor(t.Context(), in.Session)
	if err != nil || v.Session.Agent != "ab\ufffd"+strings.Repeat("é", 297) {
		t.Errorf("%q, %v", v.Session.Agent, err)
	}
}

func TestNoRandomnessNoSession(t *testing.T) {
	t.Parallel()
	h := open(t)
	h.add(t, "ida", access.Technician)
	s := account.New(account.Config{Store: h.store, IDs: storetest.IDs(), Random: dry{}})
	if _, err := s.Login(t.Context(), account.Attempt{Login: "ida", Password: password}); !errors.Is(err, errNoRandomness) {
		t.Errorf("got %v", err)
	}
	if n := one[int](t, h, "SELECT count(*) FROM session"); n != 0 {
		t.Errorf("%d sessions", n)
	}
}

// A browser that comes without its secret is a new one each time; the oldest give way.
func TestKnownBrowsersDoNotPileUp(t *testing.T) {
	t.Parallel()
	h := open(t)
	h.add(t, "ida", access.Technician)
	owner := h.db.Connect(t, "")
	if _, err := owner.Exec(t.Context(), `INSERT INTO login_device (token, person_id, created_at)
		SELECT sha256(int4send(n)), (SELECT id FROM person WHERE login = 'ida'), now() - n * interval '1 day' FROM generate_series(1, 60) AS n`); err != nil {
		t.Fatal(err)
	}
	h.in(t, "ida")
	var kept, old int
	if err := owner.QueryRow(t.Context(), "SELECT count(*), count(*) FILTER (WHERE created_at < now() - interval '49.5 days') FROM login_device").Scan(&kept, &old); err != nil || kept != 50 || old != 0 {
		t.Errorf("%d known browsers are kept, %d of them too old, %v", kept, old, err)
	}
}
