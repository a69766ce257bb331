package web

import (
	"maps"
	"net/http"
	"net/url"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"rillmark/service/web/part"
)

// conflictPage shows a form that was filled in while somebody else changed the same thing.
type conflictPage struct {
	base
	Action   string
	Conflict part.Conflict
	Hidden   []part.Field
}

// conflict answers a stale form: what was typed beside what is stored now, field by field
// where they differ, and a button that saves the typed side on the newest version.
func (x *exchange) conflict(e entry, typed url.Values, err error) error {
	current := currentOf(err)
	if current == nil || e.stored == nil {
		return err
	}
	stored := e.stored(current)
	typed = untouched(e, typed, stored)
	p := conflictPage{base: x.base(e.heading), Action: e.action}
	p.Conflict.Notice = part.Notice{Act: true, Lead: e.changed(current), Text: x.text("conflict.text")}
	p.Conflict.Save = part.Button{Deed: x.text("conflict.save")}
	p.Conflict.Drop = part.Link{Href: e.back.Href, Words: x.text("conflict.drop")}
	for _, f := range e.fields {
		mine := x.field(f, typed, nil)
		if slices.Equal(tidied(typed[f.name]), tidied(stored[f.name])) {
			for _, v := range typed[f.name] {
				p.Conflict.Same = append(p.Conflict.Same, part.Field{Name: f.name, Value: v})
			}
			continue
		}
		p.Conflict.Sides = append(p.Conflict.Sides, x.side(f, mine, stored))
	}
	if len(p.Conflict.Sides) == 0 {
		p.Conflict.Notice.Text = x.text("conflict.same")
	} else {
		p.Conflict.Sides[0].Mine.Focus = true
	}
	typed.Set("version", strconv.FormatInt(versionOf(current), 10))
	p.Hidden = hidden(e.hidden, typed)
	if render := x.page(http.StatusPreconditionFailed, "conflict", p); render != nil {
		return render
	}
	x.rejected = err
	return nil
}

// untouched gives the fields that nobody touched in the form what is stored now: only what
// was typed stands against it. A form that does not say what it showed keeps all its values.
func untouched(e entry, typed, stored url.Values) url.Values {
	shown, err := url.ParseQuery(typed.Get(asShown))
	if err != nil || !typed.Has(asShown) {
		return typed
	}
	merged := maps.Clone(typed)
	for _, f := range e.fields {
		if slices.Equal(tidied(typed[f.name]), tidied(shown[f.name])) {
			merged[f.name] = stored[f.name]
		}
	}
	merged.Set(asShown, e.shown(stored).Encode())
	return merged
}

func (x *exchange) side(f field, mine part.Field, stored url.Values) part.Side {
	mine.Label, mine.Hint = x.text("conflict.mine"), ""
	theirs := part.Field{Name: f.name, ID: "theirs-" + f.name, Label: x.text("conflict.theirs"), Kind: part.Shown,
		Value: strings.Join(stored[f.name], ", "), Unit: f.unit}
	if len(f.options) > 0 {
		theirs.Value = optionWords(f.options, stored[f.name])
	}
	if theirs.Value == "" {
		theirs.Value = x.text("history.empty")
	}
	return part.Side{Title: x.text(f.label), Mine: mine, Theirs: theirs, Choices: f.open}
}

func optionWords(options []part.Option, values []string) string {
	var words []string
	for _, o := range options {
		if slices.Contains(values, o.Value) {
			words = append(words, o.Words)
		}
	}
	return strings.Join(words, ", ")
}

func tidied(values []string) []string {
	var kept []string
	for _, v := range values {
		if v = strings.TrimSpace(v); v != "" {
			kept = append(kept, v)
		}
	}
	return kept
}

// versionOf reads the version of a thing; every mutable row has one.
func versionOf(thing any) int64 {
	v := reflect.Indirect(reflect.ValueOf(thing))
	if v.Kind() != reflect.Struct || !v.FieldByName("Version").IsValid() {
		return 0
	}
	return v.FieldByName("Version").Int()
}
