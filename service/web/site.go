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

// siteAndClient reads the site of the path and the client it belongs to.
func (x *exchange) siteAndClient() (register.Site, register.Client, error) {
	id, err := pathID[domain.SiteKind](x, "site", "site")
	if err != nil {
		return register.Site{}, register.Client{}, err
	}
	s, err := x.Registry.Site(x.ctx(), x.actor, id)
	if err != nil {
		return s, register.Client{}, err
	}
	c, err := x.Registry.Client(x.ctx(), x.actor, s.ClientID)
	return s, c, err
}

func clientTrail(c register.Client) []part.Link {
	return []part.Link{{Href: "/clients/" + c.ID.String(), Words: c.Name}}
}

func siteTrail(c register.Client, s register.Site) []part.Link {
	return append(clientTrail(c), part.Link{Href: "/sites/" + s.ID.String(), Words: s.Name})
}

func (w *Web) site(x *exchange) error {
	s, c, err := x.siteAndClient()
	if err != nil {
		return err
	}
	after := x.r.URL.Query().Get("after")
	points, err := w.Registry.Points(x.ctx(), x.actor, s.ID, registry.Filter{After: after})
	if err != nil {
		return err
	}
	here := "/sites/" + s.ID.String()
	p := thingPage{base: x.base(part.Heading{Trail: clientTrail(c), Title: s.Name}), Safety: s.SafetyNote,
		Facts: x.facts(siteFields(nil), formOf(siteCommand(s))), Above: x.text("site.points-title"), Empty: x.text("site.no-points"),
		Further: x.further(here, "", after, points.Next), History: part.Link{Href: here + "/history", Words: x.text("history.link")}}
	for _, m := range points.Items {
		p.Rows = append(p.Rows, part.Row{Href: "/points/" + m.ID.String(), Name: joined(" ", m.Tag, m.Name), More: joined(" · ", m.Fluid, m.Pipe)})
	}
	if len(points.Items) == 0 && after == "" && access.Allowed(x.actor, access.ChangePoint) {
		p.First = part.Link{Href: here + "/points/new", Words: x.text("site.first-point")}
	}
	if access.Allowed(x.actor, access.ChangePlan) && len(points.Items) > 0 {
		p.Acts = append(p.Acts, part.Button{Deed: x.text("visit.plan"), Href: here + "/visits/new"})
	}
	if access.Allowed(x.actor, access.ChangePoint) {
		p.Acts = append(p.Acts, part.Button{Deed: x.text("site.add-point"), Href: here + "/points/new", Second: len(p.Acts) > 0})
	}
	if access.Allowed(x.actor, access.ChangeSite) {
		p.Acts = append(p.Acts, part.Button{Deed: x.text("site.change"), Href: here + "/change", Second: true})
	}
	return x.page(http.StatusOK, "thing", p)
}

// siteFields are the fields of a site; zones are offered while the time zone is typed.
func siteFields(zones []string) []field {
	return []field{
		{name: "name", label: "label.site.name", required: true},
		{name: "address", label: "label.site.address", kind: part.Area},
		{name: "time_zone", label: "label.site.time_zone", hint: "hint.site.time_zone", required: true, offers: zones},
		{name: "access_note", label: "label.site.access_note", hint: "hint.site.access_note", kind: part.Area},
		{name: "safety_note", label: "label.site.safety_note", hint: "hint.site.safety_note", kind: part.Area},
	}
}

func siteCommand(s register.Site) *registry.ChangeSite {
	return &registry.ChangeSite{ID: s.ID, Version: s.Version, Name: s.Name, Address: s.Address, TimeZone: s.TimeZone,
		AccessNote: s.AccessNote, SafetyNote: s.SafetyNote}
}

func (x *exchange) addSiteForm(c register.Client) entry {
	here := "/clients/" + c.ID.String()
	return entry{heading: part.Heading{Trail: clientTrail(c), Title: x.text("site.add-title")},
		action: here + "/sites", fields: siteFields(zones()), hidden: []string{"operation", "id"}, deed: x.text("site.add"),
		back: part.Link{Href: here, Words: x.text("entry.back")}}
}

func (x *exchange) pathClient() (register.Client, error) {
	id, err := pathID[domain.ClientKind](x, "client", "client")
	if err != nil {
		return register.Client{}, err
	}
	return x.Registry.Client(x.ctx(), x.actor, id)
}

func (w *Web) newSite(x *exchange) error {
	c, err := x.pathClient()
	if err != nil {
		return err
	}
	return x.show(x.addSiteForm(c), merged(x.ids(true), url.Values{"time_zone": {x.Zone.String()}}))
}

func (w *Web) addSite(x *exchange) error {
	client, err := x.pathClient()
	if err != nil {
		return err
	}
	var c registry.AddSite
	form, err := x.bind(&c)
	var done registry.Written
	if err == nil {
		c.ClientID = client.ID
		done, err = w.Registry.AddSite(x.ctx(), x.actor, c)
	}
	if err != nil {
		return x.refuse(x.addSiteForm(client), form, err)
	}
	return x.done("/sites/"+done.ID, "site.added", http.StatusCreated, done)
}

func (x *exchange) changeSiteForm(id domain.SiteID, trail []part.Link) entry {
	here := "/sites/" + id.String()
	return entry{heading: part.Heading{Trail: trail, Title: x.text("site.change-title")},
		action: here, fields: siteFields(zones()), hidden: []string{"operation", "version"}, deed: x.text("entry.save"),
		back:   part.Link{Href: here, Words: x.text("entry.back")},
		stored: func(current any) url.Values { return formOf(siteCommand(current.(register.Site))) },
		changed: func(current any) string {
			return x.changedBy(audit.Subject{Kind: audit.Site, ID: id.String()}, current.(register.Site).Version)
		}}
}

func (w *Web) editSite(x *exchange) error {
	s, c, err := x.siteAndClient()
	if err != nil {
		return err
	}
	return x.show(x.changeSiteForm(s.ID, siteTrail(c, s)), merged(formOf(siteCommand(s)), x.ids(false)))
}

func (w *Web) changeSite(x *exchange) error {
	s, client, err := x.siteAndClient()
	if err != nil {
		return err
	}
	var c registry.ChangeSite
	form, err := x.bind(&c)
	var done registry.Written
	if err == nil {
		c.ID = s.ID
		done, err = w.Registry.ChangeSite(x.ctx(), x.actor, c)
	}
	if err != nil {
		return x.refuse(x.changeSiteForm(s.ID, siteTrail(client, s)), form, err)
	}
	return x.done("/sites/"+done.ID, "site.changed", http.StatusOK, done)
}

func (w *Web) siteHistory(x *exchange) error {
	s, c, err := x.siteAndClient()
	if err != nil {
		return err
	}
	return x.history("/sites/"+s.ID.String(), siteTrail(c, s), audit.Subject{Kind: audit.Site, ID: s.ID.String()})
}
