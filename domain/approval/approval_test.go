package approval_test

import (
	"testing"

	"github.com/google/uuid"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/approval"
)

func person(n byte) domain.PersonID {
	u := uuid.MustParse("0190aaaa-0000-7000-8000-000000000000")
	u[15] = n
	return domain.PersonID{UUID: u}
}

func TestMay(t *testing.T) {
	whole := approval.Ground{Contributors: []domain.PersonID{person(2), person(3)}, Method: "RM-1", Authorised: true, Judged: "a", Now: "a"}
	for name, c := range map[string]struct {
		by     access.Actor
		change func(*approval.Ground)
		kind   domain.Kind
		code   *fault.Code
	}{
		"a second person":           {by: access.Actor{Person: person(1)}},
		"who contributed":           {by: access.Actor{Person: person(3)}, kind: domain.Forbidden, code: approval.OwnWork},
		"the program":               {by: access.System("demo"), kind: domain.Forbidden, code: approval.NotAPerson},
		"nobody":                    {kind: domain.Forbidden, code: approval.NotAPerson},
		"without an authorisation":  {by: access.Actor{Person: person(1)}, change: func(g *approval.Ground) { g.Authorised = false }, kind: domain.Forbidden, code: approval.NotAuthorised},
		"with a fact that is newer": {by: access.Actor{Person: person(1)}, change: func(g *approval.Ground) { g.Now = "b" }, kind: domain.Stale, code: approval.FactsNewer},
		"a second time":             {by: access.Actor{Person: person(1)}, change: func(g *approval.Ground) { g.Approved = true }, kind: domain.Taken, code: approval.Done},
	} {
		g := whole
		if c.change != nil {
			c.change(&g)
		}
		err := approval.May(c.by, g)
		if c.code == nil {
			if err != nil {
				t.Errorf("%s: %v", name, err)
			}
			continue
		}
		if !fault.Has(err, c.code) || domain.KindOf(err) != c.kind {
			t.Errorf("%s: %v", name, err)
		}
	}
}
