package web

import (
	"rillmark/domain"
	"rillmark/domain/evaluation"
	"rillmark/domain/sheet"
	"rillmark/service/capture"
	"rillmark/service/web/part"
)

// missingBlock says what is still missing, and leads there.
func (x *exchange) missingBlock(w *capture.Work) []block {
	gaps := w.Facts.Sheet.Missing()
	if len(gaps) == 0 {
		return nil
	}
	b := block{ID: "missing", Title: x.text("sheet.missing-title"), Lead: x.text("sheet.missing-lead")}
	for _, g := range gaps {
		if g.Step != sheet.StepClose { // what is still inhibited is said before everything else
			b.Rows = append(b.Rows, part.Row{Href: gapPath(w, g), Name: x.Book.Fault(x.Book.Worded(g.Fault))})
		}
	}
	if len(b.Rows) == 0 {
		return nil
	}
	return []block{b}
}

// gapPath is where what is missing is filled in.
func gapPath(w *capture.Work, g sheet.Gap) string {
	switch g.Step {
	case sheet.StepSurvey:
		return sheetPath(w, "survey/"+g.Field)
	case sheet.StepMounting:
		return sheetPath(w, "mounting")
	case sheet.StepCheck, sheet.StepZero, sheet.StepRecheck:
		return sheetPath(w, "check")
	case sheet.StepBefore:
		return sheetPath(w, "before")
	case sheet.StepAfter:
		return sheetPath(w, "after")
	case sheet.StepClose:
		if g.Code == sheet.MissingClose {
			return sheetPath(w, "verdict")
		}
	}
	return sheetPath(w, "adjust")
}

// closing keeps the evaluation, and says how the task ended.
func (x *exchange) closing(w *capture.Work, r evaluation.Result, t *tried) []block {
	var blocks []block
	kept := block{ID: "keep", Title: x.text("sheet.kept-title")}
	same := false
	for _, e := range w.Evaluations {
		m := part.Moment{When: joined(", ", w.People[e.By], x.clock(w, e.At)), Title: x.text("sheet.evaluation-number", "number", e.Number)}
		if e.Input == r.Input {
			m.Now, same = true, true
			m.Text = x.text("sheet.evaluation-same")
			kept.Quiet = []part.Link{{Href: "/evaluations/" + e.ID.String() + "/sheet.pdf", Words: x.text("review.result-sheet-leave")}}
		}
		kept.Timeline = append(kept.Timeline, m)
	}
	if x.mayFill(w) && !same && len(r.Phases) > 0 {
		f := x.ask("keep", sheetPath(w, "evaluation"), nil, x.fresh(), nil, t)
		f.Lead, f.Button.Deed = x.text("sheet.keep-evaluation-lead"), x.text("sheet.keep-evaluation")
		kept.Forms = []sheetForm{f}
	}
	if len(kept.Timeline)+len(kept.Forms) > 0 {
		blocks = append(blocks, kept)
	}
	end := block{ID: "end", Title: x.text("sheet.notes-title")}
	for i := len(w.Facts.Sheet.Notes) - 1; i >= 0; i-- {
		n := w.Facts.Sheet.Notes[i]
		end.Timeline = append(end.Timeline, part.Moment{When: x.stamped(w, n.Stamp), Title: x.text("sheet.note-" + string(n.Kind)), Text: n.Text})
	}
	if x.mayFill(w) {
		end.Forms = []sheetForm{x.noteForm(w, t)}
	}
	return append(blocks, end)
}

func (x *exchange) noteForm(w *capture.Work, t *tried) sheetForm {
	var kinds []part.Option
	for _, k := range []sheet.NoteKind{sheet.Finished, sheet.PartlyDone, sheet.NotPossible, sheet.Deviation, sheet.Condition} {
		kinds = append(kinds, part.Option{Value: string(k), Words: x.text("sheet.note-" + string(k)), More: x.text("sheet.note-" + string(k) + "-more")})
	}
	f := x.ask("note", sheetPath(w, "notes"), []field{{name: "kind", label: "sheet.note-kind", options: kinds, open: true, required: true},
		{name: "text", label: "sheet.note-text", hint: "sheet.note-hint", kind: part.Area, required: true}}, x.fresh("form", "note"), []string{"form"}, t)
	f.Button.Deed, f.Summary = x.text("sheet.keep-note"), x.text("sheet.note-open")
	return f
}

func (w *Web) noteTask(x *exchange) error {
	return captured(x, "note", asking(x, (*capture.Work).QuestionClose, func(c *capture.NoteTask) (capture.Written, error) {
		written, err := w.Capture.NoteTask(x.ctx(), x.actor, *c)
		if err == nil && sheet.NoteKind(c.Kind).Closes() {
			x.evaluateClosed(c.At)
		}
		return written, err
	}), func(work *capture.Work, c *capture.NoteTask, _ capture.Written) string {
		if sheet.NoteKind(c.Kind) == sheet.NotAdjusted {
			return sheetPath(work, "verdict")
		}
		return sheetPath(work, "verdict") + "#end"
	}, func(work *capture.Work, t *tried) error {
		if t.form == "not-adjusted" {
			return x.showAdjust(work, t)
		}
		return x.showVerdict(work, t)
	})
}

// evaluateClosed keeps the evaluation of a sheet that was closed just now, for the approver.
// Where nothing can be evaluated the note stands all the same.
func (x *exchange) evaluateClosed(at capture.At) {
	at.Operation = domain.NewID[domain.OperationKind](x.IDs)
	if _, err := x.Capture.Evaluate(x.ctx(), x.actor, capture.Evaluate{At: at, ID: domain.NewID[domain.EvaluationKind](x.IDs)}); err != nil {
		x.Log.Info("a closed sheet was not evaluated", "request", x.id, "task", at.TaskID.String(), "error", err.Error())
	}
}

func (w *Web) keepEvaluation(x *exchange) error {
	return captured(x, "keep", func(c *capture.Evaluate) (capture.Written, error) {
		return w.Capture.Evaluate(x.ctx(), x.actor, *c)
	}, func(work *capture.Work, _ *capture.Evaluate, _ capture.Written) string {
		return sheetPath(work, "verdict") + "#keep"
	},
		func(work *capture.Work, t *tried) error { return x.showVerdict(work, t) })
}
