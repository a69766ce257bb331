package web

import (
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"rillmark/domain"
	"rillmark/service/web/part"
)

// field is what a form knows of one of its fields before anything is entered.
type field struct {
	name     string
	label    string // key of the words
	hint     string // key, empty: none
	kind     part.Kind
	required bool
	complete string // autocomplete token
	options  []part.Option
	several  bool // options of which more than one may hold
	open     bool // options are listed openly
	beside   bool // stands beside the field before where there is room
	unit     string
	offers   []string // texts offered while typing
	accept   string   // of a file: the forms that are taken
	columns  []field  // of a grid: what each row asks for
	rows     int      // of a grid: how many rows stand empty when nothing is entered
}

// entry is a form for one command: where it goes, what it asks for, what its button does.
type entry struct {
	heading part.Heading
	action  string
	fields  []field
	hidden  []string // fields that are sent along unseen: operation, id, version
	deed    string   // words of the button
	back    part.Link
	notice  *part.Notice
	stored  func(current any) url.Values // of a changed thing: its fields as they stand now
	changed func(current any) string     // says who changed it meanwhile, and when
	upload  bool                         // a file comes along
	wide    bool
	within  string // the field that tells what is wrong inside of it, by path: a text that is JSON
}

// entryPage shows a form, fresh or rejected.
type entryPage struct {
	base
	Action string
	Notice *part.Notice
	Groups []group
	Hidden []part.Field
	Button part.Button
	Back   part.Link
	Upload bool
	Wide   bool
}

// asShown is the hidden field in which a form of a thing that can change meanwhile carries what
// its fields held when it was shown: what a person did not touch gives way to what is stored.
const asShown = "as_shown"

// shown are the values of the form's own fields.
func (e entry) shown(values url.Values) url.Values {
	own := url.Values{}
	for _, f := range e.fields {
		if v := tidied(values[f.name]); len(v) > 0 {
			own[f.name] = v
		}
	}
	return own
}

// group is one field, several that stand beside each other, or a grid.
type group struct {
	Fields  []part.Field
	Choices bool
	Grid    *part.Grid
}

// ids makes the fields that every new form needs: the operation's id, made when the form
// is shown, so that it is the same however often the form is sent; and for a new thing
// the thing's own.
func (x *exchange) ids(fresh bool) url.Values {
	form := url.Values{"operation": {domain.NewID[domain.OperationKind](x.IDs).String()}}
	if fresh {
		form.Set("id", x.IDs().String())
	}
	return form
}

// show shows a form that holds the values.
func (x *exchange) show(e entry, values url.Values) error {
	return x.page(http.StatusOK, "entry", x.entryPage(e, values, nil))
}

// refuse answers a form that was not accepted. What was typed stays; each sentence stands
// beside its field and the first wrong field has the cursor. Errors that are about the
// person or the thing, not about the entry, are answered elsewhere.
func (x *exchange) refuse(e entry, values url.Values, err error) error {
	if x.wantsJSON() || !x.formKnown || x.formErr != nil {
		return err
	}
	switch domain.KindOf(err) {
	case domain.NotFound, domain.Forbidden, domain.Unauthenticated, domain.TooLarge:
		return err
	case domain.Stale:
		return x.conflict(e, values, err)
	case domain.Reused:
		values = x.renewed(values)
	}
	if wait := retryAfter(err); wait != "" {
		x.gin.Header("Retry-After", wait)
	}
	if render := x.page(statusOf(err), "entry", x.entryPage(e, values, err)); render != nil {
		return render
	}
	x.rejected = err
	return nil
}

// renewed gives a form new ids: the ones it had stand for something that was stored.
func (x *exchange) renewed(values url.Values) url.Values {
	for name, v := range x.ids(values.Has("id") && !values.Has("version")) {
		values[name] = v
	}
	return values
}

func (x *exchange) entryPage(e entry, values url.Values, err error) entryPage {
	p := entryPage{base: x.base(e.heading), Action: e.action, Notice: e.notice, Back: e.back,
		Button: part.Button{Deed: e.deed}, Upload: e.upload, Wide: e.wide}
	said := map[string][]string{}
	if err != nil {
		said = x.Book.ByField(x.faultsOf(err))
	}
	told := x.within(e, said)
	focused := false
	for _, f := range e.fields {
		if len(f.columns) > 0 {
			g := x.grid(f, values, said, &focused)
			p.Groups = append(p.Groups, group{Grid: &g})
			continue
		}
		shown := x.field(f, values, append(said[f.name], told[f.name]...))
		if len(shown.Wrong) > 0 && !focused {
			shown.Focus, focused = true, true
		}
		delete(said, f.name)
		g := group{Fields: []part.Field{shown}, Choices: f.open}
		if last := len(p.Groups) - 1; f.beside && last >= 0 {
			p.Groups[last].Fields = append(p.Groups[last].Fields, shown)
			continue
		}
		p.Groups = append(p.Groups, g)
	}
	if !focused && err == nil && len(p.Groups) > 0 && len(p.Groups[0].Fields) > 0 && values.Get(e.fields[0].name) == "" {
		p.Groups[0].Fields[0].Focus = true
	}
	if err != nil {
		p.Notice = x.rejection(said, focused)
	}
	if e.stored != nil && !values.Has(asShown) {
		values.Set(asShown, e.shown(values).Encode())
	}
	p.Hidden = hidden(e.hidden, values)
	return p
}

// rejection says above the form that it was not accepted, with what belongs to no field
// that is shown.
func (x *exchange) rejection(rest map[string][]string, below bool) *part.Notice {
	n := &part.Notice{Act: true, Lead: x.text("entry.refused")}
	if below {
		n.Text = x.text("entry.see-below")
	}
	for _, sentences := range sortedValues(rest) {
		n.Items = append(n.Items, sentences...)
	}
	return n
}

func (x *exchange) field(f field, values url.Values, wrong []string) part.Field {
	shown := part.Field{Name: f.name, Label: x.text(f.label), Kind: f.kind, Value: strings.ToValidUTF8(values.Get(f.name), "\ufffd"), Unit: f.unit,
		Required: f.required, Complete: f.complete, Options: f.options, Several: f.several, Values: values[f.name], Wrong: wrong, Offers: f.offers, Accept: f.accept}
	if f.hint != "" {
		shown.Hint = x.text(f.hint)
	}
	if f.kind == part.Password {
		shown.Value = ""
	}
	return shown
}

// hidden carries along what is not shown: the form's own ids, and the name of the kept
// entry that it came from.
func hidden(names []string, values url.Values) []part.Field {
	var fields []part.Field
	for _, name := range append(slices.Clone(names), "kept", asShown) {
		if values.Get(name) != "" {
			fields = append(fields, part.Field{Name: name, Value: values.Get(name)})
		}
	}
	return fields
}

func sortedKeys(m map[string][]string) []string { return slices.Sorted(maps.Keys(m)) }

func sortedValues(m map[string][]string) [][]string {
	keys := sortedKeys(m)
	values := make([][]string, len(keys))
	for i, k := range keys {
		values[i] = m[k]
	}
	return values
}
