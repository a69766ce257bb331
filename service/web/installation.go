package web

import (
	"net/http"
	"net/url"
	"time"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/register"
	"rillmark/service/registry"
	"rillmark/service/web/part"
)

// mostToChoose bounds the choices of a list that opens.
const mostToChoose = 200

// pathInstallation reads the installation of the path with the place it belongs to.
func (x *exchange) pathInstallation() (i registry.Placed, trail []part.Link, err error) {
	id, err := pathID[domain.InstallationKind](x, "installation", "installation")
	if err != nil {
		return i, nil, err
	}
	if i, err = x.Registry.Installation(x.ctx(), x.actor, id); err != nil {
		return i, nil, err
	}
	p, s, c, err := x.pointOf(i.PointID)
	return i, pointTrail(c, s, p), err
}

func zoneOf(name string) *time.Location {
	if zone, err := time.LoadLocation(name); err == nil {
		return zone
	}
	return time.UTC // a site's zone is checked when it is entered
}

func (w *Web) installation(x *exchange) error {
	i, trail, err := x.pathInstallation()
	if err != nil {
		return err
	}
	here := "/installations/" + i.ID.String()
	zone := zoneOf(i.TimeZone)
	p := recordPage{base: x.base(part.Heading{Trail: trail, Title: i.Meter(), Lead: x.text("installation.there")}),
		History: part.Link{Href: here + "/history", Words: x.text("history.link")}}
	facts := []part.Fact{
		{Word: x.text("label.installation.meter_id"), Text: i.Meter(), Href: "/meters/" + i.MeterID.String()},
		{Word: x.text("label.installation.point_id"), Text: i.PointTag, Href: "/points/" + i.PointID.String()},
		{Word: x.text("label.installation.installed_at"), Text: i.InstalledAt.In(zone).Format(wordedTime)},
		{Word: x.text("label.installation.installed_by"), Text: i.InstalledBy},
		{Word: x.text("label.installation.install_reason"), Text: i.InstallReason},
	}
	if i.RemovedAt != nil {
		p.Heading.Lead = x.text("installation.gone")
		facts = append(facts, part.Fact{Word: x.text("label.installation.removed_at"), Text: i.RemovedAt.In(zone).Format(wordedTime)},
			part.Fact{Word: x.text("label.installation.removed_by"), Text: *i.RemovedBy},
			part.Fact{Word: x.text("label.installation.remove_reason"), Text: *i.RemoveReason})
	}
	facts = append(facts, part.Fact{Word: x.text("installation.zone"), Text: i.TimeZone})
	p.Main = []stretch{{Title: x.text("thing.facts"), Facts: facts}}
	if access.Allowed(x.actor, access.ChangeMeter) {
		words := "installation.remove"
		if i.RemovedAt != nil {
			words = "installation.correct"
		}
		p.Acts = []part.Button{{Deed: x.text(words), Href: here + "/change"}}
	}
	return x.page(http.StatusOK, "record", p)
}

// installForm asks which meter was installed at a point. The meters offered are the
// client's that are nowhere now.
func (x *exchange) installForm(p register.Point, trail []part.Link) (entry, error) {
	here := "/points/" + p.ID.String()
	found, err := x.Registry.Meters(x.ctx(), x.actor, p.ClientID, registry.Filter{Limit: mostToChoose})
	if err != nil {
		return entry{}, err
	}
	meters := []part.Option{{Words: x.text("answer.choose")}}
	for _, m := range found.Items {
		words := meterName(m.Maker, m.Model, m.Serial)
		if m.PointTag != nil {
			words += " (" + x.text("meters.at", "point", *m.PointTag, "site", *m.SiteName) + ")"
		}
		meters = append(meters, part.Option{Value: m.ID.String(), Words: words})
	}
	return entry{heading: part.Heading{Trail: trail, Title: x.text("installation.add-title"), Lead: x.text("installation.add-lead")},
		action: here + "/installations", hidden: []string{"operation", "id"}, deed: x.text("installation.add"), back: part.Link{Href: here, Words: x.text("entry.back")},
		fields: installFields(meters)}, nil
}

