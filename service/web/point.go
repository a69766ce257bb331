package web

import (
	"net/http"
	"net/url"
	"slices"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/register"
	"rillmark/service/issuing"
	"rillmark/service/registry"
	"rillmark/service/web/part"
)

// pointAndPlace reads the measuring point of the path, its site and its client.
func (x *exchange) pointAndPlace() (p register.Point, s register.Site, c register.Client, err error) {
	id, err := pathID[domain.PointKind](x, "point", "measuring point")
	if err != nil {
		return p, s, c, err
	}
	return x.pointOf(id)
}

func (x *exchange) pointOf(id domain.PointID) (p register.Point, s register.Site, c register.Client, err error) {
	if p, err = x.Registry.Point(x.ctx(), x.actor, id); err != nil {
		return p, s, c, err
	}
	if s, err = x.Registry.Site(x.ctx(), x.actor, p.SiteID); err != nil {
		return p, s, c, err
	}
	c, err = x.Registry.Client(x.ctx(), x.actor, p.ClientID)
	return p, s, c, err
}

func pointName(p register.Point) string { return joined(" ", p.Tag, p.Name) }

func pointTrail(c register.Client, s register.Site, p register.Point) []part.Link {
	return append(siteTrail(c, s), part.Link{Href: "/points/" + p.ID.String(), Words: pointName(p)})
}

func (w *Web) point(x *exchange) error {
	m, s, c, err := x.pointAndPlace()
	if err != nil {
		return err
	}
	here := "/points/" + m.ID.String()
	p := recordPage{base: x.base(part.Heading{Trail: siteTrail(c, s), Title: pointName(m), Lead: joined(" · ", m.Fluid, m.Pipe)}), Safety: s.SafetyNote,
		Side:    []stretch{{Title: x.text("thing.facts"), Facts: x.facts(pointFields(), formOf(pointCommand(m)))}, {Section: x.section(m)}},
		History: part.Link{Href: here + "/history", Words: x.text("history.link")}}
	places, err := w.Registry.InstalledAt(x.ctx(), x.actor, m.ID)
	if err != nil {
		return err
	}
	agreed, err := x.agreedFor(m)
	if err != nil {
		return err
	}
	moments, err := x.timeline(audit.Subject{Kind: audit.Point, ID: m.ID.String()}, places, meterThere)
	if err != nil {
		return err
	}
	stated, err := x.statedOf(m)
	if err != nil {
		return err
	}
	course, err := x.courseOf(m, s)
	if err != nil {
		return err
	}
	p.Main = slices.Concat([]stretch{x.metersAt(m, places), agreed}, course, stated)
	if len(moments) > 0 {
		p.Main = append(p.Main, stretch{Title: x.text("point.timeline"), Moments: moments})
	}
	if access.Allowed(x.actor, access.ChangePoint) {
		p.Acts = append(p.Acts, part.Button{Deed: x.text("point.change"), Href: here + "/change"})
	}
	return x.page(http.StatusOK, "record", p)
}

// metersAt tells which meters are at a point now, and leads to noting another.
func (x *exchange) metersAt(m register.Point, places []registry.Placed) stretch {
	s := stretch{Title: x.text("point.meters")}
	for _, p := range places {
		if p.At(x.Now()) {
			s.Rows = append(s.Rows, part.Row{Href: "/meters/" + p.MeterID.String(), Name: p.Meter(), Much: x.text("point.since", "day", p.InstalledAt.In(zoneOf(p.TimeZone)).Format(wordedDay))})
		}
	}
	s = s.orEmpty(x.text("point.no-meter"))
	if access.Allowed(x.actor, access.ChangeMeter) {
		s.Acts = []part.Link{{Href: "/points/" + m.ID.String() + "/installations/new", Words: x.text("point.install")}}
	}
	return s
}

// statedOf leads to the certificates of a point, the newest first; none, none.
func (x *exchange) statedOf(m register.Point) ([]stretch, error) {
	found, err := x.Issuing.Certificates(x.ctx(), x.actor, issuing.Filter{Point: m.ID})
	if err != nil || len(found.Items) == 0 {
		return nil, err
	}
	const shown = 3
	return []stretch{{Title: x.text("certificates.title"), Rows: x.certificateRows(found.Items[:min(shown, len(found.Items))]),
		Acts: []part.Link{{Href: "/certificates?point=" + m.ID.String(), Words: x.text("certificates.of-point")}}}}, nil
}

