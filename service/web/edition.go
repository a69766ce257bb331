package web

import (
	"net/http"
	"net/url"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/method"
	"rillmark/service/agreeing"
	"rillmark/service/sentence"
	"rillmark/service/web/part"
)

// editionLimit is the largest body with an edition's content: its longest text, all of it
// percent-encoded, and the rest of the form.
const editionLimit = 1 << 20

// pathEdition reads the edition of the path and the method it belongs to.
func (x *exchange) pathEdition() (e agreeing.EditionRow, m method.Method, err error) {
	id, err := pathID[domain.MethodEditionKind](x, "edition", "method edition")
	if err != nil {
		return e, m, err
	}
	if e, err = x.Agreeing.Edition(x.ctx(), x.actor, id); err != nil {
		return e, m, err
	}
	m, err = x.Agreeing.Method(x.ctx(), x.actor, e.MethodID)
	return e, m, err
}

func (x *exchange) editionName(e agreeing.EditionRow) string {
	return x.text("edition.title", "edition", e.Edition.Edition)
}

// edition shows an edition: the numbers that are looked up most, then all of it.
func (w *Web) edition(x *exchange) error {
	e, m, err := x.pathEdition()
	if err != nil {
		return err
	}
	here := "/editions/" + e.ID.String()
	p := recordPage{base: x.base(part.Heading{Trail: methodTrail(x, m), Title: x.editionName(e), Lead: x.inForce(e.InForceFrom, e.InForceTo)}),
		History: part.Link{Href: here + "/history", Words: x.text("history.link")}}
	if e.Used {
		p.Notices = []part.Notice{{Lead: x.text("edition.frozen"), Text: x.text("edition.frozen-text")}}
	}
	if content, err := method.Parse([]byte(e.Content)); err == nil {
		p.Main = []stretch{{Title: x.text("edition.numbers"), Facts: x.editionFacts(content)}, {Table: x.budgetTable(content)}}
	}
	p.Main = append(p.Main, stretch{Title: x.text("edition.content"), Text: x.text("edition.content-text"), Code: method.Pretty([]byte(e.Content))})
	if access.Allowed(x.actor, access.ChangeMethod) {
		p.Acts = []part.Button{{Deed: x.text("edition.change"), Href: here + "/change"}}
	}
	return x.page(http.StatusOK, "record", p)
}

// editionFacts are the numbers of an edition that people ask for first.
func (x *exchange) editionFacts(c method.Content) []part.Fact {
	percent := func(v float64) string { return sentence.Number(v*100) + " %" }
	capability := x.text("edition.no-capability")
	if c.Capability > 0 {
		capability = percent(c.Capability)
	}
	return []part.Fact{
		{Word: x.text("edition.fact-runs"), Text: x.text("edition.fact-runs-text", "points", c.Runs.FlowPoints, "runs", c.Runs.PerPoint, "least", c.Runs.Least)},
		{Word: x.text("edition.fact-run"), Text: x.text("edition.fact-run-text", "seconds", sentence.Number(c.Runs.Seconds), "interval", sentence.Number(c.Runs.Interval))},
		{Word: x.text("edition.fact-steady"), Text: percent(c.Criteria.SteadyFlow)},
		{Word: x.text("edition.fact-repeatability"), Text: percent(c.Criteria.Repeatability)},
		{Word: x.text("edition.fact-coverage"), Text: percent(c.Coverage)},
		{Word: x.text("edition.fact-capability"), Text: capability},
		{Word: x.text("edition.fact-setup"), Text: x.text("edition.fact-setup-text", "least", percent(c.SetupCheck.CompanyTolerance), "most", percent(c.SetupCheck.MaximumTolerance))},
		{Word: x.text("edition.fact-zero"), Text: sentence.Number(c.ZeroCheck.LeastSeconds) + " s"},
	}
}

// budgetTable is the template of the budget: what counts, for what, and on what basis.
func (x *exchange) budgetTable(c method.Content) *part.Table {
	t := part.Table{Caption: x.text("edition.budget"), Stack: true, Columns: []part.Column{{Head: x.text("edition.component")}, {Head: x.text("edition.from")},
		{Head: x.text("edition.scope")}, {Head: x.text("edition.in-certificate")}, {Head: x.text("edition.basis")}}}
	for _, r := range c.Budget {
		t.Rows = append(t.Rows, []part.Cell{{Text: r.Name}, {Text: x.text("budget-from." + string(r.From))}, {Text: x.text("budget-scope." + string(r.Scope))},
			{Text: x.text("budget-in." + string(r.InCertificate))}, {Text: r.Basis}})
	}
	return &t
}

