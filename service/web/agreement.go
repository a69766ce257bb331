package web

import (
	"net/http"
	"net/url"
	"strconv"

	"rillmark/calc/quantity"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/method"
	"rillmark/domain/register"
	"rillmark/service/agreeing"
	"rillmark/service/sentence"
	"rillmark/service/web/part"
)

// agreedFor tells what is agreed for a point now, and leads to what was before.
func (x *exchange) agreedFor(m register.Point) (stretch, error) {
	list, err := x.Agreeing.Agreements(x.ctx(), x.actor, m.ID)
	if err != nil {
		return stretch{}, err
	}
	s := stretch{Title: x.text("point.agreed")}
	words := "agreement.add"
	for i, g := range list {
		row := part.Row{Href: "/agreements/" + g.ID.String(), Name: x.text("agreement.order", "number", g.OrderNumber), More: x.agreementInShort(g), Much: g.AgreedOn.Format(wordedDay)}
		if i > 0 {
			row.More = x.text("agreement.replaced")
		}
		s.Rows, words = append(s.Rows, row), "agreement.replace"
	}
	if access.Allowed(x.actor, access.ChangeAgreement) {
		s.Acts = []part.Link{{Href: "/points/" + m.ID.String() + "/agreements/new", Words: x.text(words)}}
	}
	return s.orEmpty(x.text("point.nothing-agreed")), nil
}

// agreementInShort tells method, rule and the limits before adjustment.
func (x *exchange) agreementInShort(g agreeing.AgreementRow) string {
	limits := ""
	for _, l := range g.Limits {
		if _, told := l.Tell(); limits == "" && l.Phase == method.LimitPhases[0] {
			limits = told
		}
	}
	return joined(" · ", x.text("agreement.by-method", "number", g.Number, "edition", g.Edition), limits, x.text("rule."+g.Rule))
}

func (x *exchange) pathAgreement() (g agreeing.AgreementRow, trail []part.Link, err error) {
	id, err := pathID[domain.AgreementKind](x, "agreement", "agreement")
	if err != nil {
		return g, nil, err
	}
	if g, err = x.Agreeing.Agreement(x.ctx(), x.actor, id); err != nil {
		return g, nil, err
	}
	p, s, c, err := x.pointOf(g.PointID)
	return g, pointTrail(c, s, p), err
}

// agreement shows what is agreed, in full.
func (w *Web) agreement(x *exchange) error {
	g, trail, err := x.pathAgreement()
	if err != nil {
		return err
	}
	here := "/agreements/" + g.ID.String()
	p := recordPage{base: x.base(part.Heading{Trail: trail, Title: x.text("agreement.order", "number", g.OrderNumber), Lead: x.text("agreement.lead", "who", g.AgreedBy, "day", g.AgreedOn.Format(wordedDay))}),
		Main: []stretch{{Table: x.limitTable(g)}}, Side: []stretch{{Title: x.text("thing.facts"), Facts: x.agreementTerms(g)}},
		History: part.Link{Href: here + "/history", Words: x.text("history.link")}}
	if g.ReplacedBy != nil {
		p.Notices = []part.Notice{{Lead: x.text("agreement.is-replaced"), Links: []part.Link{{Href: "/agreements/" + *g.ReplacedBy, Words: x.text("agreement.to-newer")}}}}
	} else if access.Allowed(x.actor, access.ChangeAgreement) {
		p.Acts = []part.Button{{Deed: x.text("agreement.replace"), Href: "/points/" + g.PointID.String() + "/agreements/new"}}
	}
	return x.page(http.StatusOK, "record", p)
}

func (x *exchange) limitTable(g agreeing.AgreementRow) *part.Table {
	t := part.Table{Caption: x.text("agreement.limits"), Stack: true, Columns: []part.Column{{Head: x.text("agreement.phase")}, {Head: x.text("agreement.zone")}, {Head: x.text("agreement.limit")}}}
	for _, l := range g.Limits {
		zone, limits := l.Tell()
		t.Rows = append(t.Rows, []part.Cell{{Text: x.text("limit-phase." + l.Phase)}, {Text: zone}, {Text: limits}})
	}
	return &t
}