func installFields(meters []part.Option) []field {
	return []field{
		{name: "meter_id", label: "label.installation.meter_id", hint: "hint.installation.meter_id", kind: part.Choice, options: meters, required: true},
		{name: "installed_at", label: "label.installation.installed_at", hint: "hint.installation.at", kind: part.At, required: true},
		{name: "installed_by", label: "label.installation.installed_by", hint: "hint.installation.by", required: true},
		{name: "install_reason", label: "label.installation.install_reason", hint: "hint.installation.install_reason", kind: part.Area, required: true},
		{name: "slot", label: "label.installation.slot", hint: "hint.installation.slot", kind: part.Count},
		{name: "removed_at", label: "label.installation.removed_at", hint: "hint.installation.removed_at", kind: part.At},
		{name: "removed_by", label: "label.installation.removed_by", hint: "hint.installation.by"},
		{name: "remove_reason", label: "label.installation.remove_reason", hint: "hint.installation.remove_reason", kind: part.Area},
	}
}

func (w *Web) newInstallation(x *exchange) error {
	m, s, c, err := x.pointAndPlace()
	if err != nil {
		return err
	}
	e, err := x.installForm(m, pointTrail(c, s, m))
	if err != nil {
		return err
	}
	return x.show(e, merged(x.ids(true), url.Values{"slot": {"1"}, "meter_id": {x.r.URL.Query().Get("meter")}}))
}

func (w *Web) addInstallation(x *exchange) error {
	m, s, client, err := x.pointAndPlace()
	if err != nil {
		return err
	}
	var c registry.Install
	form, err := x.bind(&c)
	var done registry.Written
	if err == nil {
		c.PointID = m.ID
		done, err = w.Registry.Install(x.ctx(), x.actor, c)
	}
	if err != nil {
		e, formErr := x.installForm(m, pointTrail(client, s, m))
		if formErr != nil {
			return formErr
		}
		return x.refuse(e, form, err)
	}
	return x.done("/points/"+m.ID.String(), "installation.added", http.StatusCreated, done)
}

func removalCommand(i register.Installation, zone *time.Location) *registry.ChangeInstallation {
	return &registry.ChangeInstallation{ID: i.ID, Version: i.Version, RemoveTexts: i.Texts(zone)}
}

func (x *exchange) removeForm(i registry.Placed, trail []part.Link) entry {
	here := "/installations/" + i.ID.String()
	zone := zoneOf(i.TimeZone)
	return entry{heading: part.Heading{Trail: append(trail, part.Link{Href: here, Words: i.Meter()}), Title: x.text("installation.remove-title"), Lead: x.text("installation.remove-lead")},
		action: here, hidden: []string{"operation", "version"}, deed: x.text("entry.save"), back: part.Link{Href: here, Words: x.text("entry.back")},
		fields: removeFields(),
		stored: func(current any) url.Values { return formOf(removalCommand(current.(register.Installation), zone)) },
		changed: func(current any) string {
			return x.changedBy(audit.Subject{Kind: audit.Installation, ID: i.ID.String()}, current.(register.Installation).Version)
		}}
}

func removeFields() []field {
	return []field{
		{name: "removed_at", label: "label.installation.removed_at", hint: "hint.installation.removed_at", kind: part.At},
		{name: "removed_by", label: "label.installation.removed_by", hint: "hint.installation.by"},
		{name: "remove_reason", label: "label.installation.remove_reason", hint: "hint.installation.remove_reason", kind: part.Area},
		{name: "installed_at", label: "label.installation.installed_at", hint: "hint.installation.correct", kind: part.At, required: true},
	}
}

func (w *Web) editInstallation(x *exchange) error {
	i, trail, err := x.pathInstallation()
	if err != nil {
		return err
	}
	return x.show(x.removeForm(i, trail), merged(formOf(removalCommand(i.Installation, zoneOf(i.TimeZone))), x.ids(false)))
}

func (w *Web) changeInstallation(x *exchange) error {
	i, trail, err := x.pathInstallation()
	if err != nil {
		return err
	}
	var c registry.ChangeInstallation
	form, err := x.bind(&c)
	var done registry.Written
	if err == nil {
		c.ID = i.ID
		done, err = w.Registry.ChangeInstallation(x.ctx(), x.actor, c)
	}
	if err != nil {
		return x.refuse(x.removeForm(i, trail), form, err)
	}
	return x.done("/points/"+i.PointID.String(), "installation.changed", http.StatusOK, done)
}

func (w *Web) installationHistory(x *exchange) error {
	i, trail, err := x.pathInstallation()
	if err != nil {
		return err
	}
	here := "/installations/" + i.ID.String()
	return x.history(here, append(trail, part.Link{Href: here, Words: i.Meter()}), audit.Subject{Kind: audit.Installation, ID: i.ID.String()})
}
