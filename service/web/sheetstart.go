package web

import (
	"net/http"
	"slices"
	"strings"

	"rillmark/domain/sheet"
	"rillmark/service/capture"
	"rillmark/service/web/part"
)

// sheetStart is the whole work sheet at a glance: where, what to mind, and how far each
// place has come.
func (w *Web) sheetStart(x *exchange) error {
	work, err := x.task()
	if err != nil {
		return err
	}
	p := x.sheetPage(work, "")
	p.Whole = part.Link{}
	p.Heading.Lead = joined(" · ", work.Principle, joined(" ", work.Maker, work.Model), work.Serial)
	if work.SafetyNote != "" {
		p.Blocks = append(p.Blocks, block{Notices: []part.Notice{{Act: true, Lead: x.text("thing.safety"), Text: work.SafetyNote}, {Text: x.text("sheet.local-first")}}})
	}
	b := block{ID: "places"}
	gaps := work.Facts.Sheet.Missing()
	if len(gaps) > 0 && x.mayFill(work) {
		b.Acts = []part.Button{{Deed: x.text("sheet.next-" + string(gaps[0].Step)), Href: gapPath(work, gaps[0]), Second: len(work.Stops()) > 0}}
	}
	b.Rows = x.placeRows(work, gaps)
	files, err := x.Tracing.Files(x.ctx(), x.actor, work.TaskID)
	if err != nil {
		return err
	}
	logged := part.Row{Href: sheetPath(work, "traces"), Name: x.text("trace.title"), More: x.text("trace.row")}
	if len(files) > 0 {
		logged.Much = x.text("trace.files", "n", len(files))
	}
	b.Rows = append(b.Rows, logged)
	p.Blocks = append(p.Blocks, b, block{Title: x.text("sheet.ground-title"), Facts: x.groundFacts(work), Quiet: []part.Link{{Href: sheetPath(work, "paper"), Words: x.text("paper.open")}}})
	return x.page(http.StatusOK, "sheet", p)
}

// stepsOf are the steps of the domain that belong to each place.
var stepsOf = map[string][]sheet.Step{"survey": {sheet.StepSurvey}, "mounting": {sheet.StepMounting}, "check": {sheet.StepCheck, sheet.StepZero, sheet.StepRecheck},
	"before": {sheet.StepBefore}, "adjust": {sheet.StepAdjust}, "after": {sheet.StepAfter}, "verdict": {sheet.StepClose}}

func (x *exchange) placeRows(w *capture.Work, gaps []sheet.Gap) []part.Row {
	progress := w.Facts.Sheet.Steps()
	var rows []part.Row
	for _, at := range sheetPlaces {
		row := part.Row{Href: sheetPath(w, at.path), Name: x.text("sheet.place-" + at.name)}
		n, missing := 0, 0
		for _, s := range progress {
			if slices.Contains(stepsOf[at.name], s.Step) {
				n, missing = n+s.Rows, missing+s.Missing
			}
		}
		for _, g := range gaps {
			if slices.Contains(stepsOf[at.name], g.Step) && row.More == "" {
				row.More = x.Book.Fault(x.Book.Worded(g.Fault))
			}
		}
		switch {
		case at.name == "survey" && len(w.Stops()) > 0:
			row.Needs = x.text("sheet.place-look")
		case n == 0 && missing == 0 && (at.name == "adjust" || at.name == "after") && notAdjusted(w) != "":
			row.Much = x.text("sheet.place-not-adjusted")
		case n > 0 && missing == 0:
			row.Much = x.text("sheet.place-whole")
		case n > 0:
			row.Much = x.text("sheet.place-begun")
		}
		rows = append(rows, row)
	}
	return rows
}

func (x *exchange) groundFacts(w *capture.Work) []part.Fact {
	facts := []part.Fact{{Word: x.text("sheet.order"), Text: w.OrderNumber}, {Word: x.text("sheet.method"), Text: joined(" · ", w.MethodNumber, w.MethodTitle)},
		{Word: x.text("sheet.crew-word"), Text: x.crew(w)}, {Word: x.text("sheet.when"), Text: x.clock(w, w.From) + " – " + w.To.In(w.Zone()).Format("15:04")}}
	var tags []string
	for _, k := range w.Kit {
		tags = append(tags, k.Tag)
	}
	facts = append(facts, part.Fact{Word: x.text("sheet.kit-word"), Text: strings.Join(tags, ", ")})
	if w.AccessNote != "" {
		facts = append(facts, part.Fact{Word: x.text("label.site.access_note"), Text: w.AccessNote})
	}
	return facts
}