func (x *exchange) agreementTerms(g agreeing.AgreementRow) []part.Fact {
	yes := func(b bool) string {
		if b {
			return x.text("answer.yes")
		}
		return x.text("answer.no")
	}
	facts := []part.Fact{
		{Word: x.text("label.agreement.method_edition_id"), Text: x.text("agreement.by-method", "number", g.Number, "edition", g.Edition), Href: "/editions/" + g.EditionID.String()},
		{Word: x.text("label.agreement.rule"), Text: x.text("rule." + g.Rule)},
	}
	if g.Rule != method.DecisionRules[0] {
		facts = append(facts, part.Fact{Word: x.text("label.agreement.guard_factor"), Text: sentence.Number(g.GuardFactor)})
	}
	if g.NoStatementRatio != nil {
		facts = append(facts, part.Fact{Word: x.text("label.agreement.no_statement_ratio"), Text: domain.Shown(*g.NoStatementRatio, quantity.KindRatio, "%")})
	}
	facts = append(facts, part.Fact{Word: x.text("label.agreement.overall_rule"), Text: x.text("overall." + g.OverallRule)},
		part.Fact{Word: x.text("label.agreement.adjusting_allowed"), Text: yes(g.AdjustingAllowed)})
	if g.IntervalMonths != nil {
		facts = append(facts, part.Fact{Word: x.text("label.agreement.interval_months"), Text: x.text("agreement.months", "n", *g.IntervalMonths)},
			part.Fact{Word: x.text("label.agreement.interval_printed"), Text: yes(g.IntervalPrinted)})
	}
	facts = append(facts, part.Fact{Word: x.text("label.agreement.public_shows"), Text: x.text("public-shows." + g.PublicShows)})
	if g.Consent != nil {
		facts = append(facts, part.Fact{Word: x.text("label.agreement.consent"), Text: *g.Consent}, part.Fact{Word: x.text("label.agreement.replaces"), Text: x.text("agreement.to-earlier"), Href: "/agreements/" + g.Replaces.String()})
	}
	if g.Note != "" {
		facts = append(facts, part.Fact{Word: x.text("label.agreement.note"), Text: g.Note})
	}
	return facts
}

// agreementForm asks what is agreed. Where something was agreed before, the client's
// consent is asked for as well.
func (x *exchange) agreementForm(m register.Point, trail []part.Link, replaces bool) (entry, error) {
	list, err := x.Agreeing.EditionsToAgree(x.ctx(), x.actor)
	if err != nil {
		return entry{}, err
	}
	editions := []part.Option{{Words: x.text("answer.choose")}}
	for _, e := range list {
		editions = append(editions, part.Option{Value: e.ID.String(), Words: x.text("agreement.by-method", "number", e.Number, "edition", e.Edition.Edition) + " · " + e.Title})
	}
	here := "/points/" + m.ID.String()
	e := entry{heading: part.Heading{Trail: trail, Title: x.text("agreement.add-title"), Lead: x.text("agreement.add-lead")}, action: here + "/agreements",
		hidden: []string{"operation", "id", "replaces"}, deed: x.text("agreement.add-it"), back: part.Link{Href: here, Words: x.text("entry.back")}, wide: true}
	e.fields = agreementFields(editions)
	if replaces {
		e.heading.Title = x.text("agreement.replace-title")
		e.fields = append(e.fields, field{name: "consent", label: "label.agreement.consent", hint: "hint.agreement.consent", kind: part.Area, required: true})
	}
	e.fields = append(e.fields, x.limitFields(), x.ruleField())
	e.fields = append(e.fields, x.termFields()...)
	return e, nil
}

func agreementFields(editions []part.Option) []field {
	return []field{
		{name: "order_number", label: "label.agreement.order_number", required: true},
		{name: "method_edition_id", label: "label.agreement.method_edition_id", kind: part.Choice, required: true, options: editions, beside: true},
		{name: "agreed_by", label: "label.agreement.agreed_by", hint: "hint.agreement.agreed_by", required: true},
		{name: "agreed_on", label: "label.agreement.agreed_on", kind: part.Date, required: true, beside: true},
	}
}

func (x *exchange) limitFields() field {
	return field{name: "limits", label: "agreement.limits", hint: "hint.agreement.limits", rows: 2, columns: []field{
		{name: "phase", label: "agreement.phase", kind: part.Choice, options: options(x, "limit-phase.", method.LimitPhases)},
		{name: "from", label: "agreement.from", kind: part.Number}, {name: "to", label: "agreement.to", kind: part.Number},
		{name: "kind", label: "agreement.kind", kind: part.Choice, options: options(x, "limit-kind.", method.LimitKinds)},
		{name: "lower", label: "agreement.lower", kind: part.Number}, {name: "upper", label: "agreement.upper", kind: part.Number},
		{name: "span", label: "agreement.span", kind: part.Number},
		{name: "combine", label: "agreement.combine", kind: part.Choice, options: append([]part.Option{{Words: x.text("limit-combine.none")}}, options(x, "limit-combine.", method.Combinations)...)},
		{name: "other", label: "agreement.second", kind: part.Number},
		{name: "other_kind", label: "agreement.second-kind", kind: part.Choice, options: options(x, "limit-kind.", method.LimitKinds)},
		{name: "other_span", label: "agreement.second-span", kind: part.Number}}}
}

func (x *exchange) ruleField() field {
	rules := options(x, "rule.", method.DecisionRules)
	for i := range rules {
		rules[i].More = x.text("rule-more." + rules[i].Value)
	}
	return field{name: "rule", label: "label.agreement.rule", options: rules, open: true}
}

