package web

import (
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/kit"
	"rillmark/service/equipment"
	"rillmark/service/web/part"
)

// soon is how far ahead a calibration that lapses is named.
const soon = 60 * 24 * time.Hour

// kitList lists the kit, and before it what lapses next.
func (w *Web) kitList(x *exchange) error {
	query := x.r.URL.Query()
	f := equipment.Filter{Search: query.Get("search"), After: query.Get("after")}
	kind := kit.Kind(query.Get("kind"))
	found, err := w.Equipment.Items(x.ctx(), x.actor, kind, f)
	if err != nil {
		return err
	}
	p := broadPage{base: x.base(part.Heading{Title: x.text("kit.title"), Lead: x.text("kit.lead")}), SeekAt: "/kit",
		Seek: []part.Field{{Name: "search", Label: x.text("kit.search"), Value: f.Search, Kind: part.Search},
			{Name: "kind", Label: x.text("kit.kind"), Value: string(kind), Kind: part.Choice, Options: choose(x.text("kit.every-kind"), options(x, "kit.kind-", kit.Kinds))}},
		Empty: x.text("kit.none"), Beside: []part.Link{{Href: "/sets", Words: x.text("kit.sets")}}}
	if f.Search != "" || kind != "" {
		p.Empty = x.text("kit.none-found")
	}
	p.Further = x.furtherIn("/kit", url.Values{"search": {f.Search}, "kind": {string(kind)}}, f.After, found.Next)
	for _, i := range found.Items {
		p.Rows = append(p.Rows, x.kitRow(i))
	}
	if f == (equipment.Filter{}) && kind == "" {
		if p.Before, err = x.lapsing(); err != nil {
			return err
		}
		if len(p.Before) > 0 {
			p.Above = x.text("kit.all")
		}
	}
	if access.Allowed(x.actor, access.ChangeKit) {
		p.Add = &part.Button{Deed: x.text("kit.add"), Href: "/kit/new"}
	}
	return x.page(http.StatusOK, "list", p)
}

// furtherIn leads on in a list that several fields narrow.
func (x *exchange) furtherIn(path string, narrowed url.Values, after, next string) part.Further {
	query := url.Values{}
	for name, values := range narrowed {
		if len(values) > 0 && values[0] != "" {
			query[name] = values
		}
	}
	link := func(mark string) string {
		q := merged(query)
		if mark != "" {
			q.Set("after", mark)
		}
		if len(q) == 0 {
			return path
		}
		return path + "?" + q.Encode()
	}
	var f part.Further
	if next != "" {
		f.Next = part.Link{Href: link(next), Words: x.text("list.next")}
	}
	if after != "" {
		f.First = part.Link{Href: link(""), Words: x.text("list.first")}
	}
	return f
}

func (x *exchange) lapsing() ([]stretch, error) {
	rows, err := x.Equipment.Lapsing(x.ctx(), x.actor, x.Now().Add(soon))
	if err != nil || len(rows) == 0 {
		return nil, err
	}
	s := stretch{Title: x.text("kit.lapsing")}
	for _, i := range rows {
		s.Rows = append(s.Rows, x.kitRow(i))
	}
	return []stretch{s}, nil
}

// kitRow is a piece of kit in a list, with how long its calibration holds.
func (x *exchange) kitRow(i equipment.ItemRow) part.Row {
	row := part.Row{Href: "/kit/" + i.ID.String(), Name: i.Tag,
		More: joined(" · ", x.text("kit.kind-"+string(i.Kind)), meterName(i.Maker, i.Model, i.Serial))}
	if i.SetName != nil {
		row.More += " · " + *i.SetName
	}
	switch {
	case i.OutOfServiceAt != nil && !i.OutOfServiceAt.After(x.Now()):
		row.Much = x.text("kit.out")
	case i.ValidTo != nil:
		row.Much, row.Needs = x.validity(*i.ValidTo)
	case needsCalibration(i.Kind):
		row.Needs = x.text("kit.never")
	}
	return row
}

// needsCalibration reports whether what an item of the kind measures needs one.
func needsCalibration(k kit.Kind) bool {
	_, has := k.Calibrates()
	return has
}

