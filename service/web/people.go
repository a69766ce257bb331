package web

import (
	"net/http"
	"net/url"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/person"
	"rillmark/service/account"
	"rillmark/service/web/part"
)

func (w *Web) people(x *exchange) error {
	all, err := w.Accounts.People(x.ctx(), x.actor)
	if err != nil {
		return err
	}
	p := listPage{base: x.base(part.Heading{Title: x.text("people.title"), Lead: x.text("people.lead")}), Empty: x.text("people.none")}
	for _, who := range all {
		row := part.Row{Href: "/people/" + who.ID.String(), Name: who.Name, More: x.roles(who.Roles), Much: who.Login}
		if who.DisabledAt != nil {
			row.Much = x.text("person.disabled")
		}
		p.Rows = append(p.Rows, row)
	}
	if access.Allowed(x.actor, access.ManagePeople) {
		p.Add = &part.Button{Deed: x.text("people.add"), Href: "/people/new"}
	}
	return x.page(http.StatusOK, "people", p)
}

type personPage struct {
	thingPage
	Sessions []sessionLine
	EndAt    string // where ending sessions is posted; empty: not for this actor
	EndAll   string
}

func (w *Web) person(x *exchange) error {
	who, err := x.pathPerson()
	if err != nil {
		return err
	}
	here := "/people/" + who.ID.String()
	p := personPage{thingPage: thingPage{
		base: x.base(part.Heading{Trail: []part.Link{{Href: "/people", Words: x.text("people.title")}}, Title: who.Name, Lead: x.roles(who.Roles)}),
		Facts: []part.Fact{{Word: x.text("label.person.login"), Text: who.Login},
			{Word: x.text("label.person.roles"), Text: x.roles(who.Roles)}, {Word: x.text("person.since"), Text: x.when(who.CreatedAt)}},
		History: part.Link{Href: here + "/history", Words: x.text("history.link")},
	}}
	if who.DisabledAt != nil {
		p.Facts = append(p.Facts, part.Fact{Word: x.text("label.person.disabled_at"), Text: x.when(*who.DisabledAt)})
	}
	if access.Allowed(x.actor, access.ManagePeople) {
		p.Acts = []part.Button{{Deed: x.text("person.change"), Href: here + "/change"},
			{Deed: x.text("person.set-password"), Href: here + "/password", Second: true}}
		p.EndAt, p.EndAll = here+"/sessions", x.text("sessions.end-all")
		if p.Sessions, err = x.sessions(who.ID); err != nil {
			return err
		}
	}
	return x.page(http.StatusOK, "person", p)
}

func (x *exchange) pathPerson() (person.Person, error) {
	id, err := pathID[domain.PersonKind](x, "person", "person")
	if err != nil {
		return person.Person{}, err
	}
	return x.Accounts.Person(x.ctx(), x.actor, id)
}

func personFields(roles []part.Option) []field {
	return []field{
		{name: "name", label: "label.person.name", required: true},
		{name: "login", label: "label.person.login", hint: "hint.person.login", required: true},
		{name: "roles", label: "label.person.roles", options: roles, several: true, open: true},
	}
}

func (x *exchange) roleOptions() []part.Option {
	options := make([]part.Option, len(access.Roles))
	for i, r := range access.Roles {
		options[i] = part.Option{Value: string(r), Words: x.text("role." + string(r)), More: x.text("role-more." + string(r))}
	}
	return options
}

func passwordField(label, name string) field {
	return field{name: name, label: label, hint: "hint.password", kind: part.Password, required: true, complete: "new-password"}
}

func (x *exchange) addPersonForm() entry {
	return entry{heading: part.Heading{Trail: []part.Link{{Href: "/people", Words: x.text("people.title")}}, Title: x.text("person.add-title")},
		action: "/people", fields: append(personFields(x.roleOptions()), passwordField("label.person.first-password", "password")),
		hidden: []string{"operation", "id"}, deed: x.text("person.add"), back: part.Link{Href: "/people", Words: x.text("entry.back")}}
}

func (w *Web) newPerson(x *exchange) error { return x.show(x.addPersonForm(), x.ids(true)) }

func (w *Web) addPerson(x *exchange) error {
	var c account.AddPerson
	form, err := x.bind(&c)
	var done account.Written
	if err == nil {
		done, err = w.Accounts.AddPerson(x.ctx(), x.actor, c)
	}
	if err != nil {
		return x.refuse(x.addPersonForm(), form, err)
	}
	return x.done("/people/"+done.ID, "person.added", http.StatusCreated, done)
}

// personCommand is the command that would leave the person as they are.
func personCommand(p person.Person) *account.ChangePerson {
	return &account.ChangePerson{ID: p.ID, Version: p.Version, Login: p.Login, Name: p.Name, Roles: p.Roles, Disabled: p.DisabledAt != nil}
}

func (x *exchange) changePersonForm(who person.Person) entry {
	here := "/people/" + who.ID.String()
	standing := []part.Option{{Value: "", Words: x.text("person.enabled")}, {Value: "yes", Words: x.text("person.disabled"), More: x.text("person.disabled-more")}}
	return entry{heading: part.Heading{Trail: []part.Link{{Href: here, Words: who.Name}}, Title: x.text("person.change-title")},
		action: here, fields: append(personFields(x.roleOptions()), field{name: "disabled", label: "label.person.disabled", options: standing, open: true}),
		hidden: []string{"operation", "version"}, deed: x.text("entry.save"), back: part.Link{Href: here, Words: x.text("entry.back")},
		stored: func(current any) url.Values { return formOf(personCommand(current.(person.Person))) },
		changed: func(current any) string {
			return x.changedBy(audit.Subject{Kind: audit.Person, ID: who.ID.String()}, current.(person.Person).Version)
		}}
}

func (w *Web) editPerson(x *exchange) error {
	who, err := x.pathPerson()
	if err != nil {
		return err
	}
	return x.show(x.changePersonForm(who), merged(formOf(personCommand(who)), x.ids(false)))
}

func (w *Web) changePerson(x *exchange) error {
	who, err := x.pathPerson()
	if err != nil {
		return err
	}
	var c account.ChangePerson
	form, err := x.bind(&c)
	var done account.Written
	if err == nil {
		c.ID = who.ID
		done, err = w.Accounts.ChangePerson(x.ctx(), x.actor, c)
	}
	if err != nil {
		return x.refuse(x.changePersonForm(who), form, err)
	}
	return x.done("/people/"+done.ID, "person.changed", http.StatusOK, done)
}

func (w *Web) personHistory(x *exchange) error {
	who, err := x.pathPerson()
	if err != nil {
		return err
	}
	here := "/people/" + who.ID.String()
	return x.history(here, []part.Link{{Href: here, Words: who.Name}}, audit.Subject{Kind: audit.Person, ID: who.ID.String()})
}
