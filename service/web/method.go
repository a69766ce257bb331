package web

import (
	"net/http"
	"net/url"
	"time"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/method"
	"rillmark/service/agreeing"
	"rillmark/service/web/part"
)

func (w *Web) methods(x *exchange) error {
	query := x.r.URL.Query()
	f := agreeing.Filter{Search: query.Get("search"), After: query.Get("after")}
	found, err := w.Agreeing.Methods(x.ctx(), x.actor, f)
	if err != nil {
		return err
	}
	p := broadPage{base: x.base(part.Heading{Title: x.text("methods.title"), Lead: x.text("methods.lead")}), Empty: x.text("methods.none"),
		Further: x.further("/methods", f.Search, f.After, found.Next)}
	for _, m := range found.Items {
		row := part.Row{Href: "/methods/" + m.ID.String(), Name: joined(" ", m.Number, m.Title), Needs: x.text("methods.none-in-force")}
		if m.InForce != nil {
			row.Needs, row.Much = "", x.text("methods.in-force", "edition", *m.InForce)
		}
		p.Rows = append(p.Rows, row)
	}
	if access.Allowed(x.actor, access.ChangeMethod) {
		p.Add = &part.Button{Deed: x.text("methods.add"), Href: "/methods/new"}
	}
	return x.page(http.StatusOK, "list", p)
}

func methodsTrail(x *exchange) []part.Link {
	return []part.Link{{Href: "/methods", Words: x.text("methods.title")}}
}

func methodTrail(x *exchange, m method.Method) []part.Link {
	return append(methodsTrail(x), part.Link{Href: "/methods/" + m.ID.String(), Words: m.Number})
}

func (x *exchange) pathMethod() (method.Method, error) {
	id, err := pathID[domain.MethodKind](x, "method", "method")
	if err != nil {
		return method.Method{}, err
	}
	return x.Agreeing.Method(x.ctx(), x.actor, id)
}

// method shows a method: its editions, and who is authorised for it.
func (w *Web) method(x *exchange) error {
	m, err := x.pathMethod()
	if err != nil {
		return err
	}
	here := "/methods/" + m.ID.String()
	p := recordPage{base: x.base(part.Heading{Trail: methodsTrail(x), Title: joined(" ", m.Number, m.Title)}), History: part.Link{Href: here + "/history", Words: x.text("history.link")}}
	editions, err := x.editionsOf(m)
	if err != nil {
		return err
	}
	people, err := x.authorisedFor(m)
	if err != nil {
		return err
	}
	p.Main = []stretch{editions, people}
	if access.Allowed(x.actor, access.ChangeMethod) {
		p.Acts = []part.Button{{Deed: x.text("methods.add-edition"), Href: here + "/editions/new"}, {Deed: x.text("methods.change"), Href: here + "/change", Second: true}}
	}
	return x.page(http.StatusOK, "record", p)
}

func (x *exchange) editionsOf(m method.Method) (stretch, error) {
	list, err := x.Agreeing.Editions(x.ctx(), x.actor, m.ID)
	if err != nil {
		return stretch{}, err
	}
	s := stretch{Title: x.text("methods.editions")}
	for _, e := range list {
		row := part.Row{Href: "/editions/" + e.ID.String(), Name: x.text("edition.title", "edition", e.Edition.Edition), More: x.inForce(e.InForceFrom, e.InForceTo)}
		if e.InForce(x.Now()) {
			row.Much = x.text("edition.in-force")
		}
		s.Rows = append(s.Rows, row)
	}
	return s.orEmpty(x.text("methods.no-editions")), nil
}

// inForce tells a time that may have no end, by the company's dates.
func (x *exchange) inForce(from time.Time, to *time.Time) string {
	first := from.In(x.Zone).Format(wordedDay)
	if to == nil {
		return x.text("span.from", "from", first)
	}
	return x.text("span.from-until", "from", first, "until", domain.LastDay(*to, x.Zone).Format(wordedDay))
}