// section draws the pipe where its outside diameter is known.
func (x *exchange) section(m register.Point) *part.Section {
	if m.OutsideDiameter == nil {
		return nil
	}
	texts := m.Texts()
	s := &part.Section{OutsideDiameter: *m.OutsideDiameter, OutsideText: texts.OutsideDiameter, WallText: texts.Wall}
	s.Label = x.text("point.section-outside", "outside", texts.OutsideDiameter)
	if m.Wall != nil {
		s.Wall = *m.Wall
		s.Label = x.text("point.section", "outside", texts.OutsideDiameter, "wall", texts.Wall)
	}
	return s
}

func pointFields() []field {
	return []field{
		{name: "tag", label: "label.measuring_point.tag", hint: "hint.point.tag", required: true},
		{name: "name", label: "label.measuring_point.name"},
		{name: "fluid", label: "label.measuring_point.fluid"},
		{name: "pipe", label: "label.measuring_point.pipe", hint: "hint.point.pipe"},
		{name: "outside_diameter", label: "label.measuring_point.outside_diameter", hint: "hint.point.outside_diameter", kind: part.Number},
		{name: "wall", label: "label.measuring_point.wall", hint: "hint.point.wall", kind: part.Number, beside: true},
		{name: "straight_before", label: "label.measuring_point.straight_before", hint: "hint.point.straight", kind: part.Number},
		{name: "straight_after", label: "label.measuring_point.straight_after", hint: "hint.point.straight", kind: part.Number, beside: true},
		{name: "note", label: "label.measuring_point.note", kind: part.Area},
	}
}

func pointCommand(p register.Point) *registry.ChangePoint {
	return &registry.ChangePoint{ID: p.ID, Version: p.Version, PointTexts: p.Texts()}
}

func (x *exchange) addPointForm(s register.Site, c register.Client) entry {
	here := "/sites/" + s.ID.String()
	return entry{heading: part.Heading{Trail: siteTrail(c, s), Title: x.text("point.add-title")},
		action: here + "/points", fields: pointFields(), hidden: []string{"operation", "id"}, deed: x.text("point.add"),
		back: part.Link{Href: here, Words: x.text("entry.back")}}
}

func (w *Web) newPoint(x *exchange) error {
	s, c, err := x.siteAndClient()
	if err != nil {
		return err
	}
	return x.show(x.addPointForm(s, c), x.ids(true))
}

func (w *Web) addPoint(x *exchange) error {
	s, client, err := x.siteAndClient()
	if err != nil {
		return err
	}
	var c registry.AddPoint
	form, err := x.bind(&c)
	var done registry.Written
	if err == nil {
		c.SiteID = s.ID
		done, err = w.Registry.AddPoint(x.ctx(), x.actor, c)
	}
	if err != nil {
		return x.refuse(x.addPointForm(s, client), form, err)
	}
	return x.done("/points/"+done.ID, "point.added", http.StatusCreated, done)
}

func (x *exchange) changePointForm(id domain.PointID, trail []part.Link) entry {
	here := "/points/" + id.String()
	return entry{heading: part.Heading{Trail: trail, Title: x.text("point.change-title")},
		action: here, fields: pointFields(), hidden: []string{"operation", "version"}, deed: x.text("entry.save"),
		back:   part.Link{Href: here, Words: x.text("entry.back")},
		stored: func(current any) url.Values { return formOf(pointCommand(current.(register.Point))) },
		changed: func(current any) string {
			return x.changedBy(audit.Subject{Kind: audit.Point, ID: id.String()}, current.(register.Point).Version)
		}}
}

func (w *Web) editPoint(x *exchange) error {
	m, s, c, err := x.pointAndPlace()
	if err != nil {
		return err
	}
	return x.show(x.changePointForm(m.ID, pointTrail(c, s, m)), merged(formOf(pointCommand(m)), x.ids(false)))
}

func (w *Web) changePoint(x *exchange) error {
	m, s, client, err := x.pointAndPlace()
	if err != nil {
		return err
	}
	var c registry.ChangePoint
	form, err := x.bind(&c)
	var done registry.Written
	if err == nil {
		c.ID = m.ID
		done, err = w.Registry.ChangePoint(x.ctx(), x.actor, c)
	}
	if err != nil {
		return x.refuse(x.changePointForm(m.ID, pointTrail(client, s, m)), form, err)
	}
	return x.done("/points/"+done.ID, "point.changed", http.StatusOK, done)
}

func (w *Web) pointHistory(x *exchange) error {
	m, s, c, err := x.pointAndPlace()
	if err != nil {
		return err
	}
	return x.history("/points/"+m.ID.String(), pointTrail(c, s, m), audit.Subject{Kind: audit.Point, ID: m.ID.String()})
}
