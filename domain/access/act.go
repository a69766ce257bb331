package access

import (
	"slices"

	"rillmark/domain"
)

// Act is something that can be done, and so a rule that a route names. The zero value
// is no act and is allowed to nobody.
type Act string

// The acts. Public needs no login; SignedIn needs a login and no role.
const (
	Public       Act = "public"
	SignedIn     Act = "signed-in"
	SeeRegister  Act = "see-register"
	ChangeClient Act = "change-client"
	ChangeSite   Act = "change-site"
	ChangePoint  Act = "change-point"
	SeePeople    Act = "see-people"
	ManagePeople Act = "manage-people"
	SeeAudit     Act = "see-audit"

	ChangeMeter     Act = "change-meter" // meters, their indications, and where they are
	SeeKit          Act = "see-kit"
	ChangeKit       Act = "change-kit" // items, calibrations, sets
	SeeMethods      Act = "see-methods"
	ChangeMethod    Act = "change-method"
	Authorise       Act = "authorise" // say who may do what by a method
	ChangeAgreement Act = "change-agreement"
	SeePlan         Act = "see-plan"
	ChangePlan      Act = "change-plan" // visits, crews, bookings, tasks
	StepVisit       Act = "step-visit"  // note what happened to a visit; WorkOnSite and SendBack say which
	WorkOnSite      Act = "work-on-site"
	SendBack        Act = "send-back"

	SeeSheet  Act = "see-sheet"  // a task's work sheet
	FillSheet Act = "fill-sheet" // whether the technician is of the visit's crew is looked at besides

	Judge           Act = "judge" // approve an evaluation or send it back; own work and authorisation are looked at besides
	Issue           Act = "issue" // prepare, issue, withdraw
	SeeCertificates Act = "see-certificates"
)

// rules names the roles that may do an act. Public and SignedIn are not here.
var rules = map[Act][]Role{
	SeeRegister:  {Administrator, Coordinator, Technician, Approver, Auditor},
	ChangeClient: {Coordinator},
	ChangeSite:   {Coordinator},
	ChangePoint:  {Coordinator, Technician},
	SeePeople:    {Administrator, Coordinator, Auditor},
	ManagePeople: {Administrator},
	SeeAudit:     {Administrator, Approver, Auditor},

	ChangeMeter:     {Coordinator, Technician},
	SeeKit:          {Administrator, Coordinator, Technician, Approver, Auditor},
	ChangeKit:       {Coordinator},
	SeeMethods:      {Administrator, Coordinator, Technician, Approver, Auditor},
	ChangeMethod:    {Approver},
	Authorise:       {Administrator},
	ChangeAgreement: {Coordinator},
	SeePlan:         {Administrator, Coordinator, Technician, Approver, Auditor},
	ChangePlan:      {Coordinator},
	StepVisit:       {Coordinator, Technician, Approver},
	WorkOnSite:      {Coordinator, Technician},
	SendBack:        {Coordinator, Approver},

	SeeSheet:  {Administrator, Coordinator, Technician, Approver, Auditor},
	FillSheet: {Technician},

	Judge:           {Approver},
	Issue:           {Approver},
	SeeCertificates: {Administrator, Coordinator, Technician, Approver, Auditor},
}

// Acts returns every act, for tests and for the page that lists who may do what.
func Acts() []Act {
	acts := []Act{Public, SignedIn}
	for a := range rules {
		acts = append(acts, a)
	}
	slices.Sort(acts)
	return acts
}

// Allowed reports whether the actor may do the act.
func Allowed(a Actor, act Act) bool {
	if act == Public {
		return true
	}
	if a.Nobody() {
		return false
	}
	roles, known := rules[act]
	if a.System != "" && !a.Person.Valid() {
		return known || act == SignedIn
	}
	return act == SignedIn || slices.ContainsFunc(roles, a.Has)
}

// May is Allowed as an error: Unauthenticated for nobody, Forbidden for the others.
func May(a Actor, act Act) error {
	switch {
	case Allowed(a, act):
		return nil
	case a.Nobody():
		return domain.Refuse(domain.Unauthenticated, domain.NotLoggedIn.At(""))
	default:
		return domain.Refuse(domain.Forbidden, domain.NotAllowed.At(""))
	}
}
