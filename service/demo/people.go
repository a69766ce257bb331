package demo

import (
	"context"
	"slices"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/service/account"
)

// Person is one of the invented people, who all have the one Password.
type Person struct {
	Login, Name string
	Role        access.Role
}

// people has one person for each role, and a second technician: nobody of them can do
// another's work, so that the rules show.
var people = []Person{
	{"orla", "Orla Fenwick", access.Administrator},
	{"tomas", "Tomas Reedley", access.Coordinator},
	{"mirela", "Mirela Tidewell", access.Technician},
	{"bram", "Bram Oosterlee", access.Approver},
	{"yusuf", "Yusuf Calder", access.Auditor},
	{"ines", "Ines Harrowgate", access.Technician},
}

// The people by their places in people.
const (
	orla = iota
	tomas
	mirela
	bram
	yusuf
	ines
)

// People returns the people who can log in, in the order of the roles.
func People() []Person {
	list := slices.Clone(people)
	slices.SortStableFunc(list, func(a, b Person) int {
		return slices.Index(access.Roles, a.Role) - slices.Index(access.Roles, b.Role)
	})
	return list
}

// as is the person as an actor.
func as(i int) access.Actor {
	return access.Actor{Person: idOf[domain.PersonKind](personRow, i), Roles: []access.Role{people[i].Role}}
}

func (l *load) people(ctx context.Context) error {
	for i, p := range people {
		_, err := l.Account.AddPerson(ctx, actor, account.AddPerson{
			Operation: operation(personWrite, i), ID: idOf[domain.PersonKind](personRow, i),
			Login: p.Login, Name: p.Name, Roles: []string{string(p.Role)}, Password: Password,
		})
		if err != nil {
			return err
		}
	}
	first, err := l.Account.Person(ctx, actor, idOf[domain.PersonKind](personRow, 0))
	l.founded = first.CreatedAt
	return err
}