func editionFields() []field {
	return []field{
		{name: "in_force_from", label: "label.method_edition.in_force_from", kind: part.Date, required: true},
		{name: "in_force_until", label: "label.method_edition.in_force_to", hint: "hint.edition.until", kind: part.Date, beside: true},
		{name: "content", label: "label.method_edition.content", hint: "hint.edition.content", kind: part.Area, required: true},
	}
}

func (x *exchange) addEditionForm(m method.Method) entry {
	here := "/methods/" + m.ID.String()
	return entry{heading: part.Heading{Trail: methodTrail(x, m), Title: x.text("edition.add-title"), Lead: x.text("edition.add-lead")}, action: here + "/editions", fields: editionFields(),
		hidden: []string{"operation", "id"}, deed: x.text("edition.add"), back: part.Link{Href: here, Words: x.text("entry.back")}, wide: true, within: "content"}
}

// newEdition begins from the newest edition, or from common practice where there is none.
func (w *Web) newEdition(x *exchange) error {
	m, err := x.pathMethod()
	if err != nil {
		return err
	}
	list, err := w.Agreeing.Editions(x.ctx(), x.actor, m.ID)
	if err != nil {
		return err
	}
	content := method.ReadyText()
	if len(list) > 0 {
		content = method.Pretty([]byte(list[0].Content))
	}
	return x.show(x.addEditionForm(m), merged(x.ids(true), url.Values{"content": {content}, "in_force_from": {x.Now().In(x.Zone).Format(domain.DayLayout)}}))
}

func (w *Web) addEdition(x *exchange) error {
	m, err := x.pathMethod()
	if err != nil {
		return err
	}
	var c agreeing.AddEdition
	form, err := x.bind(&c)
	var done agreeing.Written
	if err == nil {
		c.MethodID = m.ID
		done, err = w.Agreeing.AddEdition(x.ctx(), x.actor, c)
	}
	if err != nil {
		return x.refuse(x.addEditionForm(m), form, err)
	}
	return x.done("/editions/"+done.ID, "edition.added", http.StatusCreated, done)
}

func (x *exchange) editionCommand(e method.Edition) *agreeing.ChangeEdition {
	return &agreeing.ChangeEdition{ID: e.ID, Version: e.Version, EditionTexts: e.Texts(x.Zone)}
}

func (x *exchange) changeEditionForm(e agreeing.EditionRow, m method.Method) entry {
	here := "/editions/" + e.ID.String()
	form := entry{heading: part.Heading{Trail: append(methodTrail(x, m), part.Link{Href: here, Words: x.editionName(e)}), Title: x.text("edition.change-title")}, action: here,
		fields: editionFields(), hidden: []string{"operation", "version"}, deed: x.text("entry.save"), back: part.Link{Href: here, Words: x.text("entry.back")}, wide: true, within: "content",
		stored: func(current any) url.Values { return formOf(x.editionCommand(current.(method.Edition))) },
		changed: func(current any) string {
			return x.changedBy(audit.Subject{Kind: audit.MethodEdition, ID: e.ID.String()}, current.(method.Edition).Version)
		}}
	if e.Used {
		form.notice = &part.Notice{Lead: x.text("edition.frozen"), Text: x.text("edition.frozen-text")}
	}
	return form
}

func (w *Web) editEdition(x *exchange) error {
	e, m, err := x.pathEdition()
	if err != nil {
		return err
	}
	return x.show(x.changeEditionForm(e, m), merged(formOf(x.editionCommand(e.Edition)), x.ids(false)))
}

func (w *Web) changeEdition(x *exchange) error {
	e, m, err := x.pathEdition()
	if err != nil {
		return err
	}
	var c agreeing.ChangeEdition
	form, err := x.bind(&c)
	var done agreeing.Written
	if err == nil {
		c.ID = e.ID
		done, err = w.Agreeing.ChangeEdition(x.ctx(), x.actor, c)
	}
	if err != nil {
		return x.refuse(x.changeEditionForm(e, m), form, err)
	}
	return x.done("/editions/"+done.ID, "edition.changed", http.StatusOK, done)
}

func (w *Web) editionHistory(x *exchange) error {
	e, m, err := x.pathEdition()
	if err != nil {
		return err
	}
	here := "/editions/" + e.ID.String()
	return x.history(here, append(methodTrail(x, m), part.Link{Href: here, Words: x.editionName(e)}), audit.Subject{Kind: audit.MethodEdition, ID: e.ID.String()})
}
