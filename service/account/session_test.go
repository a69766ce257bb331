package account_test

import (
	"strings"
	"testing"
	"time"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/service/account"
)

// age makes a session older than it is.
func (h house) age(t *testing.T, id domain.SessionID, by time.Duration) {
	t.Helper()
	h.exec(t, `UPDATE session SET created_at = created_at - $2::interval, seen_at = seen_at - $2::interval,
		idle_until = idle_until - $2::interval, ends_at = ends_at - $2::interval WHERE id = $1`, id, by)
}

func TestSessionEnds(t *testing.T) {
	t.Parallel()
	h := open(t)
	h.add(t, "ida", access.Technician)
	for name, c := range map[string]struct {
		idle, age time.Duration // since it was last seen, and before that
		want      account.State
	}{
		"at once":                        {0, 0, account.Open},
		"before the idle limit":          {account.IdleLimit - time.Minute, 0, account.Open},
		"at the idle limit":              {account.IdleLimit, 0, account.Expired},
		"in use, before its end":         {0, account.SessionLimit - time.Minute, account.Open},
		"in use, at its end":             {0, account.SessionLimit, account.Expired},
		"in use yesterday, at its end":   {account.IdleLimit - time.Hour, account.SessionLimit, account.Expired},
		"a long time after, and is told": {365 * 24 * time.Hour, 0, account.Expired},
	} {
		in := h.in(t, "ida")
		h.age(t, in.Actor.Session, c.age)
		h.exec(t, "UPDATE session SET seen_at = now(), idle_until = now() + $2::interval WHERE id = $1", in.Actor.Session, account.IdleLimit)
		h.exec(t, "UPDATE session SET seen_at = seen_at - $2::interval, idle_until = idle_until - $2::interval WHERE id = $1", in.Actor.Session, c.idle)
		v, err := h.Visitor(t.Context(), in.Session)
		if err != nil || v.State != c.want {
			t.Errorf("%s: state %d, %v, want %d", name, v.State, err, c.want)
		}
		if v.Person.ID != in.Actor.Person {
			t.Errorf("%s: whose it was is not known", name)
		}
		if v.State != account.Open && !v.Actor().Nobody() {
			t.Errorf("%s: it still acts as %s", name, v.Actor().Name())
		}
	}
}

// Being seen puts the idle limit off, but only once a minute, and never the end.
func TestBeingSeenPutsTheIdleLimitOff(t *testing.T) {
	t.Parallel()
	h := open(t)
	h.add(t, "ida", access.Technician)
	in := h.in(t, "ida")
	idle := func() time.Duration {
		return time.Duration(one[float64](t, h, "SELECT extract(epoch FROM idle_until - clock_timestamp())::float8 FROM session") * float64(time.Second))
	}
	h.age(t, in.Actor.Session, 30*time.Second)
	if h.state(t, in); idle() > account.IdleLimit-29*time.Second {
		t.Error("seen within the minute was written")
	}
	h.age(t, in.Actor.Session, time.Hour)
	if h.state(t, in); idle() < account.IdleLimit-10*time.Second {
		t.Errorf("idle limit in %v", idle())
	}
	if left := one[float64](t, h, "SELECT extract(epoch FROM ends_at - clock_timestamp())::float8 FROM session"); left > (account.SessionLimit - time.Hour).Seconds() {
		t.Errorf("its end moved: %g s left", left)
	}
}

func TestCookiesThatNameNoSession(t *testing.T) {
	t.Parallel()
	h := open(t)
	for name, secret := range map[string]string{"none": "", "another": "x", "nought": "\x00", "broken": "\xff", "endless": strings.Repeat("x", 1<<20)} {
		v, err := h.Visitor(t.Context(), secret)
		if err != nil || v.State != account.Unknown || !v.Actor().Nobody() {
			t.Errorf("%s: %+v, %v", name, v, err)
		}
	}
}

func TestLogoutEndsOneSession(t *testing.T) {
	t.Parallel()
	h := open(t)
	h.add(t, "ida", access.Technician)
	here, there := h.in(t, "ida"), h.in(t, "ida")
	if err := h.Logout(t.Context(), here.Actor); err != nil {
		t.Fatal(err)
	}
	if h.state(t, here) != account.Revoked || h.state(t, there) != account.Open {
		t.Errorf("here %d, there %d", h.state(t, here), h.state(t, there))
	}
	if err := h.Logout(t.Context(), access.Actor{}); err != nil {
		t.Errorf("logout of nobody: %v", err)
	}
}

func TestSessionsAreListedAndRevoked(t *testing.T) {
	t.Parallel()
	h := open(t)
	boss, ida, per := h.add(t, "boss", access.Administrator), h.add(t, "ida", access.Technician), h.add(t, "per", access.Coordinator)
	first, second, third := h.in(t, "ida"), h.in(t, "ida"), h.in(t, "ida")
	pers := h.in(t, "per")

	list, err := h.Sessions(t.Context(), ida, ida.Person)
	if err != nil || len(list) != 3 || list[0].ID != third.Actor.Session || list[2].ID != first.Actor.Session {
		t.Errorf("newest first: %v, %v", list, err)
	}
	if _, err := h.Sessions(t.Context(), per, ida.Person); domain.KindOf(err) != domain.Forbidden {
		t.Errorf("somebody else lists them: %v", err)
	}
	if err := h.Revoke(t.Context(), per, ida.Person, first.Actor.Session); domain.KindOf(err) != domain.Forbidden {
		t.Errorf("somebody else revokes: %v", err)
	}
	// One's own right does not reach another's session through its id.
	if err := h.Revoke(t.Context(), ida, ida.Person, pers.Actor.Session); err != nil || h.state(t, pers) != account.Open {
		t.Errorf("a foreign session by its id: %v", err)
	}
	if err := h.Revoke(t.Context(), second.Actor, ida.Person, first.Actor.Session); err != nil || h.state(t, first) != account.Revoked {
		t.Errorf("one: %v", err)
	}
	if err := h.Revoke(t.Context(), second.Actor, ida.Person, domain.SessionID{}); err != nil || h.state(t, second) != account.Open || h.state(t, third) != account.Revoked {
		t.Errorf("all the others: %v, own %d, other %d", err, h.state(t, second), h.state(t, third))
	}
	if list, err := h.Sessions(t.Context(), boss, ida.Person); err != nil || len(list) != 1 {
		t.Errorf("the administrator sees %v, %v", list, err)
	}
	if err := h.Revoke(t.Context(), boss, ida.Person, domain.SessionID{}); err != nil || h.state(t, second) != account.Revoked {
		t.Errorf("the administrator revokes all: %v", err)
	}
	if h.state(t, pers) != account.Open {
		t.Error("another person's session was ended")
	}
}

func TestDisablingEndsTheSessions(t *testing.T) {
	t.Parallel()
	h := open(t)
	boss, ida := h.add(t, "boss", access.Administrator), h.add(t, "ida", access.Technician)
	in := h.in(t, "ida")
	c := h.change(t, ida.Person)
	c.Disabled = true
	if _, err := h.ChangePerson(t.Context(), boss, c); err != nil {
		t.Fatal(err)
	}
	if h.state(t, in) != account.Disabled {
		t.Errorf("state %d", h.state(t, in))
	}
	c = h.change(t, ida.Person)
	c.Disabled = false
	if _, err := h.ChangePerson(t.Context(), boss, c); err != nil {
		t.Fatal(err)
	}
	if h.state(t, in) != account.Revoked {
		t.Errorf("enabled again, the old session is %d", h.state(t, in))
	}
}
