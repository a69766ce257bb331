package web

import (
	"net/http"
	"net/url"
	"time"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/visit"
	"rillmark/service/planning"
	"rillmark/service/store"
	"rillmark/service/web/part"
)

// planRoutes are the routes of visits.
func (w *Web) planRoutes() []route {
	const get, post = http.MethodGet, http.MethodPost
	return []route{
		{method: get, path: "/plan", act: access.SeePlan, handle: w.plan},
		{method: get, path: "/sites/:site/visits/new", act: access.ChangePlan, handle: w.newVisit},
		{method: post, path: "/sites/:site/visits", act: access.ChangePlan, handle: w.planVisit},
		{method: get, path: "/visits/:visit", act: access.SeePlan, handle: w.visit},
		{method: get, path: "/visits/:visit/change", act: access.ChangePlan, handle: w.editVisit},
		{method: post, path: "/visits/:visit", act: access.ChangePlan, handle: w.changeVisit},
		{method: get, path: "/visits/:visit/step/:step", act: access.StepVisit, handle: w.newStep},
		{method: post, path: "/visits/:visit/step/:step", act: access.StepVisit, handle: w.takeStep},
		{method: get, path: "/visits/:visit/history", act: access.SeePlan, handle: w.visitHistory},
	}
}

// planBack is how far back the list of visits begins: those still being worked on.
const planBack = 14 * 24 * time.Hour

// plan lists visits by time: one's own for a technician, everyone's for the others.
func (w *Web) plan(x *exchange) error {
	after := x.r.URL.Query().Get("after")
	f := planning.Filter{From: w.Now().Add(-planBack), Filter: store.Filter{After: after}}
	lead := "plan.lead"
	if x.actor.Has(access.Technician) && !x.actor.Has(access.Coordinator) {
		f.Person, lead = x.actor.Person, "plan.lead-own"
	}
	found, err := w.Planning.Visits(x.ctx(), x.actor, f)
	if err != nil {
		return err
	}
	p := listPage{base: x.base(part.Heading{Title: x.text("plan.title"), Lead: x.text(lead)}), Empty: x.text("plan.none"),
		Further: x.further("/plan", "", after, found.Next)}
	for _, v := range found.Items {
		p.Rows = append(p.Rows, x.visitRow(v))
	}
	return x.page(http.StatusOK, "plan", p)
}

func (x *exchange) visitRow(v planning.VisitRow) part.Row {
	row := part.Row{Href: "/visits/" + v.ID.String(), Name: joined(" · ", v.Site, joined(", ", v.Tags...)),
		More: joined(" · ", span(v.From, v.Until, v.Zone()), joined(", ", v.Crew...)), Much: x.text("visit.state-" + string(v.State()))}
	if v.Open > 0 && !v.State().Ended() && v.Until.Before(x.Now()) {
		row.Needs = x.text("visit.late")
	}
	return row
}

// span tells a time from one moment to another as short as it can.
func span(from, until time.Time, zone *time.Location) string {
	from, until = from.In(zone), until.In(zone)
	if from.Format(time.DateOnly) == until.Format(time.DateOnly) {
		return from.Format("Monday 2 January 2006, 15:04") + until.Format("–15:04")
	}
	return from.Format("2 January 2006, 15:04") + " – " + until.Format("2 January 2006, 15:04")
}

func visitFields(c planning.Choices, sets []part.Option, withPoints bool, x *exchange, zone string) []field {
	people, things, points := make([]part.Option, len(c.People)), make([]part.Option, len(c.Kit)), make([]part.Option, len(c.Points))
	for i, p := range c.People {
		people[i] = part.Option{Value: p.ID.String(), Words: p.Name}
	}
	for i, k := range c.Kit {
		things[i] = part.Option{Value: k.ID.String(), Words: k.Tag, More: x.text("kit.kind-" + string(k.Kind))}
	}
	for i, p := range c.Points {
		points[i] = part.Option{Value: p.ID.String(), Words: joined(" ", p.Tag, p.Name)}
		if !p.Meter {
			points[i].More = x.text("visit.point-no-meter")
		} else if !p.Agreed {
			points[i].More = x.text("visit.point-no-agreement")
		}
	}
	fields := []field{
		{name: "from", label: "label.visit.starts_at", hint: "hint.visit.from", kind: part.At, required: true, unit: zone},
		{name: "until", label: "label.visit.ends_at", hint: "hint.visit.until", kind: part.At, required: true, unit: zone},
	}
	if withPoints {
		fields = append(fields, field{name: "points", label: "label.visit.points", options: points, several: true, open: true})
	}
	return append(fields,
		field{name: "people", label: "label.visit.people", options: people, several: true, open: true},
		field{name: "sets", label: "label.visit.sets", options: sets, several: true, open: true},
		field{name: "kit", label: "label.visit.kit", hint: "hint.visit.kit", options: things, several: true, open: true},
		field{name: "note", label: "label.visit.note", kind: part.Area})
}

