package web

import (
	"net/http"
	"net/url"
	"slices"
	"strings"

	"rillmark/domain"
	"rillmark/service/account"
	"rillmark/service/web/part"
)

// keptPage shows a form that met an ended session, with all that was typed, to be sent or
// thrown away. Sending it is the form itself, with the operation's id that it had.
type keptPage struct {
	base
	Facts  []part.Fact
	Action string
	Hidden []part.Field
	Send   part.Button
	Drop   string
	DropAt string
}

// kept is the notice of what waits for the person; the newest of several.
func (x *exchange) kept() *part.Kept {
	if x.visitor.Kept == 0 || strings.HasPrefix(x.r.URL.Path, "/kept/") {
		return nil
	}
	list, err := x.Accounts.KeptFor(x.ctx(), x.actor)
	if err != nil {
		x.Log.Warn("kept entries cannot be read", "request", x.id, "error", err.Error())
		return nil
	}
	if len(list) == 0 {
		return nil
	}
	k := list[0]
	return &part.Kept{
		Notice: part.Notice{Lead: x.text("kept.lead", "n", len(list)), Text: x.text("kept.text", "when", x.when(k.At), "what", x.what(k))},
		Take:   part.Link{Href: "/kept/" + k.ID.String(), Words: x.text("kept.take")},
		Drop:   x.text("kept.drop"), DropAt: "/kept/" + k.ID.String() + "/drop",
	}
}

// what names the deed of a kept form by the path it was sent to: a list takes a new
// thing, a thing takes a change.
func (x *exchange) what(k account.Kept) string {
	nouns := map[string]string{"clients": "client", "sites": "site", "points": "point", "people": "person",
		"meters": "meter", "indications": "indication", "installations": "installation", "kit": "kit", "calibrations": "calibration", "sets": "set",
		"methods": "method", "editions": "edition", "authorisations": "authorisation", "agreements": "agreement"}
	steps := strings.Split(strings.Trim(k.Path, "/"), "/")
	if steps[0] == "tasks" {
		return x.keptOfSheet(steps)
	}
	deed, place := "add-", len(steps)-1
	if len(steps) == 2 {
		deed, place = "change-", 0
	}
	if noun, known := nouns[steps[place]]; known {
		return x.text("kept." + deed + noun)
	}
	return x.text("kept.other")
}

// keptOfSheet names the work sheet, where it can still be read.
func (x *exchange) keptOfSheet(steps []string) string {
	if len(steps) > 1 {
		if id, err := domain.ParseID[domain.TaskKind](steps[1]); err == nil {
			if w, err := x.Capture.Sheet(x.ctx(), x.actor, id); err == nil {
				return x.text("sheet.kept-of", "point", joined(" ", w.Tag, w.Point), "site", w.Site)
			}
		}
	}
	return x.text("sheet.kept")
}

func (x *exchange) keptEntry() (account.Kept, error) {
	none := domain.Refuse(domain.NotFound, domain.NoSuchThing.At("", "kept entry"))
	id, err := domain.ParseID[domain.EntryKind](x.gin.Param("entry"))
	if err != nil {
		return account.Kept{}, none
	}
	list, err := x.Accounts.KeptFor(x.ctx(), x.actor)
	if err != nil {
		return account.Kept{}, err
	}
	i := slices.IndexFunc(list, func(k account.Kept) bool { return k.ID == id })
	if i < 0 {
		return account.Kept{}, none
	}
	return list[i], nil
}

func (w *Web) showKept(x *exchange) error {
	k, err := x.keptEntry()
	if domain.KindOf(err) == domain.NotFound && err != nil {
		return x.see("/", "") // somebody else logged in, or it was sent already
	}
	if err != nil {
		return err
	}
	form, err := url.ParseQuery(k.Form)
	if err != nil {
		return err
	}
	p := keptPage{base: x.base(part.Heading{Title: x.text("kept.title"), Lead: x.text("kept.text", "when", x.when(k.At), "what", x.what(k))}),
		Action: k.Path, Send: part.Button{Deed: x.text("kept.send")}, Drop: x.text("kept.drop"), DropAt: "/kept/" + k.ID.String() + "/drop"}
	form.Set("kept", k.ID.String())
	for _, name := range sortedNames(form) {
		for _, v := range form[name] {
			p.Hidden = append(p.Hidden, part.Field{Name: name, Value: v})
		}
	}
	for _, f := range x.keptFields() {
		if text := strings.Join(form[f.name], ", "); text != "" {
			p.Facts = append(p.Facts, part.Fact{Word: x.text(f.label), Text: text})
		}
	}
	return x.page(http.StatusOK, "kept", p)
}

func (w *Web) dropKept(x *exchange) error {
	k, err := x.keptEntry()
	if err != nil {
		return err
	}
	if err := x.Accounts.Drop(x.ctx(), x.actor, k.ID); err != nil {
		return err
	}
	return x.see("/", "kept.dropped")
}

// settle throws away the kept entry that a form came from, now that it was carried out.
// That it stays when this fails does no harm: sent again, it happens no second time.
func (x *exchange) settle() {
	id, err := domain.ParseID[domain.EntryKind](x.form.Get("kept"))
	if err != nil {
		return
	}
	if err := x.Accounts.Drop(x.ctx(), x.actor, id); err != nil {
		x.Log.Warn("a kept entry stays", "request", x.id, "error", err.Error())
	}
}

func sortedNames(form url.Values) []string {
	names := make([]string, 0, len(form))
	for name := range form {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}
