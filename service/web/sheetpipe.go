package web

import (
	"net/url"
	"strings"

	"rillmark/calc/pipe"
	"rillmark/calc/quantity"
	"rillmark/domain/sheet"
	"rillmark/service/capture"
	"rillmark/service/web/part"
)

// sheetPipe picks a pipe from its product standard, in three steps that each need no script:
// the standard, the size, and the schedule with its wall.
func (w *Web) sheetPipe(x *exchange) error {
	work, err := x.task()
	if err != nil {
		return err
	}
	return x.showPipe(work, nil)
}

func (x *exchange) showPipe(w *capture.Work, t *tried) error {
	p := x.sheetPage(w, "survey")
	q := x.r.URL.Query()
	if t != nil {
		q = t.values
	}
	b := block{Title: x.text("sheet.pick-pipe"), Quiet: []part.Link{{Href: sheetPath(w, "survey"), Words: x.text("sheet.back-survey")}}}
	if x.mayFill(w) {
		x.pickSteps(w, &b, q, t)
	}
	p.Blocks = []block{b}
	return x.showSheet(p, t)
}

// pickSteps adds the form of the step that is next, and ways back to the steps before.
func (x *exchange) pickSteps(w *capture.Work, b *block, q url.Values, t *tried) {
	standard, size := q.Get("standard"), q.Get("size")
	sizes, err := pipe.Sizes(standard)
	if err != nil {
		b.Lead = x.text("sheet.pick-standard-lead")
		b.Forms = []sheetForm{x.standardForm(w)}
		return
	}
	b.Quiet = append([]part.Link{{Href: sheetPath(w, "pipe"), Words: x.text("sheet.other-standard")}}, b.Quiet...)
	walls, err := pipe.Walls(standard, size)
	if err != nil {
		b.Lead = x.text("sheet.pick-size-lead", "standard", standard)
		b.Forms = []sheetForm{x.sizeForm(w, standard, sizes)}
		return
	}
	b.Quiet = append([]part.Link{{Href: sheetPath(w, "pipe") + "?" + url.Values{"standard": {standard}}.Encode(), Words: x.text("sheet.other-size")}}, b.Quiet...)
	b.Lead = x.text("sheet.pick-pipe-lead", "standard", standard, "size", walls[0].Size.Label(), "diameter", millimetres(walls[0].Size.OutsideDiameter))
	b.Forms = []sheetForm{x.wallForm(w, standard, size, walls, t)}
}

func (x *exchange) standardForm(w *capture.Work) sheetForm {
	var options []part.Option
	for _, s := range pipe.Standards() {
		options = append(options, part.Option{Value: s, Words: s, More: x.text("sheet.standard-" + strings.ReplaceAll(s, " ", "-"))})
	}
	chosen := w.Facts.Sheet.Now().Text(sheet.PipeStandard)
	if _, err := pipe.Sizes(chosen); err != nil {
		chosen = pipe.Standards()[0]
	}
	fields := []field{{name: "standard", label: "sheet.pipe-standard", open: true, required: true, options: options}}
	return x.step(w, "standard", fields, url.Values{"standard": {chosen}}, nil, "sheet.to-sizes")
}

func (x *exchange) sizeForm(w *capture.Work, standard string, sizes []pipe.Size) sheetForm {
	options := []part.Option{{Words: x.text("sheet.choose")}}
	for _, s := range sizes {
		options = append(options, part.Option{Value: s.Name, Words: s.Label() + " · " + millimetres(s.OutsideDiameter)})
	}
	fields := []field{{name: "size", label: "sheet.pipe-size", kind: part.Choice, options: options, required: true}}
	return x.step(w, "size", fields, url.Values{"standard": {standard}}, []string{"standard"}, "sheet.to-schedules")
}

// step is a form that only leads on: it asks the page anew and writes nothing.
func (x *exchange) step(w *capture.Work, id string, fields []field, values url.Values, hidden []string, deed string) sheetForm {
	f := x.ask(id, sheetPath(w, "pipe"), fields, values, nil, nil)
	f.Method, f.Hidden = "get", nil
	for _, name := range hidden {
		f.Hidden = append(f.Hidden, part.Field{Name: name, Value: values.Get(name)})
	}
	f.Button.Deed = x.text(deed)
	return f
}

func (x *exchange) wallForm(w *capture.Work, standard, size string, walls []pipe.Pipe, t *tried) sheetForm {
	options := []part.Option{{Words: x.text("sheet.choose")}}
	for _, p := range walls {
		options = append(options, part.Option{Value: p.Schedule, Words: x.wallWords(p)})
	}
	fields := []field{
		{name: "schedule", label: "sheet.pipe-schedule", hint: "sheet.pipe-schedule-hint", kind: part.Choice, options: options, required: true},
		{name: "source", label: "sheet.pipe-source", open: true, required: true, options: x.sourceOptions(sheet.Meaning{})[2:]},
	}
	f := x.ask("pipe", sheetPath(w, "pipe"), fields, x.fresh("standard", standard, "size", size, "source", string(sheet.Nameplate)), []string{"standard", "size"}, t)
	f.Button.Deed = x.text("sheet.take-pipe")
	return f
}

// wallWords are a pipe's schedules with its wall: "40, STD · 7.11 mm".
func (x *exchange) wallWords(p pipe.Pipe) string {
	wall, err := quantity.Format(p.Wall.SI(), quantity.KindLength, "mm", 0.01, quantity.Options{})
	if err != nil {
		wall = p.Schedule // a table's wall can be printed
	}
	if p.WallIsMinimum {
		wall = x.text("sheet.wall-at-least", "wall", wall)
	}
	return joined(" · ", strings.Join(p.Designations, ", "), wall)
}

func millimetres(l quantity.Length) string { return inUnit(l.SI(), quantity.KindLength, "mm", 0.1) }

func (w *Web) pickPipe(x *exchange) error {
	return captured(x, "pipe", func(c *capture.PickPipe) (capture.Written, error) {
		return w.Capture.PickPipe(x.ctx(), x.actor, *c)
	}, func(work *capture.Work, _ *capture.PickPipe, _ capture.Written) string {
		return sheetPath(work, "survey/"+string(sheet.Wall))
	}, func(work *capture.Work, t *tried) error { return x.showPipe(work, t) })
}
