package web

import (
	"slices"
	"strconv"

	"rillmark/domain"
	"rillmark/domain/sheet"
	"rillmark/service/capture"
	"rillmark/service/web/part"
)

// sheetRun is one run with every reading: corrected, set aside and taken back here.
func (w *Web) sheetRun(x *exchange) error {
	work, err := x.task()
	if err != nil {
		return err
	}
	return x.showRun(work, x.gin.Param("run"), nil)
}

func (x *exchange) showRun(w *capture.Work, id string, t *tried) error {
	for _, phase := range sheet.Phases {
		taken := w.Facts.Sheet.Taken(phase)
		i := slices.IndexFunc(taken, func(r sheet.Taken) bool { return r.ID.String() == id })
		if i >= 0 {
			p, err := x.runPage(w, phase, taken[i], t)
			if err != nil {
				return err
			}
			return x.showSheet(p, t)
		}
	}
	return domain.Refuse(domain.NotFound, domain.NoSuchThing.At("", "run"))
}

func (x *exchange) runPage(w *capture.Work, phase sheet.Phase, run sheet.Taken, t *tried) (*sheetPage, error) {
	p := x.sheetPage(w, string(phase))
	b := block{Title: x.text("sheet.run-title", "number", run.Number, "point", run.FlowPoint), Lead: joined(" · ", x.stamped(w, run.Stamp), run.Note)}
	table := part.Table{Caption: x.text("sheet.readings-word"), Columns: []part.Column{{Head: x.text("sheet.number-word")}, {Head: x.text("sheet.reference-word"), Figure: true}},
		Empty: x.text("sheet.no-readings")}
	for _, i := range w.Indications {
		table.Columns = append(table.Columns, part.Column{Head: i.Name, Figure: true})
	}
	table.Columns = append(table.Columns, part.Column{Head: x.text("sheet.state-word")})
	for _, r := range run.Readings {
		row := []part.Cell{{Text: strconv.Itoa(r.Number)}, {Text: r.ReferenceEntered}}
		for _, i := range w.Indications {
			shown, there := r.Of(i.ID)
			row = append(row, part.Cell{Text: orDash(shown.Entered, there), None: !there})
		}
		state := part.Cell{Text: x.text("sheet.used")}
		switch {
		case r.Aside != nil:
			state.Text = x.text("sheet.aside-because", "reason", r.Aside.Reason)
		case run.Aside != nil:
			state.Text = x.text("sheet.with-its-run")
		case r.Corrects != nil:
			state.Text = x.text("sheet.corrected-because", "reason", r.Reason)
		}
		if x.mayFill(w) {
			state.Href = sheetPath(w, "runs/"+run.ID.String()) + "?reading=" + r.ID.String()
		}
		table.Rows = append(table.Rows, append(row, state))
	}
	b.Table = &table
	logged, err := x.loggedRuns(w)
	if err != nil {
		return nil, err
	}
	if piece, is := logged[run.ID]; is {
		b.Lead = joined(" · ", b.Lead, x.text("trace.from-files"))
		b.Quiet = []part.Link{{Href: tracePath(w, "alignments/"+piece.AlignmentID.String()) + pickedQuery(w, piece.From, piece.To), Words: x.text("trace.see-picture")}}
	}
	if run.Aside != nil {
		b.Notices = []part.Notice{{Lead: x.text("sheet.run-aside"), Text: run.Aside.Reason}}
	}
	p.Blocks = []block{b}
	if x.mayFill(w) {
		p.Blocks = append(p.Blocks, x.runActs(w, run, t))
	}
	p.Blocks = append(p.Blocks, block{Quiet: []part.Link{{Href: sheetPath(w, string(phase)), Words: x.text("sheet.back-runs")}}})
	return p, nil
}

func orDash(text string, there bool) string {
	if !there {
		return "–"
	}
	return text
}

// runActs are the forms on a run, or on the reading that was chosen.
func (x *exchange) runActs(w *capture.Work, run sheet.Taken, t *tried) block {
	chosen := x.r.URL.Query().Get("reading")
	if t != nil {
		chosen = t.values.Get("corrects") + t.values.Get("reading_id")
	}
	here := sheetPath(w, "readings")
	for _, r := range run.Readings {
		if r.ID.String() != chosen {
			continue
		}
		f := x.ask("correct", here, []field{{name: "reason", label: "sheet.why-correct", hint: "sheet.why-correct-hint", kind: part.Area, required: true}},
			x.fresh("run_id", run.ID.String(), "corrects", r.ID.String(), "form", "correct"), []string{"run_id", "corrects", "form"}, t)
		x.readingRows(w, &f, 1, "correct", t)
		if t == nil || t.form != "correct" {
			prefill(w, &f, *r.Reading)
		}
		f.Summary, f.Button.Deed = x.text("sheet.correct-reading"), x.text("sheet.keep-correction")
		return block{Title: x.text("sheet.reading-number", "number", r.Number), Forms: []sheetForm{f, x.asideForm(w, run, r.ID.String(), r.Aside != nil, t)}}
	}
	f := x.ask("more", here, nil, x.fresh("run_id", run.ID.String(), "form", "more"), []string{"run_id", "form"}, t)
	x.readingRows(w, &f, 1, "more", t)
	f.Button.Deed = x.text("sheet.add-reading")
	return block{Title: x.text("sheet.one-more"), Forms: []sheetForm{f, x.asideForm(w, run, "", run.Aside != nil, t)}}
}

func prefill(w *capture.Work, f *sheetForm, r sheet.Reading) {
	f.Rows[0].Fields[0].Value = r.ReferenceEntered
	for j, i := range w.Indications {
		shown, _ := r.Of(i.ID)
		f.Rows[0].Fields[j+1].Value = shown.Entered
	}
}

func (x *exchange) asideForm(w *capture.Work, run sheet.Taken, reading string, back bool, t *tried) sheetForm {
	values := x.fresh("run_id", run.ID.String(), "reading_id", reading)
	key := "run"
	if reading != "" {
		key = "reading"
	}
	if back {
		values.Set("taken_back", "yes")
		key += "-back"
	}
	f := x.ask("aside", sheetPath(w, "aside"), []field{{name: "reason", label: "sheet.aside-why", hint: "sheet.aside-hint", kind: part.Area, required: true}}, values,
		[]string{"run_id", "reading_id", "taken_back"}, t)
	f.Summary = x.text("sheet.aside-" + key)
	f.Button = part.Button{Deed: f.Summary, Second: true}
	return f
}

func (w *Web) addReadings(x *exchange) error {
	return captured(x, "more", func(c *capture.AddReadings) (capture.Written, error) {
		return w.Capture.AddReadings(x.ctx(), x.actor, *c)
	}, func(work *capture.Work, c *capture.AddReadings, _ capture.Written) string {
		return sheetPath(work, "runs/"+c.RunID.String())
	},
		func(work *capture.Work, t *tried) error { return x.showRun(work, t.values.Get("run_id"), t) })
}

func (w *Web) setAside(x *exchange) error {
	return captured(x, "aside", func(c *capture.SetAside) (capture.Written, error) {
		return w.Capture.SetAside(x.ctx(), x.actor, *c)
	}, func(work *capture.Work, c *capture.SetAside, _ capture.Written) string {
		return sheetPath(work, "runs/"+c.RunID.String())
	},
		func(work *capture.Work, t *tried) error { return x.showRun(work, t.values.Get("run_id"), t) })
}
