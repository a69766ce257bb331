package agreeing_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"rillmark/domain"
)

// TestLapsingIsWhatNothingFollows looks for authorisations that end between two times.
func TestLapsingIsWhatNothingFollows(t *testing.T) {
	b := newTable(t)
	people := map[string]domain.PersonID{}
	for i, login := range []string{"soon", "later", "renewed", "endless", "gone", "past"} {
		people[login] = newID[domain.PersonKind]()
		b.sql(fmt.Sprintf(`INSERT INTO person (id, login, name, roles, version, created_at, changed_at) VALUES ('%s', '%s', 'P %d', '{technician}', 1, now(), now())`, people[login], login, i))
	}
	until := func(login, from, to string) {
		t.Helper()
		b.sql(fmt.Sprintf(`INSERT INTO authorisation (id, person_id, method_id, act, during, ground, version, created_at, changed_at)
			VALUES ('%s', '%s', '%s', 'perform', tstzrange('%s', %s), 'trained', 1, now(), now())`, newID[domain.AuthorisationKind](), people[login], b.method, from, to))
	}
	until("later", "2026-01-01", "'2026-12-20Z'")
	until("soon", "2026-01-01", "'2026-12-10Z'")
	until("renewed", "2026-01-01", "'2026-12-10Z'")
	until("renewed", "2026-12-10Z", "'2027-12-10Z'")
	until("endless", "2026-01-01", "NULL")
	until("gone", "2026-01-01", "'2026-12-10Z'")
	until("past", "2025-01-01", "'2026-06-01Z'")
	b.sql("UPDATE person SET disabled_at = now() WHERE login = 'gone'")
	since, before := time.Date(2026, 11, 1, 0, 0, 0, 0, time.UTC), time.Date(2026, 12, 31, 0, 0, 0, 0, time.UTC)
	found := func(of domain.PersonID, limit int) string {
		t.Helper()
		list, err := b.Lapsing(t.Context(), actor, of, since, before, limit)
		b.must(err)
		var names []string
		for _, z := range list {
			for login, id := range people {
				if id == z.PersonID {
					names = append(names, login)
				}
			}
		}
		return strings.Join(names, " ")
	}
	for _, row := range []struct {
		of    domain.PersonID
		limit int
		want  string
	}{{domain.PersonID{}, 10, "soon later"}, {domain.PersonID{}, 1, "soon"}, {people["later"], 10, "later"}, {people["renewed"], 10, ""}} {
		if got := found(row.of, row.limit); got != row.want {
			t.Errorf("found %q, want %q", got, row.want)
		}
	}
}