func (x *exchange) authorisedFor(m method.Method) (stretch, error) {
	list, err := x.Agreeing.Authorised(x.ctx(), x.actor, m.ID)
	if err != nil {
		return stretch{}, err
	}
	s := stretch{Title: x.text("methods.authorised")}
	for _, z := range list {
		row := part.Row{Href: "/authorisations/" + z.ID.String(), Name: z.Person, More: x.inForce(z.From, z.To), Much: x.text("authorised." + string(z.Act))}
		if !z.Holds(x.Now()) {
			row.More += " · " + x.text("authorisation.not-now")
		}
		s.Rows = append(s.Rows, row)
	}
	if access.Allowed(x.actor, access.Authorise) {
		s.Acts = []part.Link{{Href: "/methods/" + m.ID.String() + "/authorisations/new", Words: x.text("methods.authorise")}}
	}
	return s.orEmpty(x.text("methods.nobody")), nil
}

func methodFields(fresh bool) []field {
	fields := []field{{name: "title", label: "label.method.title", required: true}}
	if fresh {
		fields = append([]field{{name: "number", label: "label.method.number", hint: "hint.method.number", required: true}}, fields...)
	}
	return fields
}

func (x *exchange) addMethodForm() entry {
	return entry{heading: part.Heading{Trail: methodsTrail(x), Title: x.text("methods.add-title")}, action: "/methods", fields: methodFields(true),
		hidden: []string{"operation", "id"}, deed: x.text("methods.add-it"), back: part.Link{Href: "/methods", Words: x.text("entry.back")}}
}

func (w *Web) newMethod(x *exchange) error { return x.show(x.addMethodForm(), x.ids(true)) }

func (w *Web) addMethod(x *exchange) error {
	var c agreeing.AddMethod
	form, err := x.bind(&c)
	var done agreeing.Written
	if err == nil {
		done, err = w.Agreeing.AddMethod(x.ctx(), x.actor, c)
	}
	if err != nil {
		return x.refuse(x.addMethodForm(), form, err)
	}
	return x.done("/methods/"+done.ID, "method.added", http.StatusCreated, done)
}

func methodCommand(m method.Method) *agreeing.ChangeMethod {
	return &agreeing.ChangeMethod{ID: m.ID, Version: m.Version, Title: m.Title}
}

func (x *exchange) changeMethodForm(m method.Method) entry {
	here := "/methods/" + m.ID.String()
	return entry{heading: part.Heading{Trail: methodTrail(x, m), Title: x.text("methods.change-title")}, action: here, fields: methodFields(false),
		hidden: []string{"operation", "version"}, deed: x.text("entry.save"), back: part.Link{Href: here, Words: x.text("entry.back")},
		stored: func(current any) url.Values { return formOf(methodCommand(current.(method.Method))) },
		changed: func(current any) string {
			return x.changedBy(audit.Subject{Kind: audit.Method, ID: m.ID.String()}, current.(method.Method).Version)
		}}
}

func (w *Web) editMethod(x *exchange) error {
	m, err := x.pathMethod()
	if err != nil {
		return err
	}
	return x.show(x.changeMethodForm(m), merged(formOf(methodCommand(m)), x.ids(false)))
}

func (w *Web) changeMethod(x *exchange) error {
	m, err := x.pathMethod()
	if err != nil {
		return err
	}
	var c agreeing.ChangeMethod
	form, err := x.bind(&c)
	var done agreeing.Written
	if err == nil {
		c.ID = m.ID
		done, err = w.Agreeing.ChangeMethod(x.ctx(), x.actor, c)
	}
	if err != nil {
		return x.refuse(x.changeMethodForm(m), form, err)
	}
	return x.done("/methods/"+done.ID, "method.changed", http.StatusOK, done)
}

func (w *Web) methodHistory(x *exchange) error {
	m, err := x.pathMethod()
	if err != nil {
		return err
	}
	return x.history("/methods/"+m.ID.String(), methodTrail(x, m), audit.Subject{Kind: audit.Method, ID: m.ID.String()})
}
