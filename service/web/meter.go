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

// meters lists a client's meters.
func (w *Web) meters(x *exchange) error {
	c, err := x.pathClient()
	if err != nil {
		return err
	}
	query := x.r.URL.Query()
	f := registry.Filter{Search: query.Get("search"), After: query.Get("after")}
	found, err := w.Registry.Meters(x.ctx(), x.actor, c.ID, f)
	if err != nil {
		return err
	}
	here := "/clients/" + c.ID.String() + "/meters"
	p := broadPage{base: x.base(part.Heading{Trail: clientTrail(c), Title: x.text("meters.title"), Lead: x.text("meters.lead")}),
		Seek: []part.Field{{Name: "search", Label: x.text("meters.search"), Value: f.Search, Kind: part.Search}}, SeekAt: here,
		Empty: x.text("meters.none"), Further: x.further(here, f.Search, f.After, found.Next)}
	if f.Search != "" {
		p.Empty = x.text("meters.none-found", "search", shortened(f.Search, 60))
	}
	for _, m := range found.Items {
		row := part.Row{Href: "/meters/" + m.ID.String(), Name: meterName(m.Maker, m.Model, m.Serial), More: m.Principle, Much: x.text("meters.nowhere")}
		if m.PointTag != nil {
			row.Much = x.text("meters.at", "point", *m.PointTag, "site", *m.SiteName)
		}
		p.Rows = append(p.Rows, row)
	}
	if access.Allowed(x.actor, access.ChangeMeter) {
		p.Add = &part.Button{Deed: x.text("meters.add"), Href: here + "/new"}
	}
	return x.page(http.StatusOK, "list", p)
}

func meterName(maker, model, serial string) string { return joined(" ", maker, model, serial) }

func nameOfMeter(m register.Meter) string { return meterName(m.Maker, m.Model, m.Serial) }

func (x *exchange) metersTrail(c register.Client) []part.Link {
	return append(clientTrail(c), part.Link{Href: "/clients/" + c.ID.String() + "/meters", Words: x.text("meters.title")})
}

func (x *exchange) meterTrail(c register.Client, m register.Meter) []part.Link {
	return append(x.metersTrail(c), part.Link{Href: "/meters/" + m.ID.String(), Words: nameOfMeter(m)})
}

// meterAndClient reads the meter of the path and whose it is.
func (x *exchange) meterAndClient() (register.Meter, register.Client, error) {
	id, err := pathID[domain.MeterKind](x, "meter", "meter")
	if err != nil {
		return register.Meter{}, register.Client{}, err
	}
	return x.meterOf(id)
}

func (x *exchange) meterOf(id domain.MeterID) (register.Meter, register.Client, error) {
	m, err := x.Registry.Meter(x.ctx(), x.actor, id)
	if err != nil {
		return m, register.Client{}, err
	}
	c, err := x.Registry.Client(x.ctx(), x.actor, m.ClientID)
	return m, c, err
}

// meter shows a meter: where it is and was, what else changed, how it shows its flow.
func (w *Web) meter(x *exchange) error {
	m, c, err := x.meterAndClient()
	if err != nil {
		return err
	}
	here := "/meters/" + m.ID.String()
	places, err := w.Registry.PlacesOf(x.ctx(), x.actor, m.ID)
	if err != nil {
		return err
	}
	indications, err := w.Registry.Indications(x.ctx(), x.actor, m.ID)
	if err != nil {
		return err
	}
	timeline, err := x.timeline(audit.Subject{Kind: audit.Meter, ID: m.ID.String()}, places, placedThere)
	if err != nil {
		return err
	}
	p := recordPage{base: x.base(part.Heading{Trail: x.metersTrail(c), Title: nameOfMeter(m), Lead: joined(" · ", m.Principle, m.NominalSize)}),
		Main:    []stretch{stretch{Title: x.text("meter.timeline"), Moments: timeline}.orEmpty(x.text("meter.nowhere"))},
		Side:    []stretch{{Title: x.text("thing.facts"), Facts: x.facts(x.meterFields(), formOf(meterCommand(m)))}},
		History: part.Link{Href: here + "/history", Words: x.text("history.link")}}
	shown := stretch{Title: x.text("meter.indications")}
	for _, i := range indications {
		shown.Rows = append(shown.Rows, part.Row{Href: "/indications/" + i.ID.String(), Name: i.Name, More: joined(" · ", x.text("way-of."+string(i.Way)), scaling(i)), Much: i.Unit})
	}
	shown = shown.orEmpty(x.text("meter.no-indications"))
	if access.Allowed(x.actor, access.ChangeMeter) {
		shown.Acts = []part.Link{{Href: here + "/indications/new", Words: x.text("meter.add-indication")}}
		p.Acts = []part.Button{{Deed: x.text("meter.change"), Href: here + "/change"}}
	}
	p.Main = append([]stretch{shown}, p.Main...)
	return x.page(http.StatusOK, "record", p)
}