// validity says until when a calibration holds; much in ink, or what needs a person.
func (x *exchange) validity(end time.Time) (much, needs string) {
	last := domain.LastDay(end, x.Zone).Format(wordedDay)
	now := x.Now()
	switch {
	case !now.Before(end):
		return "", x.text("kit.lapsed", "day", last)
	case end.Sub(now) < soon:
		return "", x.text("kit.lapses", "day", last)
	}
	return x.text("kit.valid", "day", last), ""
}

// wordedDay is a date as pages tell it.
const wordedDay = "2 January 2006"

func kitTrail(x *exchange) []part.Link {
	return []part.Link{{Href: "/kit", Words: x.text("kit.title")}}
}

func itemTrail(x *exchange, i kit.Item) []part.Link {
	return append(kitTrail(x), part.Link{Href: "/kit/" + i.ID.String(), Words: i.Tag})
}

func (x *exchange) pathItem() (kit.Item, error) {
	id, err := pathID[domain.KitKind](x, "item", "kit item")
	if err != nil {
		return kit.Item{}, err
	}
	return x.Equipment.Item(x.ctx(), x.actor, id)
}

// kitItem shows a piece of kit with its calibrations.
func (w *Web) kitItem(x *exchange) error {
	i, err := x.pathItem()
	if err != nil {
		return err
	}
	here := "/kit/" + i.ID.String()
	p := recordPage{base: x.base(part.Heading{Trail: kitTrail(x), Title: i.Tag, Lead: joined(" · ", x.text("kit.kind-"+string(i.Kind)), meterName(i.Maker, i.Model, i.Serial))}),
		Side:    []stretch{{Title: x.text("thing.facts"), Facts: x.itemFacts(i)}},
		History: part.Link{Href: here + "/history", Words: x.text("history.link")}}
	if i.OutOfServiceAt != nil {
		p.Notices = append(p.Notices, part.Notice{Act: true, Lead: x.text("kit.out-since", "day", i.OutOfServiceAt.In(x.Zone).Format(wordedDay)), Text: domain.Optional(i.OutOfServiceWhy)})
	}
	if p.Main, err = x.calibrationsOf(i); err != nil {
		return err
	}
	used, err := x.usesOf(i)
	if err != nil {
		return err
	}
	p.Main = append(p.Main, used)
	if access.Allowed(x.actor, access.ChangeKit) {
		p.Acts = []part.Button{{Deed: x.text("kit.change"), Href: here + "/change", Second: needsCalibration(i.Kind)}}
		if needsCalibration(i.Kind) {
			p.Acts = append([]part.Button{{Deed: x.text("kit.add-calibration"), Href: here + "/calibrations/new"}}, p.Acts...)
		}
	}
	return x.page(http.StatusOK, "record", p)
}

// itemFacts are what is known of an item; being in service is no fact to tell.
func (x *exchange) itemFacts(i kit.Item) []part.Fact {
	fields := slices.DeleteFunc(x.itemFields(i.Kind), func(f field) bool { return f.name == "out_of_service_on" || f.name == "out_of_service_why" })
	return x.facts(fields, formOf(itemCommand(i, x.Zone)))
}

// calibrationsOf tells which calibrations there are, until when each holds, and with what;
// then the points of the newest of those that hold.
func (x *exchange) calibrationsOf(i kit.Item) ([]stretch, error) {
	list, err := x.Equipment.Calibrations(x.ctx(), x.actor, i.ID)
	if err != nil {
		return nil, err
	}
	s := stretch{Title: x.text("kit.calibrations")}
	now := x.Now()
	var newest *equipment.CalibrationRow
	for n, c := range list {
		row := part.Row{Href: "/calibrations/" + c.ID.String(), Name: x.text("calibration.of-day", "day", c.CalibratedOn.Format(wordedDay)),
			More: joined(" · ", c.Laboratory, x.text("calibration.number", "number", c.CertificateNumber), x.withWhat(i, c))}
		switch {
		case c.Valid(now):
			if newest == nil || c.CalibratedOn.After(newest.CalibratedOn) {
				newest = &list[n]
			}
			row.Much, row.Needs = x.validity(c.ValidTo)
		case now.Before(c.ValidFrom):
			row.Much = x.text("calibration.from", "day", c.ValidFrom.In(x.Zone).Format(wordedDay))
		default:
			row.Much = x.text("calibration.until", "day", domain.LastDay(c.ValidTo, x.Zone).Format(wordedDay))
		}
		s.Rows = append(s.Rows, row)
	}
	if newest == nil && needsCalibration(i.Kind) && i.InService(now) {
		s.Notices = []part.Notice{{Act: true, Lead: x.text("kit.no-valid"), Text: x.text("kit.no-valid-text")}}
	}
	shown := []stretch{s.orEmpty(x.text("kit.no-calibrations"))}
	if newest != nil {
		shown = append(shown, stretch{Table: x.pointTable(*newest)})
	}
	return shown, nil
}

