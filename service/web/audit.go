package web

import (
	"net/http"
	"net/url"
	"slices"
	"time"

	"github.com/google/uuid"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/service/account"
	"rillmark/service/store"
	"rillmark/service/web/part"
)

type auditPage struct {
	base
	Seek    []part.Field
	Sought  bool
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

// actions are what the trail can be looked through by, in the order of a job: what is
// known, what is agreed and planned, the work sheet, the judgement, people.
var actions = []string{"client.add", "client.change", "site.add", "site.change", "measuring_point.add", "measuring_point.change",
	"meter.add", "meter.change", "indication.add", "indication.change", "installation.add", "installation.change",
	"kit_item.add", "kit_item.change", "calibration.add", "equipment_set.add", "equipment_set.change",
	"method.add", "method.change", "method_edition.add", "method_edition.change", "authorisation.add", "authorisation.change", "agreement.add",
	"visit.plan", "visit.change", "visit.step", "task.add",
	"survey.value", "survey.pipe", "mounting.add", "check.add", "check.keep", "zero.add", "plan.fix", "run.add", "reading.add", "aside.set",
	"control.note", "adjustment.add", "task.note", "evaluation.keep",
	"task.send-back", "approval.add", "certificate.prepare", "certificate.issue", "certificate.withdraw",
	"person.add", "person.change", "person.set-password", "person.lengths"}

// audit shows the whole trail, newest first, or what is looked for in it.
func (w *Web) audit(x *exchange) error {
	f, asked, err := x.sought()
	if err != nil {
		return err
	}
	entries, err := w.Records.TrailOf(x.ctx(), f, eventsOnPage+1)
	if err != nil {
		return err
	}
	people, err := w.Accounts.Roster(x.ctx(), x.actor)
	if err != nil {
		return err
	}
	p := auditPage{base: x.base(part.Heading{Title: x.text("audit.title"), Lead: x.text("audit.lead")}),
		Seek: x.seekFields(asked, people), Sought: len(asked) > 0,
		Empty: x.text("history.none"), Check: part.Button{Deed: x.text("audit.check"), Href: "/audit/check", Second: true}}
	here := "/audit"
	if p.Sought {
		here += "?" + asked.Encode()
		p.Empty = x.text("audit.none-found")
	}
	p.Further, entries = x.older(here, f.Before, entries)
	for _, e := range entries {
		shown := x.event(e, nil)
		shown.What = x.text("audit.event", "number", int(e.Seq), "what", shown.What)
		shown.Href = x.thingOf(e)
		p.Events = append(p.Events, shown)
	}
	return x.page(http.StatusOK, "audit", p)
}

// seekFields are the fields by which the trail is looked through, with what was asked.
func (x *exchange) seekFields(asked url.Values, people []account.Named) []part.Field {
	all := part.Option{Words: x.text("audit.all")}
	who, did, kind := []part.Option{all}, []part.Option{all}, []part.Option{all}
	for _, p := range people {
		who = append(who, part.Option{Value: p.ID.String(), Words: p.Name})
	}
	for _, a := range actions {
		did = append(did, part.Option{Value: a, Words: x.text("event." + a)})
	}
	for _, k := range kinds {
		kind = append(kind, part.Option{Value: string(k.kind), Words: x.text(k.key)})
	}
	fields := []part.Field{
		{Name: "person", Label: x.text("audit.person"), Kind: part.Choice, Options: who},
		{Name: "act", Label: x.text("audit.act"), Kind: part.Choice, Options: did},
		{Name: "from", Label: x.text("audit.from"), Kind: part.Date, Hint: x.text("audit.day-hint", "zone", x.Zone.String())},
		{Name: "until", Label: x.text("audit.until"), Kind: part.Date, Hint: x.text("audit.day-hint", "zone", x.Zone.String())},
		{Name: "kind", Label: x.text("audit.kind"), Kind: part.Choice, Options: kind},
		{Name: "id", Label: x.text("audit.thing"), Hint: x.text("audit.thing-hint")}}
	for i := range fields {
		fields[i].Value = asked.Get(fields[i].Name)
	}
	return fields
}

// sought reads what is looked for, and what of it was asked at all.
func (x *exchange) sought() (f store.TrailFilter, asked url.Values, err error) {
	query := x.r.URL.Query()
	asked = url.Values{}
	for _, name := range []string{"person", "act", "from", "until", "kind", "id"} {
		if v := query.Get(name); v != "" {
			asked.Set(name, v)
		}
	}
	if f.Before, err = x.before(); err != nil {
		return f, asked, err
	}
	if f.About, err = x.about(); err != nil {
		return f, asked, err
	}
	if text := asked.Get("person"); text != "" {
		id, err := domain.ParseID[domain.PersonKind](text)
		if err != nil {
			return f, asked, domain.Refuse(domain.Invalid, domain.NotAnID.At("person"))
		}
		f.Actor = "person:" + id.String()
	}
	if f.Action = asked.Get("act"); f.Action != "" && !slices.Contains(actions, f.Action) {
		return f, asked, domain.Refuse(domain.Invalid, ActUnknown.At("act"))
	}
	if f.From, err = x.dayAsked("from", 0); err != nil {
		return f, asked, err
	}
	f.Until, err = x.dayAsked("until", 1)
	return f, asked, err
}

// dayAsked reads a day as the company's calendar has it; after adds days to it. The zero
// time says that none was asked.
func (x *exchange) dayAsked(name string, after int) (time.Time, error) {
	text := x.r.URL.Query().Get(name)
	if text == "" {
		return time.Time{}, nil
	}
	at, err := time.ParseInLocation(time.DateOnly, text, x.Zone)
	if err != nil {
		return at, domain.Refuse(domain.Invalid, FieldMalformed.At(name, "a day as 2026-11-24"))
	}
	return at.AddDate(0, 0, after), nil
}

// about reads which thing's events are wanted, or which kind's; nil is all of them.
func (x *exchange) about() (*audit.Subject, error) {
	kind, id := x.r.URL.Query().Get("kind"), x.r.URL.Query().Get("id")
	if kind == "" && id == "" {
		return nil, nil
	}
	if _, err := uuid.Parse(id); id != "" && (err != nil || len(id) != 36) {
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

// KindUnknown says that the trail keeps nothing by such a kind, ActUnknown that nobody does
// such a thing.
var (
	KindUnknown = fault.Define("web.kind-unknown")
	ActUnknown  = fault.Define("web.act-unknown")
)
