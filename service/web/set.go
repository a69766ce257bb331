package web

import (
	"net/http"
	"net/url"
	"strings"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/kit"
	"rillmark/service/equipment"
	"rillmark/service/web/part"
)

func setTrail(x *exchange) []part.Link {
	return append(kitTrail(x), part.Link{Href: "/sets", Words: x.text("kit.sets")})
}

// sets lists what travels together.
func (w *Web) sets(x *exchange) error {
	query := x.r.URL.Query()
	f := equipment.Filter{Search: query.Get("search"), After: query.Get("after")}
	found, err := w.Equipment.Sets(x.ctx(), x.actor, f)
	if err != nil {
		return err
	}
	p := broadPage{base: x.base(part.Heading{Trail: kitTrail(x), Title: x.text("kit.sets"), Lead: x.text("sets.lead")}), Empty: x.text("sets.none"),
		Further: x.further("/sets", f.Search, f.After, found.Next)}
	for _, s := range found.Items {
		p.Rows = append(p.Rows, part.Row{Href: "/sets/" + s.ID.String(), Name: s.Name, More: strings.Join(s.Tags, ", ")})
	}
	if access.Allowed(x.actor, access.ChangeKit) {
		p.Add = &part.Button{Deed: x.text("sets.add"), Href: "/sets/new"}
	}
	return x.page(http.StatusOK, "list", p)
}

func (x *exchange) pathSet() (kit.Set, []kit.Item, error) {
	id, err := pathID[domain.EquipmentSetKind](x, "set", "equipment set")
	if err != nil {
		return kit.Set{}, nil, err
	}
	return x.Equipment.Set(x.ctx(), x.actor, id)
}

func (w *Web) set(x *exchange) error {
	s, items, err := x.pathSet()
	if err != nil {
		return err
	}
	here := "/sets/" + s.ID.String()
	p := recordPage{base: x.base(part.Heading{Trail: setTrail(x), Title: s.Name}), History: part.Link{Href: here + "/history", Words: x.text("history.link")}}
	within := stretch{Title: x.text("sets.members")}
	for _, i := range items {
		within.Rows = append(within.Rows, part.Row{Href: "/kit/" + i.ID.String(), Name: i.Tag, More: joined(" · ", x.text("kit.kind-"+string(i.Kind)), meterName(i.Maker, i.Model, i.Serial))})
	}
	p.Main = []stretch{within.orEmpty(x.text("sets.empty"))}
	if access.Allowed(x.actor, access.ChangeKit) {
		p.Acts = []part.Button{{Deed: x.text("sets.change"), Href: here + "/change"}}
	}
	return x.page(http.StatusOK, "record", p)
}

// setFields asks for a set's name and what is in it; every item is listed openly.
func (x *exchange) setFields() ([]field, error) {
	found, err := x.Equipment.Items(x.ctx(), x.actor, "", equipment.Filter{Limit: mostToChoose})
	if err != nil {
		return nil, err
	}
	items := make([]part.Option, len(found.Items))
	for i, item := range found.Items {
		items[i] = part.Option{Value: item.ID.String(), Words: item.Tag, More: joined(" · ", x.text("kit.kind-"+string(item.Kind)), meterName(item.Maker, item.Model, item.Serial), domain.Optional(item.SetName))}
	}
	return []field{{name: "name", label: "label.equipment_set.name", hint: "hint.set.name", required: true},
		{name: "members", label: "label.equipment_set.members", options: items, several: true, open: true}}, nil
}

func setCommand(s kit.Set) *equipment.ChangeSet {
	return &equipment.ChangeSet{ID: s.ID, Version: s.Version, SetTexts: kit.SetTexts{Name: s.Name, Members: s.Members}}
}

func (x *exchange) addSetForm() (entry, error) {
	fields, err := x.setFields()
	return entry{heading: part.Heading{Trail: setTrail(x), Title: x.text("sets.add-title")}, action: "/sets", fields: fields,
		hidden: []string{"operation", "id"}, deed: x.text("sets.add-it"), back: part.Link{Href: "/sets", Words: x.text("entry.back")}}, err
}

func (w *Web) newSet(x *exchange) error {
	e, err := x.addSetForm()
	if err != nil {
		return err
	}
	return x.show(e, x.ids(true))
}

func (w *Web) addSet(x *exchange) error {
	e, err := x.addSetForm()
	if err != nil {
		return err
	}
	var c equipment.AddSet
	form, err := x.bind(&c)
	var done equipment.Written
	if err == nil {
		done, err = w.Equipment.AddSet(x.ctx(), x.actor, c)
	}
	if err != nil {
		return x.refuse(e, form, err)
	}
	return x.done("/sets/"+done.ID, "set.added", http.StatusCreated, done)
}

func (x *exchange) changeSetForm(s kit.Set) (entry, error) {
	here := "/sets/" + s.ID.String()
	fields, err := x.setFields()
	return entry{heading: part.Heading{Trail: append(setTrail(x), part.Link{Href: here, Words: s.Name}), Title: x.text("sets.change-title")}, action: here, fields: fields,
		hidden: []string{"operation", "version"}, deed: x.text("entry.save"), back: part.Link{Href: here, Words: x.text("entry.back")},
		stored: func(current any) url.Values { return formOf(setCommand(current.(kit.Set))) },
		changed: func(current any) string {
			return x.changedBy(audit.Subject{Kind: audit.EquipmentSet, ID: s.ID.String()}, current.(kit.Set).Version)
		}}, err
}

func (w *Web) editSet(x *exchange) error {
	s, _, err := x.pathSet()
	if err != nil {
		return err
	}
	e, err := x.changeSetForm(s)
	if err != nil {
		return err
	}
	return x.show(e, merged(formOf(setCommand(s)), x.ids(false)))
}

func (w *Web) changeSet(x *exchange) error {
	s, _, err := x.pathSet()
	if err != nil {
		return err
	}
	e, err := x.changeSetForm(s)
	if err != nil {
		return err
	}
	var c equipment.ChangeSet
	form, err := x.bind(&c)
	var done equipment.Written
	if err == nil {
		c.ID = s.ID
		done, err = w.Equipment.ChangeSet(x.ctx(), x.actor, c)
	}
	if err != nil {
		return x.refuse(e, form, err)
	}
	return x.done("/sets/"+done.ID, "set.changed", http.StatusOK, done)
}

func (w *Web) setHistory(x *exchange) error {
	s, _, err := x.pathSet()
	if err != nil {
		return err
	}
	here := "/sets/" + s.ID.String()
	return x.history(here, append(setTrail(x), part.Link{Href: here, Words: s.Name}), audit.Subject{Kind: audit.EquipmentSet, ID: s.ID.String()})
}