// usesOf tells on which tasks the item was used, with the certificates issued on them.
func (x *exchange) usesOf(i kit.Item) (stretch, error) {
	uses, more, err := x.Equipment.Uses(x.ctx(), x.actor, i.ID)
	if err != nil {
		return stretch{}, err
	}
	s := stretch{Title: x.text("kit.uses")}
	if more {
		s.Text = x.text("kit.uses-newest", "n", len(uses))
	}
	for _, u := range uses {
		row := part.Row{Href: "/tasks/" + u.TaskID.String() + "/sheet", Name: joined(" ", u.Tag, u.Point),
			More: joined(" · ", u.Site, u.At.In(zoneOf(u.TimeZone)).Format(wordedDay)), Much: x.text("kit.uses-none")}
		var stated []string
		for _, c := range u.Certificates {
			text := c.Number.String()
			if c.State != "issued" {
				text += " (" + x.text("certificate.state-"+c.State) + ")"
			}
			stated = append(stated, text)
		}
		if len(stated) > 0 {
			row.Much = strings.Join(stated, ", ")
		}
		s.Rows = append(s.Rows, row)
	}
	return s.orEmpty(x.text("kit.not-used")), nil
}

// withWhat names what else took part in a calibration, seen from the item.
func (x *exchange) withWhat(i kit.Item, c equipment.CalibrationRow) string {
	var others []string
	for _, tag := range []string{c.KitTag, c.PairTag, c.CableTag} {
		if tag != "" && tag != i.Tag {
			others = append(others, tag)
		}
	}
	if len(others) == 0 {
		return ""
	}
	return x.text("calibration.with", "what", joined(", ", others...))
}

// itemFields are the fields of an item of the kind.
func (x *exchange) itemFields(kind kit.Kind) []field {
	fields := []field{
		{name: "tag", label: "label.kit_item.tag", hint: "hint.kit.tag", required: true},
		{name: "maker", label: "label.kit_item.maker"},
		{name: "model", label: "label.kit_item.model", beside: true},
		{name: "serial", label: "label.kit_item.serial"},
	}
	own := []field{
		{name: "firmware", label: "label.kit_item.firmware", beside: true},
		{name: "works_by", label: "label.kit_item.works_by", hint: "hint.kit.works_by", kind: part.Choice, required: true, options: choose(x.text("answer.choose"), options(x, "works-by.", kit.WaysToWork))},
		{name: "takes_spacing", label: "label.kit_item.takes_spacing", hint: "hint.kit.takes_spacing", kind: part.Choice, required: true,
			options: []part.Option{{Words: x.text("answer.choose")}, {Value: "yes", Words: x.text("answer.yes")}, {Value: "no", Words: x.text("answer.no")}}},
		{name: "least_snr_db", label: "label.kit_item.least_snr_db", hint: "hint.kit.least_snr_db", kind: part.Number},
		{name: "averaging_s", label: "label.kit_item.averaging_s", hint: "hint.kit.averaging_s", kind: part.Number, beside: true},
		{name: "resolution", label: "label.kit_item.resolution", hint: "hint.kit.resolution", kind: part.Number},
		{name: "wave", label: "label.kit_item.wave", kind: part.Choice, required: true, options: choose(x.text("answer.choose"), options(x, "wave.", kit.Waves))},
		{name: "frequency", label: "label.kit_item.frequency", hint: "hint.kit.frequency", kind: part.Number, beside: true},
		{name: "wedge_angle", label: "label.kit_item.wedge_angle", hint: "hint.kit.wedge_angle", kind: part.Number, required: true},
		{name: "wedge_sound_speed", label: "label.kit_item.wedge_sound_speed", hint: "hint.kit.wedge_sound_speed", kind: part.Number, required: true, beside: true},
		{name: "exit_offset", label: "label.kit_item.exit_offset", hint: "hint.kit.exit_offset", kind: part.Number, required: true},
		{name: "graduation", label: "label.kit_item.graduation", hint: "hint.kit.graduation", kind: part.Number, required: true},
	}
	fields = append(fields, slices.DeleteFunc(own, func(f field) bool { return !kind.Has(f.name) })...)
	return append(fields,
		field{name: "note", label: "label.kit_item.note", kind: part.Area},
		field{name: "out_of_service_on", label: "label.kit_item.out_of_service_at", hint: "hint.kit.out_of_service", kind: part.Date},
		field{name: "out_of_service_why", label: "label.kit_item.out_of_service_why", beside: true})
}

