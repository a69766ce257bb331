package web

import (
	"slices"
	"strings"
	"time"

	"rillmark/domain/audit"
	"rillmark/service/registry"
	"rillmark/service/store"
	"rillmark/service/web/part"
)

// dated is a moment with its time, for putting moments of several sources in order.
type dated struct {
	at time.Time
	part.Moment
}

// timeline tells which meter was where, the newest first: who installed it, who removed
// it, why, and between the two what else changed. Times of installations are those of the
// site; those of changes the company's.
func (x *exchange) timeline(about audit.Subject, places []registry.Placed, name func(registry.Placed) string) ([]part.Moment, error) {
	var all []dated
	for _, p := range places {
		all = append(all, x.placed(p, name)...)
	}
	changes, err := x.changes(about)
	if err != nil {
		return nil, err
	}
	all = append(all, changes...)
	adjusted, err := x.adjusted(about)
	if err != nil {
		return nil, err
	}
	all = append(all, adjusted...)
	slices.SortStableFunc(all, func(a, b dated) int { return b.at.Compare(a.at) })
	moments := make([]part.Moment, len(all))
	for i, d := range all {
		moments[i] = d.Moment
	}
	return moments, nil
}

// Work sheets write far more events about a point than changes do: a few hundred are looked
// through for those that tell.
const (
	eventsAtOnce  = 200
	eventsAtMost  = 1000
	changesAtMost = eventsOnPage
)

// changes are the newest events of the trail that changed what is there.
func (x *exchange) changes(about audit.Subject) ([]dated, error) {
	var all []dated
	for before, seen := int64(0), 0; seen < eventsAtMost; seen += eventsAtOnce {
		entries, err := x.Records.Trail(x.ctx(), &about, before, eventsAtOnce)
		if err != nil {
			return nil, err
		}
		for _, e := range entries {
			before = e.Seq
			if m, tells := x.changeMoment(e); tells && len(all) < changesAtMost {
				all = append(all, dated{e.At, m})
			}
		}
		if len(entries) < eventsAtOnce || len(all) == changesAtMost {
			break
		}
	}
	return all, nil
}

// placed tells one installation as one or two moments. The name says what is told of it:
// its meter on the page of a point, its point on the page of a meter.
func (x *exchange) placed(p registry.Placed, name func(registry.Placed) string) []dated {
	zone, err := time.LoadLocation(p.TimeZone)
	if err != nil {
		zone = x.Zone
	}
	title := name(p)
	if p.Slot > 1 {
		title = x.text("timeline.slot", "what", title, "slot", p.Slot)
	}
	href := "/installations/" + p.ID.String()
	moments := []dated{{p.InstalledAt, part.Moment{When: p.InstalledAt.In(zone).Format(wordedTime), Title: x.text("timeline.installed", "what", title),
		Text: x.text("timeline.by", "who", p.InstalledBy, "why", p.InstallReason), Href: href, Now: p.RemovedAt == nil}}}
	if p.RemovedAt != nil {
		moments = append(moments, dated{*p.RemovedAt, part.Moment{When: p.RemovedAt.In(zone).Format(wordedTime), Title: x.text("timeline.removed", "what", title),
			Text: x.text("timeline.by", "who", *p.RemovedBy, "why", *p.RemoveReason), Href: href}})
	}
	return moments
}

// wordedTime is a time as pages tell it.
const wordedTime = "2 January 2006, 15:04"

// meterThere and placedThere name an installation on the page of its point and of its meter.
func meterThere(p registry.Placed) string  { return p.Meter() }
func placedThere(p registry.Placed) string { return p.PointTag + ", " + p.SiteName }

// quietEvents are told by the installations themselves, or are no change of what is there.
var quietEvents = []string{"installation.add", "installation.change"}

// sheetEvents are what a work sheet writes; its adjustments are told by themselves, the rest
// is no change of what is there and stands in the history.
var sheetEvents = []string{"survey.", "mounting.", "check.", "zero.", "plan.", "run.", "reading.", "aside.", "control.", "adjustment.", "task.", "evaluation."}

func ofSheet(action string) bool {
	return slices.ContainsFunc(sheetEvents, func(start string) bool { return strings.HasPrefix(action, start) })
}

// changeMoment tells what an event of the trail changed at a point or a meter.
func (x *exchange) changeMoment(e store.Entry) (part.Moment, bool) {
	action := e.Event.Action
	if slices.Contains(quietEvents, action) || ofSheet(action) || action == "meter.add" || action == "measuring_point.add" {
		return part.Moment{}, false
	}
	m := part.Moment{When: x.when(e.At), Title: x.text("event." + action), Text: x.actorName(e)}
	if name := x.nameIn(e); strings.HasSuffix(action, ".add") && name != "" {
		m.Title = x.text("timeline.added", "what", m.Title, "name", name)
	}
	if number := x.numberIn(e); strings.HasPrefix(action, "certificate.") && number != "" {
		m.Title = x.text("timeline.added", "what", m.Title, "name", number)
		m.Href = x.thingOf(e)
	}
	var told []string
	if strings.HasSuffix(action, ".change") {
		for _, c := range e.Event.Changes {
			for _, f := range c.Fields {
				told = append(told, x.text("timeline.changed", "field", x.text(fieldLabel(c.Kind, f.Name)),
					"before", orWord(x.valueOf(e, c, f.Name, f.Before), x.text("history.empty")), "after", orWord(x.valueOf(e, c, f.Name, f.After), x.text("history.empty"))))
			}
		}
	}
	if len(told) > 0 {
		m.Text = strings.Join(told, "; ") + ". " + m.Text
	}
	return m, true
}

// nameIn is the name of what an event added.
func (x *exchange) nameIn(e store.Entry) string {
	for _, c := range e.Event.Changes {
		for _, f := range c.Fields {
			if f.Name == "name" || f.Name == "order_number" {
				return x.valueOf(e, c, f.Name, f.After)
			}
		}
	}
	return ""
}

// numberIn is the number of the certificate that an event issued.
func (x *exchange) numberIn(e store.Entry) string {
	for _, c := range e.Event.Changes {
		for _, f := range c.Fields {
			if c.Kind == audit.Certificate && f.Name == "number" {
				return x.valueOf(e, c, f.Name, f.After)
			}
		}
	}
	return ""
}

func orWord(text, word string) string {
	if text == "" {
		return word
	}
	return text
}