// newVisitForm is the form of a new visit to the site of the path.
func (x *exchange) newVisitForm() (entry, domain.SiteID, *time.Location, error) {
	s, c, err := x.siteAndClient()
	if err != nil {
		return entry{}, s.ID, nil, err
	}
	choices, err := x.Planning.Choices(x.ctx(), x.actor, s.ID)
	if err != nil {
		return entry{}, s.ID, nil, err
	}
	sets, err := x.setOptions()
	if err != nil {
		return entry{}, s.ID, nil, err
	}
	here := "/sites/" + s.ID.String()
	var notice *part.Notice
	if len(choices.Points) == 0 {
		notice = &part.Notice{Act: true, Text: x.text("visit.no-points"), Links: []part.Link{{Href: here + "/points/new", Words: x.text("site.first-point")}}}
	}
	return entry{heading: part.Heading{Trail: siteTrail(c, s), Title: x.text("visit.plan-title"), Lead: x.text("visit.plan-lead")}, notice: notice,
		action: here + "/visits", fields: visitFields(choices, sets, true, x, s.TimeZone), hidden: []string{"operation", "id"},
		deed: x.text("visit.plan"), back: part.Link{Href: here, Words: x.text("entry.back")}}, s.ID, zoneOf(s.TimeZone), nil
}

func (w *Web) newVisit(x *exchange) error {
	form, _, _, err := x.newVisitForm()
	if err != nil {
		return err
	}
	values := x.ids(true)
	if points := x.r.URL.Query()["points"]; len(points) > 0 { // asked for from a list of what is due
		values["points"] = points
	}
	return x.show(form, values)
}

func (w *Web) planVisit(x *exchange) error {
	e, site, zone, err := x.newVisitForm()
	if err != nil {
		return err
	}
	var c planning.PlanVisit
	form, err := x.bind(&c)
	var done planning.Written
	if err == nil {
		c.SiteID = site
		c.Kit, err = x.withSets(c.Kit, form)
	}
	if err == nil {
		gaps, aheadErr := x.aheadOf(party{c.Texts, zone, c.People, c.Kit, c.Points}, form)
		if aheadErr != nil {
			return aheadErr
		}
		if len(gaps) > 0 {
			return x.warn(e, form, gaps)
		}
		done, err = w.Planning.PlanVisit(x.ctx(), x.actor, c)
	}
	if err != nil {
		return x.refuse(e, form, err)
	}
	return x.done("/visits/"+done.ID, "visit.planned", http.StatusCreated, done)
}

func visitCommand(v visit.Visit, crew []planning.CrewMember, kit []planning.Taken, zone *time.Location) *planning.ChangeVisit {
	c := planning.ChangeVisit{ID: v.ID, Version: v.Version, Texts: v.Texts(zone)}
	for _, p := range crew {
		c.People = append(c.People, p.ID)
	}
	for _, k := range kit {
		c.Kit = append(c.Kit, k.ID)
	}
	return &c
}

// changeForm is the form to move a visit or change its party, and the visit.
func (x *exchange) changeVisitForm() (entry, planning.View, error) {
	v, err := x.pathVisit()
	if err != nil {
		return entry{}, v, err
	}
	choices, err := x.Planning.Choices(x.ctx(), x.actor, v.SiteID)
	if err != nil {
		return entry{}, v, err
	}
	sets, err := x.setOptions()
	if err != nil {
		return entry{}, v, err
	}
	here := "/visits/" + v.ID.String()
	return entry{heading: part.Heading{Trail: x.visitTrail(v, true), Title: x.text("visit.change-title")},
		action: here, fields: visitFields(choices, sets, false, x, v.Zone.String()), hidden: []string{"operation", "version"}, deed: x.text("entry.save"),
		back: part.Link{Href: here, Words: x.text("entry.back")},
		stored: func(current any) url.Values {
			return formOf(visitCommand(current.(visit.Visit), v.Crew, v.Kit, v.Zone))
		},
		changed: func(current any) string { return x.changedBy(visitSubject(v.ID), current.(visit.Visit).Version) }}, v, nil
}

func (w *Web) editVisit(x *exchange) error {
	e, v, err := x.changeVisitForm()
	if err != nil {
		return err
	}
	return x.show(e, merged(formOf(visitCommand(v.Visit, v.Crew, v.Kit, v.Zone)), x.ids(false)))
}

func (w *Web) changeVisit(x *exchange) error {
	e, v, err := x.changeVisitForm()
	if err != nil {
		return err
	}
	var c planning.ChangeVisit
	form, err := x.bind(&c)
	var done planning.Written
	if err == nil {
		c.ID = v.ID
		c.Kit, err = x.withSets(c.Kit, form)
	}
	if err == nil {
		points := make([]domain.PointID, len(v.Tasks))
		for i, t := range v.Tasks {
			points[i] = t.PointID
		}
		gaps, aheadErr := x.aheadOf(party{c.Texts, v.Zone, c.People, c.Kit, points}, form)
		if aheadErr != nil {
			return aheadErr
		}
		if len(gaps) > 0 {
			return x.warn(e, form, gaps)
		}
		done, err = w.Planning.ChangeVisit(x.ctx(), x.actor, c)
	}
	if err != nil {
		return x.refuse(e, form, err)
	}
	return x.done("/visits/"+done.ID, "visit.changed", http.StatusOK, done)
}