func itemCommand(i kit.Item, zone *time.Location) *equipment.ChangeItem {
	return &equipment.ChangeItem{ID: i.ID, Version: i.Version, ItemTexts: i.Texts(zone)}
}

func (x *exchange) addItemForm(kind kit.Kind) entry {
	lead := ""
	if kind.Known() {
		lead = x.text("kit.kind-" + string(kind))
	}
	return entry{heading: part.Heading{Trail: kitTrail(x), Title: x.text("kit.add-title"), Lead: lead}, action: "/kit",
		fields: x.itemFields(kind), hidden: []string{"operation", "id", "kind"}, deed: x.text("kit.add-it"), back: part.Link{Href: "/kit", Words: x.text("entry.back")}}
}

// newItem asks for the kind first: the rest of the form depends on it.
func (w *Web) newItem(x *exchange) error {
	kind := kit.Kind(x.r.URL.Query().Get("kind"))
	if !kind.Known() {
		p := broadPage{base: x.base(part.Heading{Trail: kitTrail(x), Title: x.text("kit.add-title"), Lead: x.text("kit.which-kind")})}
		for _, k := range kit.Kinds {
			p.Rows = append(p.Rows, part.Row{Href: "/kit/new?kind=" + string(k), Name: x.text("kit.kind-" + string(k)), More: x.text("kit.kind-more-" + string(k))})
		}
		return x.page(http.StatusOK, "list", p)
	}
	return x.show(x.addItemForm(kind), merged(x.ids(true), url.Values{"kind": {string(kind)}}))
}

func (w *Web) addItem(x *exchange) error {
	var c equipment.AddItem
	form, err := x.bind(&c)
	var done equipment.Written
	if err == nil {
		done, err = w.Equipment.AddItem(x.ctx(), x.actor, c)
	}
	if err != nil {
		return x.refuse(x.addItemForm(kit.Kind(c.Kind)), form, err)
	}
	return x.done("/kit/"+done.ID, "kit.added", http.StatusCreated, done)
}

func (x *exchange) changeItemForm(i kit.Item) entry {
	here := "/kit/" + i.ID.String()
	return entry{heading: part.Heading{Trail: itemTrail(x, i), Title: x.text("kit.change-title")}, action: here, fields: x.itemFields(i.Kind),
		hidden: []string{"operation", "version"}, deed: x.text("entry.save"), back: part.Link{Href: here, Words: x.text("entry.back")},
		stored: func(current any) url.Values { return formOf(itemCommand(current.(kit.Item), x.Zone)) },
		changed: func(current any) string {
			return x.changedBy(audit.Subject{Kind: audit.KitItem, ID: i.ID.String()}, current.(kit.Item).Version)
		}}
}

func (w *Web) editItem(x *exchange) error {
	i, err := x.pathItem()
	if err != nil {
		return err
	}
	return x.show(x.changeItemForm(i), merged(formOf(itemCommand(i, x.Zone)), x.ids(false)))
}

func (w *Web) changeItem(x *exchange) error {
	i, err := x.pathItem()
	if err != nil {
		return err
	}
	var c equipment.ChangeItem
	form, err := x.bind(&c)
	var done equipment.Written
	if err == nil {
		c.ID = i.ID
		done, err = w.Equipment.ChangeItem(x.ctx(), x.actor, c)
	}
	if err != nil {
		return x.refuse(x.changeItemForm(i), form, err)
	}
	return x.done("/kit/"+done.ID, "kit.changed", http.StatusOK, done)
}

func (w *Web) itemHistory(x *exchange) error {
	i, err := x.pathItem()
	if err != nil {
		return err
	}
	return x.history("/kit/"+i.ID.String(), itemTrail(x, i), audit.Subject{Kind: audit.KitItem, ID: i.ID.String()})
}