// scaling tells how an indication stands for a flow.
func scaling(i register.Indication) string {
	t := i.Texts()
	switch {
	case i.Way == register.CurrentLoop:
		return t.LowSignal + " = " + t.FlowAtLow + ", " + t.HighSignal + " = " + t.FlowAtHigh
	case i.Way == register.Pulse:
		return t.PulseVolume
	}
	return t.Resolution
}

func (x *exchange) meterFields() []field {
	return []field{
		{name: "principle", label: "label.meter.principle", hint: "hint.meter.principle", required: true, offers: principles},
		{name: "maker", label: "label.meter.maker"},
		{name: "model", label: "label.meter.model", beside: true},
		{name: "serial", label: "label.meter.serial", hint: "hint.meter.serial", required: true},
		{name: "firmware", label: "label.meter.firmware", beside: true},
		{name: "nominal_size", label: "label.meter.nominal_size", hint: "hint.meter.nominal_size"},
		{name: "measurand", label: "label.meter.measurand", kind: part.Choice, options: options(x, "measurand.", register.Measurands), beside: true},
		{name: "note", label: "label.meter.note", kind: part.Area},
	}
}

// principles are offered while one is typed; others may be typed as well.
var principles = []string{"electromagnetic", "ultrasonic", "vortex", "turbine", "Coriolis", "differential pressure, orifice plate",
	"differential pressure, Venturi tube", "positive displacement", "variable area"}

func meterCommand(m register.Meter) *registry.ChangeMeter {
	return &registry.ChangeMeter{ID: m.ID, Version: m.Version, MeterTexts: m.Texts()}
}

func (x *exchange) addMeterForm(c register.Client) entry {
	here := "/clients/" + c.ID.String() + "/meters"
	return entry{heading: part.Heading{Trail: x.metersTrail(c), Title: x.text("meter.add-title")}, action: here, fields: x.meterFields(),
		hidden: []string{"operation", "id"}, deed: x.text("meter.add"), back: part.Link{Href: here, Words: x.text("entry.back")}}
}

func (w *Web) newMeter(x *exchange) error {
	c, err := x.pathClient()
	if err != nil {
		return err
	}
	return x.show(x.addMeterForm(c), x.ids(true))
}

func (w *Web) addMeter(x *exchange) error {
	client, err := x.pathClient()
	if err != nil {
		return err
	}
	var c registry.AddMeter
	form, err := x.bind(&c)
	var done registry.Written
	if err == nil {
		c.ClientID = client.ID
		done, err = w.Registry.AddMeter(x.ctx(), x.actor, c)
	}
	if err != nil {
		return x.refuse(x.addMeterForm(client), form, err)
	}
	return x.done("/meters/"+done.ID, "meter.added", http.StatusCreated, done)
}

func (x *exchange) changeMeterForm(m register.Meter, c register.Client) entry {
	here := "/meters/" + m.ID.String()
	return entry{heading: part.Heading{Trail: x.meterTrail(c, m), Title: x.text("meter.change-title")}, action: here, fields: x.meterFields(),
		hidden: []string{"operation", "version"}, deed: x.text("entry.save"), back: part.Link{Href: here, Words: x.text("entry.back")},
		stored: func(current any) url.Values { return formOf(meterCommand(current.(register.Meter))) },
		changed: func(current any) string {
			return x.changedBy(audit.Subject{Kind: audit.Meter, ID: m.ID.String()}, current.(register.Meter).Version)
		}}
}

func (w *Web) editMeter(x *exchange) error {
	m, c, err := x.meterAndClient()
	if err != nil {
		return err
	}
	return x.show(x.changeMeterForm(m, c), merged(formOf(meterCommand(m)), x.ids(false)))
}

func (w *Web) changeMeter(x *exchange) error {
	m, client, err := x.meterAndClient()
	if err != nil {
		return err
	}
	var c registry.ChangeMeter
	form, err := x.bind(&c)
	var done registry.Written
	if err == nil {
		c.ID = m.ID
		done, err = w.Registry.ChangeMeter(x.ctx(), x.actor, c)
	}
	if err != nil {
		return x.refuse(x.changeMeterForm(m, client), form, err)
	}
	return x.done("/meters/"+done.ID, "meter.changed", http.StatusOK, done)
}

func (w *Web) meterHistory(x *exchange) error {
	m, c, err := x.meterAndClient()
	if err != nil {
		return err
	}
	return x.history("/meters/"+m.ID.String(), x.meterTrail(c, m), audit.Subject{Kind: audit.Meter, ID: m.ID.String()})
}