func (x *exchange) termFields() []field {
	return []field{
		{name: "guard_factor", label: "label.agreement.guard_factor", hint: "hint.agreement.guard_factor", kind: part.Number},
		{name: "no_statement_ratio", label: "label.agreement.no_statement_ratio", hint: "hint.agreement.no_statement_ratio", kind: part.Number, beside: true},
		{name: "overall_rule", label: "label.agreement.overall_rule", kind: part.Choice, options: options(x, "overall.", method.OverallRules)},
		{name: "adjusting_allowed", label: "label.agreement.adjusting_allowed", kind: part.Choice, options: yesNo(x), beside: true},
		{name: "interval_months", label: "label.agreement.interval_months", kind: part.Count, hint: "hint.agreement.interval_months"},
		{name: "interval_printed", label: "label.agreement.interval_printed", hint: "hint.agreement.interval_printed", kind: part.Choice, options: yesNo(x), beside: true},
		{name: "public_shows", label: "label.agreement.public_shows", hint: "hint.agreement.public_shows", kind: part.Choice, options: options(x, "public-shows.", method.PublicShows)},
		{name: "note", label: "label.agreement.note", kind: part.Area},
	}
}

// newAgreement begins from what is agreed now: most changes are small.
func (w *Web) newAgreement(x *exchange) error {
	m, s, c, err := x.pointAndPlace()
	if err != nil {
		return err
	}
	list, err := w.Agreeing.Agreements(x.ctx(), x.actor, m.ID)
	if err != nil {
		return err
	}
	e, err := x.agreementForm(m, pointTrail(c, s, m), len(list) > 0)
	if err != nil {
		return err
	}
	values := url.Values{"rule": {method.DecisionRules[1]}, "adjusting_allowed": {"yes"}}
	if len(list) > 0 {
		values = agreedBefore(list[0])
	}
	return x.show(e, merged(values, x.ids(true)))
}

// agreedBefore fills a form with an agreement; order, consent and by whom are asked anew.
func agreedBefore(g agreeing.AgreementRow) url.Values {
	yes := map[bool]string{true: "yes", false: ""}
	v := url.Values{"replaces": {g.ID.String()}, "order_number": {g.OrderNumber}, "method_edition_id": {g.EditionID.String()}, "rule": {g.Rule},
		"overall_rule": {g.OverallRule}, "adjusting_allowed": {yes[g.AdjustingAllowed]}, "interval_printed": {yes[g.IntervalPrinted]},
		"public_shows": {g.PublicShows}, "note": {g.Note}, "no_statement_ratio": {domain.ShownOrEmpty(g.NoStatementRatio, quantity.KindRatio, "%")}}
	if g.Rule != method.DecisionRules[0] {
		v.Set("guard_factor", strconv.FormatFloat(g.GuardFactor, 'g', 10, 64))
	}
	if g.IntervalMonths != nil {
		v.Set("interval_months", strconv.Itoa(*g.IntervalMonths))
	}
	for _, l := range g.Limits {
		kind, unit := quantity.KindRatio, "%"
		if l.Kind == "flow" {
			kind, unit = quantity.KindFlow, "m³/h"
		}
		v.Add("phase", l.Phase)
		v.Add("from", l.FromEntered)
		v.Add("to", domain.Optional(l.ToEntered))
		v.Add("kind", l.Kind)
		v.Add("lower", domain.ShownOrEmpty(l.Lower, kind, unit))
		v.Add("upper", domain.ShownOrEmpty(l.Upper, kind, unit))
		v.Add("span", domain.ShownOrEmpty(l.Span, quantity.KindFlow, "m³/h"))
		kind, unit = quantity.KindRatio, "%"
		if domain.Optional(l.OtherKind) == "flow" {
			kind, unit = quantity.KindFlow, "m³/h"
		}
		v.Add("combine", domain.Optional(l.Combine))
		v.Add("other_kind", domain.Optional(l.OtherKind))
		v.Add("other", domain.ShownOrEmpty(l.Other, kind, unit))
		v.Add("other_span", domain.ShownOrEmpty(l.OtherSpan, quantity.KindFlow, "m³/h"))
	}
	return v
}

func (w *Web) addAgreement(x *exchange) error {
	m, s, client, err := x.pointAndPlace()
	if err != nil {
		return err
	}
	var c agreeing.AddAgreement
	form, err := x.bind(&c)
	e, formErr := x.agreementForm(m, pointTrail(client, s, m), c.Replaces.Valid())
	if formErr != nil {
		return formErr
	}
	if err == nil && x.wantsMore() {
		return x.show(e, form)
	}
	var done agreeing.Written
	if err == nil {
		c.PointID = m.ID
		done, err = w.Agreeing.AddAgreement(x.ctx(), x.actor, c)
	}
	if err != nil {
		return x.refuse(e, form, err)
	}
	return x.done("/agreements/"+done.ID, "agreement.added", http.StatusCreated, done)
}

func (w *Web) agreementHistory(x *exchange) error {
	g, trail, err := x.pathAgreement()
	if err != nil {
		return err
	}
	here := "/agreements/" + g.ID.String()
	return x.history(here, append(trail, part.Link{Href: here, Words: x.text("agreement.order", "number", g.OrderNumber)}), audit.Subject{Kind: audit.Agreement, ID: g.ID.String()})
}
