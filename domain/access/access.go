// Package access says who may do what: roles, actors and one table of acts. The rules
// are pure functions of the actor and the act; whether a thing exists, or whose it is,
// is not decided here.
package access

import (
	"slices"

	"rillmark/domain"
)

// Role is what a person is in the company; a person may have several. The zero value is
// no role and allows nothing.
type Role string

// The roles.
const (
	Administrator Role = "administrator" // people, roles, backups, upgrades
	Coordinator   Role = "coordinator"   // clients, agreements, visits, crews and kit
	Technician    Role = "technician"    // the work at the pipe
	Approver      Role = "approver"      // judges the work and issues
	Auditor       Role = "auditor"       // reads everything, changes nothing
)

// Roles are all roles in the order in which they are shown.
var Roles = []Role{Administrator, Coordinator, Technician, Approver, Auditor}

// Known reports whether r is one of Roles.
func (r Role) Known() bool { return slices.Contains(Roles, r) }

// Actor is who acts: a person who is logged in, or the program itself under a name
// ("command-line", "demo"). The zero value is nobody.
type Actor struct {
	Person  domain.PersonID
	Session domain.SessionID
	Roles   []Role
	System  string
}

// System is the program as an actor; it may do everything, and the trail names it.
func System(name string) Actor { return Actor{System: name} }

// Nobody reports that no one acts.
func (a Actor) Nobody() bool { return !a.Person.Valid() && a.System == "" }

// Name is what the audit trail calls the actor: "person:ID" or "system:NAME".
func (a Actor) Name() string {
	switch {
	case a.Person.Valid():
		return "person:" + a.Person.String()
	case a.System != "":
		return "system:" + a.System
	}
	return ""
}

// Has reports whether the actor has the role.
func (a Actor) Has(r Role) bool { return slices.Contains(a.Roles, r) }
