package web

import (
	"net/http"
	"net/url"
	"slices"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/method"
	"rillmark/service/agreeing"
	"rillmark/service/web/part"
)

// pathAuthorisation reads the authorisation of the path and its method.
func (x *exchange) pathAuthorisation() (z agreeing.AuthorisationRow, m method.Method, err error) {
	id, err := pathID[domain.AuthorisationKind](x, "authorisation", "authorisation")
	if err != nil {
		return z, m, err
	}
	if z, err = x.Agreeing.Authorisation(x.ctx(), x.actor, id); err != nil {
		return z, m, err
	}
	m, err = x.Agreeing.Method(x.ctx(), x.actor, z.MethodID)
	return z, m, err
}

func (w *Web) authorisation(x *exchange) error {
	z, m, err := x.pathAuthorisation()
	if err != nil {
		return err
	}
	here := "/authorisations/" + z.ID.String()
	p := recordPage{base: x.base(part.Heading{Trail: methodTrail(x, m), Title: z.Person, Lead: x.text("authorised." + string(z.Act))}),
		History: part.Link{Href: here + "/history", Words: x.text("history.link")}}
	facts := []part.Fact{{Word: x.text("label.authorisation.method_id"), Text: joined(" ", m.Number, m.Title), Href: "/methods/" + m.ID.String()},
		{Word: x.text("label.authorisation.act"), Text: x.text("authorised." + string(z.Act))},
		{Word: x.text("authorisation.holds"), Text: x.inForce(z.From, z.To)}, {Word: x.text("label.authorisation.ground"), Text: z.Ground}}
	p.Main = []stretch{{Title: x.text("thing.facts"), Facts: facts}}
	if access.Allowed(x.actor, access.Authorise) {
		p.Acts = []part.Button{{Deed: x.text("authorisation.change"), Href: here + "/change"}}
	}
	return x.page(http.StatusOK, "record", p)
}

func spanFields() []field {
	return []field{{name: "authorised_from", label: "label.authorisation.authorised_from", kind: part.Date, required: true},
		{name: "authorised_until", label: "label.authorisation.authorised_to", hint: "hint.authorisation.until", kind: part.Date, beside: true}}
}

// authoriseForm asks who may do what. Whoever may authorise may see the people.
func (x *exchange) authoriseForm(m method.Method) (entry, error) {
	all, err := x.Accounts.People(x.ctx(), x.actor)
	if err != nil {
		return entry{}, err
	}
	people := []part.Option{{Words: x.text("answer.choose")}}
	for _, p := range all {
		if p.DisabledAt == nil {
			people = append(people, part.Option{Value: p.ID.String(), Words: joined(", ", p.Name, x.roles(p.Roles))})
		}
	}
	here := "/methods/" + m.ID.String()
	return entry{heading: part.Heading{Trail: methodTrail(x, m), Title: x.text("authorisation.add-title")}, action: here + "/authorisations",
		hidden: []string{"operation", "id"}, deed: x.text("authorisation.add"), back: part.Link{Href: here, Words: x.text("entry.back")},
		fields: slices.Concat([]field{
			{name: "person_id", label: "label.authorisation.person_id", kind: part.Choice, required: true, options: people},
			{name: "act", label: "label.authorisation.act", kind: part.Choice, required: true, options: choose(x.text("answer.choose"), options(x, "authorised.", method.AuthorisedActs))},
		}, spanFields(), []field{{name: "ground", label: "label.authorisation.ground", hint: "hint.authorisation.ground", kind: part.Area, required: true}})}, nil
}

func (w *Web) newAuthorisation(x *exchange) error {
	m, err := x.pathMethod()
	if err != nil {
		return err
	}
	e, err := x.authoriseForm(m)
	if err != nil {
		return err
	}
	return x.show(e, merged(x.ids(true), url.Values{"authorised_from": {x.Now().In(x.Zone).Format(domain.DayLayout)}}))
}

func (w *Web) addAuthorisation(x *exchange) error {
	m, err := x.pathMethod()
	if err != nil {
		return err
	}
	e, err := x.authoriseForm(m)
	if err != nil {
		return err
	}
	var c agreeing.AddAuthorisation
	form, err := x.bind(&c)
	var done agreeing.Written
	if err == nil {
		c.MethodID = m.ID
		done, err = w.Agreeing.AddAuthorisation(x.ctx(), x.actor, c)
	}
	if err != nil {
		return x.refuse(e, form, err)
	}
	return x.done("/methods/"+m.ID.String(), "authorisation.added", http.StatusCreated, done)
}

func (x *exchange) authorisationCommand(z method.Authorisation) *agreeing.ChangeAuthorisation {
	t := z.Texts(x.Zone)
	return &agreeing.ChangeAuthorisation{ID: z.ID, Version: z.Version, From: t.From, Until: t.Until}
}

func (x *exchange) changeAuthorisationForm(z agreeing.AuthorisationRow, m method.Method) entry {
	here := "/authorisations/" + z.ID.String()
	return entry{heading: part.Heading{Trail: append(methodTrail(x, m), part.Link{Href: here, Words: z.Person}), Title: x.text("authorisation.change-title"), Lead: x.text("authorised." + string(z.Act))},
		action: here, fields: spanFields(), hidden: []string{"operation", "version"}, deed: x.text("entry.save"), back: part.Link{Href: here, Words: x.text("entry.back")},
		stored: func(current any) url.Values { return formOf(x.authorisationCommand(current.(method.Authorisation))) },
		changed: func(current any) string {
			return x.changedBy(audit.Subject{Kind: audit.Authorisation, ID: z.ID.String()}, current.(method.Authorisation).Version)
		}}
}

func (w *Web) editAuthorisation(x *exchange) error {
	z, m, err := x.pathAuthorisation()
	if err != nil {
		return err
	}
	return x.show(x.changeAuthorisationForm(z, m), merged(formOf(x.authorisationCommand(z.Authorisation)), x.ids(false)))
}

func (w *Web) changeAuthorisation(x *exchange) error {
	z, m, err := x.pathAuthorisation()
	if err != nil {
		return err
	}
	var c agreeing.ChangeAuthorisation
	form, err := x.bind(&c)
	var done agreeing.Written
	if err == nil {
		c.ID = z.ID
		done, err = w.Agreeing.ChangeAuthorisation(x.ctx(), x.actor, c)
	}
	if err != nil {
		return x.refuse(x.changeAuthorisationForm(z, m), form, err)
	}
	return x.done("/methods/"+m.ID.String(), "authorisation.changed", http.StatusOK, done)
}

func (w *Web) authorisationHistory(x *exchange) error {
	z, m, err := x.pathAuthorisation()
	if err != nil {
		return err
	}
	here := "/authorisations/" + z.ID.String()
	return x.history(here, append(methodTrail(x, m), part.Link{Href: here, Words: z.Person}), audit.Subject{Kind: audit.Authorisation, ID: z.ID.String()})
}
