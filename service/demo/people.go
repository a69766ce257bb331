package demo

import "rillmark/domain/access"

// Person is one of the invented people, who all have the one Password.
type Person struct {
	Login, Name string
	Role        access.Role
}

// people has one person for each role: nobody of them can do another's work, so that the
// rules show.
var people = []Person{
	{"orla", "Orla Fenwick", access.Administrator},
	{"tomas", "Tomas Reedley", access.Coordinator},
	{"mirela", "Mirela Tidewell", access.Technician},
	{"bram", "Bram Oosterlee", access.Approver},
	{"yusuf", "Yusuf Calder", access.Auditor},
}

// People returns the people who can log in, in the order of the roles.
func People() []Person { return append([]Person(nil), people...) }
