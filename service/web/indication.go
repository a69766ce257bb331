package web

import (
	"net/http"
	"net/url"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/register"
	"rillmark/service/registry"
	"rillmark/service/web/part"
)

func (x *exchange) indicationFields() []field {
	return []field{
		{name: "name", label: "label.indication.name", hint: "hint.indication.name", required: true},
		{name: "way", label: "label.indication.way", kind: part.Choice, options: choose(x.text("answer.choose"), options(x, "way-of.", register.Ways)), required: true},
		{name: "unit", label: "label.indication.unit", hint: "hint.indication.unit", required: true, beside: true},
		{name: "resolution", label: "label.indication.resolution", hint: "hint.indication.resolution", kind: part.Number},
		{name: "update_interval_s", label: "label.indication.update_interval_s", hint: "hint.indication.update_interval_s", kind: part.Number, beside: true},
		{name: "low_signal", label: "label.indication.low_signal", hint: "hint.indication.low_signal", kind: part.Number},
		{name: "flow_at_low", label: "label.indication.flow_at_low", hint: "hint.indication.flow_at_low", kind: part.Number, beside: true},
		{name: "high_signal", label: "label.indication.high_signal", hint: "hint.indication.high_signal", kind: part.Number},
		{name: "flow_at_high", label: "label.indication.flow_at_high", hint: "hint.indication.flow_at_high", kind: part.Number, beside: true},
		{name: "pulse_volume", label: "label.indication.pulse_volume", hint: "hint.indication.pulse_volume", kind: part.Number},
	}
}

func indicationCommand(i register.Indication) *registry.ChangeIndication {
	return &registry.ChangeIndication{ID: i.ID, Version: i.Version, IndicationTexts: i.Texts()}
}

// pathIndication reads the indication of the path, its meter and whose that is.
func (x *exchange) pathIndication() (i register.Indication, m register.Meter, c register.Client, err error) {
	id, err := pathID[domain.IndicationKind](x, "indication", "indication")
	if err != nil {
		return i, m, c, err
	}
	if i, err = x.Registry.Indication(x.ctx(), x.actor, id); err != nil {
		return i, m, c, err
	}
	m, c, err = x.meterOf(i.MeterID)
	return i, m, c, err
}

func (w *Web) indication(x *exchange) error {
	i, m, c, err := x.pathIndication()
	if err != nil {
		return err
	}
	here := "/indications/" + i.ID.String()
	p := recordPage{base: x.base(part.Heading{Trail: x.meterTrail(c, m), Title: i.Name, Lead: joined(" · ", x.text("way-of."+string(i.Way)), scaling(i))}),
		History: part.Link{Href: here + "/history", Words: x.text("history.link")}}
	facts := stretch{Title: x.text("thing.facts")}
	for _, f := range x.facts(x.indicationFields(), formOf(indicationCommand(i))) {
		if !f.None { // what does not belong to the way
			facts.Facts = append(facts.Facts, f)
		}
	}
	p.Main = []stretch{facts}
	if access.Allowed(x.actor, access.ChangeMeter) {
		p.Acts = []part.Button{{Deed: x.text("indication.change"), Href: here + "/change"}}
	}
	return x.page(http.StatusOK, "record", p)
}

func (x *exchange) addIndicationForm(m register.Meter, c register.Client) entry {
	here := "/meters/" + m.ID.String()
	return entry{heading: part.Heading{Trail: x.meterTrail(c, m), Title: x.text("indication.add-title")}, action: here + "/indications",
		fields: x.indicationFields(), hidden: []string{"operation", "id"}, deed: x.text("indication.add"), back: part.Link{Href: here, Words: x.text("entry.back")}}
}

func (w *Web) newIndication(x *exchange) error {
	m, c, err := x.meterAndClient()
	if err != nil {
		return err
	}
	return x.show(x.addIndicationForm(m, c), merged(x.ids(true), url.Values{"unit": {"m³/h"}}))
}

func (w *Web) addIndication(x *exchange) error {
	m, client, err := x.meterAndClient()
	if err != nil {
		return err
	}
	var c registry.AddIndication
	form, err := x.bind(&c)
	var done registry.Written
	if err == nil {
		c.MeterID = m.ID
		done, err = w.Registry.AddIndication(x.ctx(), x.actor, c)
	}
	if err != nil {
		return x.refuse(x.addIndicationForm(m, client), form, err)
	}
	return x.done("/meters/"+m.ID.String(), "indication.added", http.StatusCreated, done)
}

func (x *exchange) changeIndicationForm(i register.Indication, m register.Meter, c register.Client) entry {
	here := "/indications/" + i.ID.String()
	return entry{heading: part.Heading{Trail: append(x.meterTrail(c, m), part.Link{Href: here, Words: i.Name}), Title: x.text("indication.change-title")},
		action: here, fields: x.indicationFields(), hidden: []string{"operation", "version"}, deed: x.text("entry.save"),
		back:   part.Link{Href: here, Words: x.text("entry.back")},
		stored: func(current any) url.Values { return formOf(indicationCommand(current.(register.Indication))) },
		changed: func(current any) string {
			return x.changedBy(audit.Subject{Kind: audit.Indication, ID: i.ID.String()}, current.(register.Indication).Version)
		}}
}

func (w *Web) editIndication(x *exchange) error {
	i, m, c, err := x.pathIndication()
	if err != nil {
		return err
	}
	return x.show(x.changeIndicationForm(i, m, c), merged(formOf(indicationCommand(i)), x.ids(false)))
}

func (w *Web) changeIndication(x *exchange) error {
	i, m, client, err := x.pathIndication()
	if err != nil {
		return err
	}
	var c registry.ChangeIndication
	form, err := x.bind(&c)
	var done registry.Written
	if err == nil {
		c.ID = i.ID
		done, err = w.Registry.ChangeIndication(x.ctx(), x.actor, c)
	}
	if err != nil {
		return x.refuse(x.changeIndicationForm(i, m, client), form, err)
	}
	return x.done("/indications/"+done.ID, "indication.changed", http.StatusOK, done)
}

func (w *Web) indicationHistory(x *exchange) error {
	i, m, c, err := x.pathIndication()
	if err != nil {
		return err
	}
	here := "/indications/" + i.ID.String()
	return x.history(here, append(x.meterTrail(c, m), part.Link{Href: here, Words: i.Name}), audit.Subject{Kind: audit.Indication, ID: i.ID.String()})
}
