package web

import (
	"net/http"
	"net/url"

	"github.com/google/uuid"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/service/store"
	"rillmark/service/web/part"
)

type auditPage struct {
	base
	Kind    part.Field
	Thing   part.Field
	Events  []part.Event
	Further part.Further
	Empty   string
	Check   part.Button
}

// kinds are the kinds of things by which the trail can be looked through, with the path
// of the page where a thing of the kind is shown and who may see it.
var kinds = []struct {
	kind audit.Kind
	key  string
	path string
	act  access.Act
}{
	{audit.Client, "kind.client", "/clients/", access.SeeRegister}, {audit.Site, "kind.site", "/sites/", access.SeeRegister},
	{audit.Point, "kind.point", "/points/", access.SeeRegister}, {audit.Person, "kind.person", "/people/", access.SeePeople},
	{audit.Meter, "kind.meter", "/meters/", access.SeeRegister}, {audit.Indication, "kind.indication", "/indications/", access.SeeRegister},
	{audit.Installation, "kind.installation", "/installations/", access.SeeRegister}, {audit.Agreement, "kind.agreement", "/agreements/", access.SeeRegister},
	{audit.KitItem, "kind.kit-item", "/kit/", access.SeeKit}, {audit.Calibration, "kind.calibration", "/calibrations/", access.SeeKit},
	{audit.EquipmentSet, "kind.equipment-set", "/sets/", access.SeeKit}, {audit.Method, "kind.method", "/methods/", access.SeeMethods},
	{audit.MethodEdition, "kind.method-edition", "/editions/", access.SeeMethods}, {audit.Authorisation, "kind.authorisation", "/authorisations/", access.SeeMethods},
	{audit.Visit, "kind.visit", "/visits/", access.SeePlan},
}

// audit shows the whole trail, newest first, or one thing's part of it.
func (w *Web) audit(x *exchange) error {
	about, err := x.about()
	if err != nil {
		return err
	}
	before, err := x.before()
	if err != nil {
		return err
	}
	entries, err := w.Records.Trail(x.ctx(), about, before, eventsOnPage+1)
	if err != nil {
		return err
	}
	p := auditPage{base: x.base(part.Heading{Title: x.text("audit.title"), Lead: x.text("audit.lead")}),
		Kind:  part.Field{Name: "kind", Label: x.text("audit.kind"), Kind: part.Choice, Options: []part.Option{{Words: x.text("audit.all")}}},
		Thing: part.Field{Name: "id", Label: x.text("audit.thing"), Hint: x.text("audit.thing-hint"), Value: x.r.URL.Query().Get("id")},
		Empty: x.text("history.none"), Check: part.Button{Deed: x.text("audit.check"), Href: "/audit/check", Second: true}}
	here := "/audit"
	if about != nil {
		p.Kind.Value = string(about.Kind)
		here += "?" + url.Values{"kind": {string(about.Kind)}, "id": {about.ID}}.Encode()
	}
	for _, k := range kinds {
		p.Kind.Options = append(p.Kind.Options, part.Option{Value: string(k.kind), Words: x.text(k.key)})
	}
	p.Further, entries = x.older(here, before, entries)
	for _, e := range entries {
		shown := x.event(e, nil)
		shown.What = x.text("audit.event", "number", int(e.Seq), "what", shown.What)
		shown.Href = x.thingOf(e)
		p.Events = append(p.Events, shown)
	}
	return x.page(http.StatusOK, "audit", p)
}

// about reads which thing's events are wanted; nil is all of them.
func (x *exchange) about() (*audit.Subject, error) {
	kind, id := x.r.URL.Query().Get("kind"), x.r.URL.Query().Get("id")
	if kind == "" && id == "" {
		return nil, nil
	}
	if _, err := uuid.Parse(id); err != nil || len(id) != 36 {
		return nil, domain.Refuse(domain.Invalid, domain.NotAnID.At("id"))
	}
	for _, k := range kinds {
		if string(k.kind) == kind {
			return &audit.Subject{Kind: k.kind, ID: id}, nil
		}
	}
	return nil, domain.Refuse(domain.Invalid, KindUnknown.At("kind"))
}

// thingOf returns the page of the first thing that an event changed, where the actor may
// see it.
func (x *exchange) thingOf(e store.Entry) string {
	var first audit.Subject
	switch {
	case len(e.Event.Changes) > 0:
		first = audit.Subject{Kind: e.Event.Changes[0].Kind, ID: e.Event.Changes[0].ID}
	case len(e.Event.Subjects) > 0:
		first = e.Event.Subjects[0]
	}
	for _, k := range kinds {
		if k.kind == first.Kind && access.Allowed(x.actor, k.act) {
			return k.path + first.ID
		}
	}
	return ""
}

type auditCheckPage struct {
	base
	Whole    bool
	Notice   part.Notice
	Facts    []part.Fact
	Problems []string
}

// checkAudit recomputes the whole chain and tells the result with the head, which is what
// to compare with one printed earlier.
func (w *Web) checkAudit(x *exchange) error {
	head, problems, err := w.Records.Verify(x.ctx())
	if err != nil {
		return err
	}
	p := auditCheckPage{base: x.base(part.Heading{Trail: []part.Link{{Href: "/audit", Words: x.text("audit.title")}}, Title: x.text("audit.whole")}),
		Whole: len(problems) == 0, Facts: []part.Fact{
			{Word: x.text("audit.events"), Text: x.text("audit.count", "n", int(head.Seq))},
			{Word: x.text("audit.head"), Text: head.Hash},
			{Word: x.text("audit.checked"), Text: x.when(w.Now())},
		}}
	p.Notice = part.Notice{Text: x.text("audit.whole-text")}
	if !p.Whole {
		p.Heading.Title = x.text("audit.broken")
		p.Notice = part.Notice{Act: true, Text: x.text("audit.broken-text")}
	}
	for _, b := range problems {
		p.Notice.Items = append(p.Notice.Items, x.text("audit.problem-"+b.Why, "number", int(b.Seq)))
	}
	return x.page(http.StatusOK, "audit-check", p)
}

// KindUnknown says that the trail keeps nothing by such a kind.
var KindUnknown = fault.Define("web.kind-unknown")
