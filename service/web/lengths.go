package web

import (
	"net/http"
	"strings"

	"rillmark/calc/quantity"
	"rillmark/domain/person"
	"rillmark/domain/sheet"
	"rillmark/service/account"
	"rillmark/service/capture"
	"rillmark/service/web/part"
)

// lengthsForm asks a person in which units lengths are shown.
func (x *exchange) lengthsForm() entry {
	return entry{heading: part.Heading{Trail: []part.Link{{Href: "/account", Words: x.visitor.Person.Name}}, Title: x.text("lengths.title"), Lead: x.text("lengths.lead")},
		action: "/account/lengths", hidden: []string{"operation"}, deed: x.text("lengths.keep"), back: part.Link{Href: "/account", Words: x.text("entry.back")},
		fields: []field{{name: "lengths", label: "label.person.lengths", open: true, required: true, options: []part.Option{
			{Value: string(person.Metric), Words: x.text("lengths.metric")}, {Value: string(person.Inch), Words: x.text("lengths.inch")}}}}}
}

func (w *Web) newLengths(x *exchange) error {
	values := x.ids(false)
	values.Set("lengths", string(x.visitor.Person.Lengths))
	return x.show(x.lengthsForm(), values)
}

func (w *Web) chooseLengths(x *exchange) error {
	var c account.ChooseLengths
	form, err := x.bind(&c)
	var done account.Written
	if err == nil {
		done, err = x.Accounts.ChooseLengths(x.ctx(), x.actor, c)
	}
	if err != nil {
		return x.refuse(x.lengthsForm(), form, err)
	}
	return x.done("/account", "lengths.kept", http.StatusOK, done)
}

// shownLength is a length of the survey as it was entered, with the person's own unit
// beside it where it was entered in the other system.
func (x *exchange) shownLength(name sheet.Name, v sheet.Value) string {
	own := x.length(capture.UnitOf(name), v.Number)
	if v.Count > 1 {
		return own
	}
	entry, err := quantity.Parse(v.Text, quantity.KindLength, quantity.Options{})
	if err != nil || inches(entry.Unit) == (x.visitor.Person.Lengths == person.Inch) {
		return v.Text
	}
	return v.Text + " (" + own + ")"
}

// length is a length in m in the person's unit for what is otherwise told in mm or m.
func (x *exchange) length(unit string, metres float64) string {
	inch := x.visitor.Person.Lengths == person.Inch
	switch {
	case inch && unit == "m":
		return inUnit(metres, quantity.KindLength, "ft", 0.01)
	case inch:
		return inUnit(metres, quantity.KindLength, "in", 0.001)
	case unit == "m":
		return inUnit(metres, quantity.KindLength, "m", 0.01)
	}
	return inUnit(metres, quantity.KindLength, unit, 0.01)
}

// besideMillimetres is a length in inches for a person who wants them, beside one that is
// told in millimetres; empty for others.
func (x *exchange) besideMillimetres(metres float64) string {
	if x.visitor.Person.Lengths != person.Inch {
		return ""
	}
	return inUnit(metres, quantity.KindLength, "in", 0.01)
}

func inches(unit string) bool {
	for _, name := range []string{"in", "ft", "yd", "mil"} {
		if strings.EqualFold(unit, name) {
			return true
		}
	}
	return false
}
