package access_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/uuid"

	"rillmark/domain"
	"rillmark/domain/access"
)

// who is the table of who may do what, apart from the code that decides it: a letter for
// each role that may (administrator, coordinator, technician, aPprover, aUditor), and why
// those and no others.
var who = map[access.Act]struct{ may, because string }{
	access.Public:   {"everybody", "no login is needed: the door itself, and what anyone may check"},
	access.SignedIn: {"ACTPU", "one's own sessions, password and kept forms are everyone's"},

	access.SeeRegister:  {"ACTPU", "nobody can work without knowing where"},
	access.ChangeClient: {"C", "the coordinator agrees with the client; one hand keeps names and contacts in order"},
	access.ChangeSite:   {"C", "as for the client"},
	access.ChangePoint:  {"CT", "the technician finds the point, and finds it other than described"},
	access.ChangeMeter:  {"CT", "the technician reads the nameplate and sees meters exchanged"},
	access.SeePeople:    {"ACU", "to run accounts, to make up crews, to know who acted; nobody else needs the list"},
	access.ManagePeople: {"A", "whoever gives roles could give themselves any; so none of those who do the work"},
	access.SeeAudit:     {"APU", "who approves and who audits trace a number back; the administrator runs the check"},

	access.SeeKit:          {"ACTPU", "each part of the work rests on the kit"},
	access.ChangeKit:       {"C", "one hand keeps items and calibrations in order"},
	access.SeeMethods:      {"ACTPU", "the work is done, judged and audited by the method"},
	access.ChangeMethod:    {"P", "who answers for the result answers for the method"},
	access.Authorise:       {"A", "an approver who could authorise would authorise themselves"},
	access.ChangeAgreement: {"C", "the coordinator agrees with the client"},
	access.SeePlan:         {"ACTPU", "who is where when concerns everyone"},
	access.ChangePlan:      {"C", "one hand books crews and kit"},
	access.StepVisit:       {"CTP", "each notes the step that is theirs"},
	access.WorkOnSite:      {"CT", "the crew's; the coordinator stands in for a crew without signal"},
	access.SendBack:        {"CP", "the approver finds something missing, or the client does and tells the coordinator"},

	access.SeeSheet:  {"ACTPU", "what was observed is what all the rest stands on"},
	access.FillSheet: {"T", "only who was at the pipe writes down what was seen; whether of the visit's crew is looked at besides"},

	access.Judge:           {"P", "a second person who answers for the result; whose own work it is may not, and that is looked at besides"},
	access.Issue:           {"P", "what was judged is stated by who judges; the coordinator hands it on"},
	access.SeeCertificates: {"ACTPU", "what the company has stated concerns all who work on it"},
}

var letters = map[access.Role]string{access.Administrator: "A", access.Coordinator: "C", access.Technician: "T", access.Approver: "P", access.Auditor: "U"}

func ids() uuid.UUID { return uuid.MustParse("0190aaaa-0000-7000-8000-000000000001") }

func person(roles ...access.Role) access.Actor {
	return access.Actor{Person: domain.NewID[domain.PersonKind](ids), Roles: roles}
}

func TestEveryActForEveryRole(t *testing.T) {
	for _, act := range access.Acts() {
		rule, known := who[act]
		if !known {
			t.Errorf("%s: write into this test's table who may do it, and why those", act)
			continue
		}
		if rule.because == "" {
			t.Errorf("%s: no reason", act)
		}
		public := rule.may == "everybody"
		for _, role := range access.Roles {
			want := public || strings.Contains(rule.may, letters[role])
			if got := access.Allowed(person(role), act); got != want {
				t.Errorf("%s by %s: %v, but the table says %v because %s", act, role, got, want, rule.because)
			}
			err := access.May(person(role), act)
			if (err == nil) != want || (!want && domain.KindOf(err) != domain.Forbidden) {
				t.Errorf("%s by %s: %v", act, role, err)
			}
		}
		if got := access.Allowed(person(), act); got != (public || act == access.SignedIn) {
			t.Errorf("%s by a person without a role: %v", act, got)
		}
		if got := access.Allowed(person(access.Roles...), act); !got {
			t.Errorf("%s: not even with all roles", act)
		}
		if got := access.Allowed(access.System("test"), act); !got {
			t.Errorf("%s: not by the program", act)
		}
		if err := access.May(access.Actor{}, act); (err == nil) != public || (!public && domain.KindOf(err) != domain.Unauthenticated) {
			t.Errorf("%s by nobody: %v", act, err)
		}
	}
	for act := range who {
		if !slices.Contains(access.Acts(), act) {
			t.Errorf("%s is in this test's table and no act any more", act)
		}
	}
}

func TestWhatIsNoAct(t *testing.T) {
	for _, act := range []access.Act{"", "see-everything"} {
		for name, a := range map[string]access.Actor{"all roles": person(access.Roles...), "the program": access.System("test"), "nobody": {}} {
			if access.Allowed(a, act) {
				t.Errorf("%q is allowed to %s", act, name)
			}
		}
	}
}

func TestRoleThatIsNone(t *testing.T) {
	for _, act := range access.Acts() {
		if a := person("", "captain", "Administrator"); access.Allowed(a, act) != (act == access.Public || act == access.SignedIn) {
			t.Errorf("%s is allowed to an unknown role", act)
		}
	}
	for _, r := range access.Roles {
		if !r.Known() {
			t.Errorf("%s is not known", r)
		}
	}
	if access.Role("").Known() || access.Role("captain").Known() {
		t.Error("an unknown role is known")
	}
}

func TestActorsName(t *testing.T) {
	for name, c := range map[string]struct {
		actor  access.Actor
		want   string
		nobody bool
	}{
		"a person":                    {person(), "person:0190aaaa-0000-7000-8000-000000000001", false},
		"the program":                 {access.System("demo"), "system:demo", false},
		"nobody":                      {access.Actor{}, "", true},
		"roles without a person":      {access.Actor{Roles: access.Roles}, "", true},
		"a person is no program":      {access.Actor{Person: person().Person, System: "x"}, "person:0190aaaa-0000-7000-8000-000000000001", false},
		"an id that is no version 7":  {access.Actor{Person: domain.PersonID{UUID: uuid.Max}}, "", true},
		"roles of nobody help nobody": {access.Actor{Roles: []access.Role{access.Administrator}}, "", true},
	} {
		if got := c.actor.Name(); got != c.want || c.actor.Nobody() != c.nobody {
			t.Errorf("%s: %q, nobody %v", name, got, c.actor.Nobody())
		}
	}
	// A program's name on a person gives the person no more than their roles.
	if access.Allowed(access.Actor{Person: person().Person, System: "x"}, access.ManagePeople) {
		t.Error("a person passes for the program")
	}
}
