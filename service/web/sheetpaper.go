package web

import (
	"math"
	"net/http"
	"strconv"

	"rillmark/domain/sheet"
	"rillmark/service/capture"
	"rillmark/service/web/part"
)

// paperPage is the work sheet to be filled in by hand, where no phone may come along: every
// value with a line, what is known beside it, and a row for each reading.
type paperPage struct {
	base
	Safety []part.Notice
	Facts  []part.Fact
	Tables []part.Table
	Print  string
	Back   part.Link
}

// byHand are how many lines a value has that is read at several places.
var byHand = map[sheet.Name]int{sheet.OutsideDiameter: 2, sheet.Wall: 4}

func (w *Web) sheetPaper(x *exchange) error {
	work, err := x.task()
	if err != nil {
		return err
	}
	p := paperPage{Print: x.text("sheet.print"), Back: part.Link{Href: sheetPath(work, "sheet"), Words: x.text("sheet.whole")}}
	p.base = x.base(part.Heading{Title: x.text("paper.title", "point", joined(" ", work.Tag, work.Point)), Lead: x.text("paper.lead"),
		Trail: []part.Link{{Href: "/clients/" + work.ClientID.String(), Words: work.Client}, {Href: "/sites/" + work.SiteID.String(), Words: work.Site}}})
	p.Zone = work.TimeZone
	if work.SafetyNote != "" {
		p.Safety = append(p.Safety, part.Notice{Act: true, Lead: x.text("thing.safety"), Text: work.SafetyNote})
	}
	p.Safety = append(p.Safety, part.Notice{Text: x.text("paper.caution")})
	p.Facts = append(x.groundFacts(work), part.Fact{Word: x.text("paper.meter"), Text: joined(" · ", work.Principle, joined(" ", work.Maker, work.Model), work.Serial)})
	p.Tables = []part.Table{x.paperSurvey(work), x.paperForm("mounting", 1), x.paperForm("check", 2), x.paperForm("zero", 1), x.paperForm("control", 2)}
	for _, phase := range sheet.Phases {
		if phase == sheet.After {
			p.Tables = append(p.Tables, x.paperForm("adjust", 2))
		}
		p.Tables = append(p.Tables, x.paperReadings(work, phase))
	}
	p.Tables = append(p.Tables, x.paperForm("end", 2))
	return x.page(http.StatusOK, "paper", p)
}

// paperSurvey lists the values of the survey, what is known of each, and room for what is read.
func (x *exchange) paperSurvey(w *capture.Work) part.Table {
	t := part.Table{Caption: x.text("sheet.place-survey"), Columns: []part.Column{{Head: x.text("paper.value")}, {Head: x.text("paper.known")},
		{Head: x.text("paper.read")}, {Head: x.text("paper.with")}}}
	survey := w.Facts.Sheet.Now()
	for _, g := range surveyGroups {
		for _, name := range g.names {
			known := part.Cell{}
			if v := survey[name]; v.Count > 0 {
				known.Text = x.valueText(name, v)
			} else if last, there := w.LastVisit[name]; there {
				known.Text = x.text("paper.last", "value", x.valueText(name, last.Value))
			}
			for n := range max(byHand[name], 1) {
				label := part.Cell{Text: joined(", ", x.valueWord(name), capture.UnitOf(name))}
				if n > 0 {
					label.Text, known = x.text("paper.again"), part.Cell{}
				}
				t.Rows = append(t.Rows, []part.Cell{label, known, {}, {}})
			}
		}
	}
	return t
}

// paperForms are what is asked at each step beside survey and readings, by the keys of the words.
var paperForms = map[string][]string{
	"mounting": {"paper.mount-kit", "sheet.traverses-word", "sheet.recommended", "sheet.set-at", "sheet.clock"},
	"check":    {"paper.moment", "sheet.snr", "sheet.sound-speed", "sheet.transit-up", "sheet.transit-down"},
	"zero":     {"sheet.isolated-by", "sheet.tightness", "paper.seconds", "sheet.zero-mean", "sheet.zero-u"},
	"control":  {"sheet.control-what", "paper.inhibited", "paper.restored"},
	"adjust":   {"sheet.parameter", "sheet.old", "sheet.new", "sheet.permission", "paper.seals", "paper.why"},
	"end":      {"paper.remarks", "paper.name", "paper.when"},
}

// paperForm is a table with room for so many entries.
func (x *exchange) paperForm(step string, entries int) part.Table {
	t := part.Table{Caption: x.text("paper." + step)}
	for _, key := range paperForms[step] {
		t.Columns = append(t.Columns, part.Column{Head: x.text(key)})
	}
	for range entries {
		t.Rows = append(t.Rows, make([]part.Cell, len(t.Columns)))
	}
	return t
}

// paperReadings has a row for each reading, as set beforehand or as the method asks.
func (x *exchange) paperReadings(w *capture.Work, phase sheet.Phase) part.Table {
	runs := w.Facts.Method.Content.Runs
	plan := sheet.RunPlan{FlowPoints: runs.FlowPoints, Runs: runs.PerPoint, Seconds: runs.Seconds, Interval: runs.Interval}
	if set, there := w.Facts.Sheet.Plan(phase); there {
		plan = set
	}
	t := part.Table{Caption: x.text("sheet.place-" + string(phase)), Columns: []part.Column{{Head: x.text("sheet.flow-point-word"), Figure: true}, {Head: x.text("paper.run"), Figure: true},
		{Head: x.text("paper.reading"), Figure: true}, {Head: x.text("paper.time")}, {Head: x.text("sheet.reference-word"), Unit: w.FlowUnit()}}}
	for _, i := range w.Indications {
		t.Columns = append(t.Columns, part.Column{Head: i.Name, Unit: i.ReadUnit()})
	}
	readings := 1
	if plan.Interval > 0 {
		readings = min(max(int(math.Round(plan.Seconds/plan.Interval)), 1), mostRows)
	}
	for point := range max(plan.FlowPoints, 1) {
		for run := range max(plan.Runs, 1) {
			for n := range readings {
				row := make([]part.Cell, len(t.Columns))
				row[2].Text = strconv.Itoa(n + 1)
				if n == 0 {
					row[0].Text, row[1].Text = strconv.Itoa(point+1), strconv.Itoa(run+1)
				}
				t.Rows = append(t.Rows, row)
			}
		}
	}
	return t
}
