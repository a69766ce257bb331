package web

import (
	"net/http"
	"strconv"
	"strings"
	"time"

	"rillmark/domain"
	"rillmark/domain/audit"
	"rillmark/domain/sheet"
	"rillmark/service/store"
	"rillmark/service/web/part"
)

// eventsOnPage is how many events a page of history or audit shows.
const eventsOnPage = 50

type historyPage struct {
	base
	Events  []part.Event
	Further part.Further
	Empty   string
}

// history shows what happened to a thing, newest first, every field before and after.
func (x *exchange) history(here string, trail []part.Link, about audit.Subject) error {
	before, err := x.before()
	if err != nil {
		return err
	}
	entries, err := x.Records.Trail(x.ctx(), &about, before, eventsOnPage+1)
	if err != nil {
		return err
	}
	p := historyPage{base: x.base(part.Heading{Trail: trail, Title: x.text("history.title"), Lead: x.text("history.lead")}), Empty: x.text("history.none")}
	p.Further, entries = x.older(here+"/history", before, entries)
	for _, e := range entries {
		p.Events = append(p.Events, x.event(e, &about))
	}
	return x.page(http.StatusOK, "history", p)
}

// before reads from which event on the older ones are wanted; 0 is the newest.
func (x *exchange) before() (int64, error) {
	text := x.r.URL.Query().Get("before")
	if text == "" {
		return 0, nil
	}
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil || n < 1 {
		return 0, domain.Refuse(domain.Invalid, FieldMalformed.At("before", "the number of an event"))
	}
	return n, nil
}

// older cuts the one event too many that tells whether there are more, and leads to them.
func (x *exchange) older(path string, before int64, entries []store.Entry) (part.Further, []store.Entry) {
	join := "?"
	if strings.Contains(path, "?") {
		join = "&"
	}
	var f part.Further
	if before > 0 {
		f.First = part.Link{Href: path, Words: x.text("history.newest")}
	}
	if len(entries) > eventsOnPage {
		entries = entries[:eventsOnPage]
		f.Next = part.Link{Href: path + join + "before=" + strconv.FormatInt(entries[len(entries)-1].Seq, 10), Words: x.text("history.older")}
	}
	return f, entries
}

// event tells one entry of the trail. Only the rows of the thing itself are told when the
// event is shown as its history.
func (x *exchange) event(e store.Entry, about *audit.Subject) part.Event {
	shown := part.Event{What: x.text("event." + e.Event.Action), When: x.when(e.At), DateTime: e.At.UTC().Format(time.RFC3339Nano),
		Who: x.actorName(e), None: x.text("history.empty"), Reason: e.Event.Reason,
		New: strings.HasSuffix(e.Event.Action, ".add")}
	for _, c := range e.Event.Changes {
		if about != nil && len(e.Event.Changes) > 1 && (c.Kind != about.Kind || c.ID != about.ID) {
			continue
		}
		for _, f := range c.Fields {
			shown.Changes = append(shown.Changes, part.Change{Word: x.text(fieldLabel(c.Kind, f.Name)),
				Before: x.valueOf(e, c, f.Name, f.Before), After: x.valueOf(e, c, f.Name, f.After)})
		}
	}
	return shown
}

// fieldLabel is the key of a field's label; a length as it was entered has the length's.
func fieldLabel(kind audit.Kind, name string) string {
	return "label." + string(kind) + "." + strings.TrimSuffix(name, "_entered")
}

func (x *exchange) valueOf(e store.Entry, c audit.Change, name string, v *audit.Value) string {
	text, known := e.Text(v)
	switch {
	case !known:
		return x.text("history.erased")
	case text == "":
		return ""
	case name == "roles":
		return x.roles(strings.Split(text, ", "))
	case c.Kind == "survey_value" && name == "entered" && isChoice(c):
		return x.text("sheet.choice-" + text)
	}
	return x.told(c.Kind, name, text)
}

// isChoice reports whether a survey value's row holds one of a list rather than a text.
func isChoice(c audit.Change) bool {
	for _, f := range c.Fields {
		if f.Name == "name" && f.After != nil && f.After.Text != nil {
			m, known := sheet.About(sheet.Name(*f.After.Text))
			return known && m.Kind == sheet.KindChoice
		}
	}
	return false
}

func (x *exchange) actorName(e store.Entry) string {
	if name, program := strings.CutPrefix(e.Actor, "system:"); program {
		return x.text("history.program", "name", name)
	}
	return e.Actor
}

// changedBy says who made a thing's newest version, and when.
func (x *exchange) changedBy(about audit.Subject, version int64) string {
	entries, err := x.Records.Trail(x.ctx(), &about, 0, eventsOnPage)
	if err != nil {
		x.Log.Warn("who changed it cannot be read", "request", x.id, "error", err.Error())
	}
	for _, e := range entries {
		for _, c := range e.Event.Changes {
			if c.Kind == about.Kind && c.ID == about.ID && c.Version == version {
				return x.text("conflict.changed-by", "name", x.actorName(e), "when", x.when(e.At))
			}
		}
	}
	return x.text("conflict.changed")
}
