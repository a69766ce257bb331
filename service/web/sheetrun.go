package web

import (
	"fmt"
	"math"
	"net/url"
	"slices"
	"strconv"

	"rillmark/domain"
	"rillmark/domain/evaluation"
	"rillmark/domain/sheet"
	"rillmark/service/capture"
	"rillmark/service/capture/tracing"
	"rillmark/service/web/part"
)

// runLine is a run in the list of a phase.
type runLine struct {
	Title  string
	Error  string
	Detail string
	Aside  string
	Href   string
	Mark   *stretchMark // of a stretch on the page's picture
}

// readingRow is one reading to be entered: the reference, then the indications.
type readingRow struct {
	Number string
	Fields []part.Field
	Wrong  []string
}

func (w *Web) sheetBefore(x *exchange) error { return w.sheetRuns(x, sheet.Before) }
func (w *Web) sheetAfter(x *exchange) error  { return w.sheetRuns(x, sheet.After) }

func (w *Web) sheetRuns(x *exchange, phase sheet.Phase) error {
	work, err := x.task()
	if err != nil {
		return err
	}
	return x.showRuns(work, phase, nil)
}

func (x *exchange) showRuns(w *capture.Work, phase sheet.Phase, t *tried) error {
	p := x.sheetPage(w, string(phase))
	result, err := w.Concluded()
	if err != nil {
		p.Warnings = append(p.Warnings, part.Notice{Act: true, Lead: x.text("sheet.cannot-evaluate"), Items: x.sentences(x.faultsOf(err))})
	}
	for _, f := range w.SignalDoubts(phase) {
		p.Warnings = append(p.Warnings, part.Notice{Act: true, Text: x.Book.Fault(f)})
	}
	taken, may := w.Facts.Sheet.Taken(phase), x.mayFill(w)
	plan, planned := w.Facts.Sheet.Plan(phase)
	asked := len(w.Facts.Sheet.Controls) > 0
	if phase == sheet.Before && !asked {
		p.Blocks = append(p.Blocks, x.controlBlock(w, true, t))
	}
	if len(taken) > 0 {
		p.Blocks = append(p.Blocks, x.live(w, phase, taken, result)...)
	}
	whole := planned && allTaken(plan, taken)
	if may && whole {
		p.Blocks = append(p.Blocks, x.afterRuns(phase, w, true))
	}
	if may {
		p.Blocks = append(p.Blocks, x.runForms(w, phase, plan, planned, taken, t))
	}
	if planned {
		p.Blocks = append(p.Blocks, x.planned(w, plan, taken))
	}
	if len(taken) > 0 {
		logged, err := x.loggedRuns(w)
		if err != nil {
			return err
		}
		p.Blocks = append(p.Blocks, x.runList(w, phase, taken, result, logged))
	}
	if planned && len(w.Facts.Sheet.Mountings) > 0 {
		p.Blocks = append(p.Blocks, block{Quiet: []part.Link{{Href: sheetPath(w, "traces"), Words: x.text("trace.runs-word")}}})
	}
	if phase == sheet.After || asked {
		p.Blocks = append(p.Blocks, x.controlBlock(w, phase == sheet.After && len(taken) > 0, t))
	}
	if may && len(taken) > 0 && !whole {
		p.Blocks = append(p.Blocks, x.afterRuns(phase, w, false))
	}
	return x.showSheet(p, t)
}

// afterRuns leads on from the runs of a phase: first of all where all of them are taken.
func (x *exchange) afterRuns(phase sheet.Phase, w *capture.Work, whole bool) block {
	next := part.Button{Deed: x.text("sheet.to-adjust"), Href: sheetPath(w, "adjust"), Second: !whole}
	switch {
	case phase == sheet.After:
		next.Deed, next.Href = x.text("sheet.to-recheck"), sheetPath(w, "check")
	case notAdjusted(w) != "": // that step is done
		next.Deed, next.Href = x.text("sheet.to-verdict"), sheetPath(w, "verdict")
	}
	return block{Acts: []part.Button{next}}
}

// live is the error at the flow point of the newest run, with its band.
func (x *exchange) live(w *capture.Work, phase sheet.Phase, taken []sheet.Taken, r evaluation.Result) []block {
	newest := taken[len(taken)-1]
	var blocks []block
	for _, i := range indicationsOf(r, phase) {
		for _, one := range i.Points {
			if one.FlowPoint != newest.FlowPoint || one.RunsUsed == 0 {
				continue
			}
			b := block{Answer: x.ofIndication(w, i.Name, x.text("sheet.says-before", "before", x.reads(one.Error, one.U)))}
			if len(blocks) == 0 {
				b.ID = "live"
			}
			b.Lead = x.text("sheet.live-lead", "point", one.FlowPoint, "flow", flow(w, one.Reference), "n", one.RunsUsed)
			if shown, is := flow(w, one.Indicated), flow(w, one.Reference); shown != is {
				b.Lead += " " + x.text("sheet.live-corrected", "shown", shown, "flow", is)
			}
			if one.U != nil {
				e, u := percents(one.Error, one.U)
				b.Lead += " " + x.text("sheet.live-band", "e", e, "u", u)
				b.Verdict = x.verdict(one, phase)
			} else {
				b.Lead += " " + x.text("sheet.live-no-band")
			}
			blocks = append(blocks, b)
		}
	}
	return blocks
}

func indicationsOf(r evaluation.Result, phase sheet.Phase) []evaluation.IndicationResult {
	for _, p := range r.Phases {
		if p.Phase == phase {
			return p.Indications
		}
	}
	return nil
}

// ofIndication puts the indication's name in front where the meter has several.
func (x *exchange) ofIndication(w *capture.Work, name, text string) string {
	if len(w.Indications) > 1 {
		return name + ": " + text
	}
	return text
}

// verdict is the mark of a flow point, in percent of the reference flow.
func (x *exchange) verdict(one evaluation.PointResult, phase sheet.Phase) *part.Verdict {
	if one.U == nil || one.Limits == nil {
		return nil
	}
	v := part.Verdict{E: one.Error * 100, U: one.U.Expanded * 100, Lower: math.Inf(-1), Upper: math.Inf(1), Before: phase == sheet.Before,
		Word: x.text("verdict." + one.Decision.Verdict), Act: one.Decision.Verdict != "pass"}
	if one.Limits.LowerError != nil {
		v.Lower = *one.Limits.LowerError * 100
	}
	if one.Limits.UpperError != nil {
		v.Upper = *one.Limits.UpperError * 100
	}
	v.Label = drawn(x.Book, v, "%")
	return &v
}

// planned shows how many runs of what length were fixed, and how far they are taken.
func (x *exchange) planned(w *capture.Work, plan sheet.RunPlan, taken []sheet.Taken) block {
	count := sheet.CountOf(taken)
	return block{ID: "plan", Title: x.text("sheet.plan-title"), Facts: []part.Fact{
		{Word: x.text("sheet.plan-fixed"), Text: x.text("sheet.plan-says", "runs", plan.Runs, "points", plan.FlowPoints, "seconds", plan.Seconds, "interval", plan.Interval)},
		{Word: x.text("sheet.plan-by"), Text: x.stamped(w, plan.Stamp)},
		{Word: x.text("sheet.runs-word"), Text: x.text("sheet.taken-used", "taken", count.RunsTaken, "used", count.RunsUsed)},
		{Word: x.text("sheet.readings-word"), Text: x.text("sheet.taken-used", "taken", count.ReadingsTaken, "used", count.ReadingsUsed)}}}
}

func (x *exchange) runList(w *capture.Work, phase sheet.Phase, taken []sheet.Taken, r evaluation.Result, logged map[domain.RunID]tracing.Piece) block {
	b := block{ID: "runs", Title: x.text("sheet.runs-title")}
	for i := len(taken) - 1; i >= 0; i-- {
		run := taken[i]
		line := runLine{Title: x.text("sheet.run-title", "number", run.Number, "point", run.FlowPoint), Href: sheetPath(w, "runs/"+run.ID.String()),
			Detail: joined(" · ", x.text("sheet.readings-used", "used", len(run.UsedReadings()), "taken", len(run.Readings)), x.stamped(w, run.Stamp))}
		if piece, is := logged[run.ID]; is {
			b.Lead = x.text("trace.runs-differ")
			line.Detail = joined(" · ", x.text("sheet.readings-used", "used", len(run.UsedReadings()), "taken", len(run.Readings)),
				x.text("trace.from-files-at", "time", x.span(w, piece.From, piece.To)))
		}
		for _, one := range r.Runs {
			if one.RunID != run.ID {
				continue
			}
			value, _ := percents(one.Error, &evaluation.Expanded{Expanded: math.Max(2*one.TypeA, 1e-3)})
			line.Error = joined(" · ", line.Error, x.ofIndication(w, nameOf(w, one.IndicationID), value+"\u00a0%"))
		}
		if run.Aside != nil {
			line.Aside = x.text("sheet.aside-because", "reason", run.Aside.Reason)
		}
		b.Runs = append(b.Runs, line)
	}
	return b
}

func nameOf(w *capture.Work, id domain.IndicationID) string {
	i, _ := w.Indication(id.String())
	return i.Name
}

// runForms is the form for the plan, and then the one for the next run.
func (x *exchange) runForms(w *capture.Work, phase sheet.Phase, plan sheet.RunPlan, planned bool, taken []sheet.Taken, t *tried) block {
	if phase == sheet.After && len(taken) == 0 && len(w.Facts.Sheet.Adjustments) == 0 && slices.ContainsFunc(w.Facts.Sheet.Notes, func(n sheet.TaskNote) bool { return n.Kind == sheet.NotAdjusted }) {
		return block{Lead: x.text("sheet.nothing-after"), Acts: []part.Button{{Deed: x.text("sheet.to-verdict"), Href: sheetPath(w, "verdict")}}}
	}
	if len(w.Facts.Sheet.Mountings) == 0 {
		return block{Notices: []part.Notice{{Lead: x.text("sheet.not-mounted"), Text: x.text("sheet.not-mounted-text")}},
			Acts: []part.Button{{Deed: x.text("sheet.to-mounting"), Href: sheetPath(w, "mounting")}}}
	}
	if !planned {
		return block{ID: "fix", Title: x.text("sheet.fix-title"), Lead: x.text("sheet.fix-lead"), Forms: []sheetForm{x.runPlanForm(w, phase, t)}}
	}
	f := x.runForm(w, phase, plan, taken, t)
	if allTaken(plan, taken) {
		f.Summary = x.text("sheet.new-run", "number", len(taken)+1)
		return block{ID: "new-run", Title: x.text("sheet.runs-complete"), Forms: []sheetForm{f}}
	}
	return block{ID: "new-run", Title: x.text("sheet.new-run", "number", len(taken)+1), Forms: []sheetForm{f}}
}

// allTaken reports whether every flow point has as many used runs as were set beforehand.
func allTaken(plan sheet.RunPlan, taken []sheet.Taken) bool {
	used := map[int]int{}
	for _, run := range taken {
		if run.Used {
			used[run.FlowPoint]++
		}
	}
	for n := 1; n <= plan.FlowPoints; n++ {
		if used[n] < plan.Runs {
			return false
		}
	}
	return true
}

func (x *exchange) runPlanForm(w *capture.Work, phase sheet.Phase, t *tried) sheetForm {
	fields := []field{
		{name: "flow_points", label: "sheet.flow-points", kind: part.Count, required: true},
		{name: "runs", label: "sheet.runs-per-point", kind: part.Count, required: true, beside: true},
		{name: "seconds", label: "sheet.run-seconds", kind: part.Number, unit: "s", required: true},
		{name: "interval", label: "sheet.run-interval", kind: part.Number, unit: "s", required: true, beside: true},
		{name: "averaging", label: "sheet.run-averaging", hint: "sheet.run-averaging-hint", kind: part.Number, unit: "s"},
	}
	runs := w.Facts.Method.Content.Runs
	from := sheet.RunPlan{FlowPoints: runs.FlowPoints, Runs: runs.PerPoint, Seconds: runs.Seconds, Interval: runs.Interval, Averaging: runs.Averaging}
	if before, there := w.Facts.Sheet.Plan(sheet.Before); there {
		from = before
	}
	values := x.fresh("phase", string(phase), "flow_points", strconv.Itoa(from.FlowPoints), "runs", strconv.Itoa(from.Runs), "seconds", fmt.Sprint(from.Seconds),
		"interval", fmt.Sprint(from.Interval), "averaging", fmt.Sprint(from.Averaging))
	f := x.ask("plan", sheetPath(w, "plan"), fields, values, []string{"phase"}, t)
	f.Button.Deed = x.text("sheet.fix")
	return f
}

// runForm asks for a run: where it belongs, and its readings row by row.
func (x *exchange) runForm(w *capture.Work, phase sheet.Phase, plan sheet.RunPlan, taken []sheet.Taken, t *tried) sheetForm {
	points := []part.Option{}
	for n := 1; n <= max(plan.FlowPoints, 1); n++ {
		points = append(points, part.Option{Value: strconv.Itoa(n), Words: x.text("sheet.flow-point", "point", n)})
	}
	mountings := []part.Option{}
	all := w.Facts.Sheet.Mountings
	for i := len(all) - 1; i >= 0; i-- {
		mountings = append(mountings, part.Option{Value: all[i].ID.String(), Words: x.text("sheet.mounting-number", "number", all[i].Number)})
	}
	fields := []field{{name: "flow_point", label: "sheet.flow-point-word", kind: part.Choice, options: points, required: true}}
	hidden := []string{"phase"}
	if len(all) > 1 {
		fields = append(fields, field{name: "mounting_id", label: "sheet.mounting-word", kind: part.Choice, options: mountings, beside: true})
	} else {
		hidden = append(hidden, "mounting_id")
	}
	values := x.fresh("phase", string(phase), "mounting_id", mountings[0].Value, "flow_point", strconv.Itoa(nextFlowPoint(plan, taken)))
	f := x.ask("run", sheetPath(w, "runs"), fields, values, hidden, t)
	x.readingRows(w, &f, int(math.Round(plan.Seconds/plan.Interval)), "run", t)
	f.Button.Deed = x.text("sheet.keep-run")
	return f
}

// nextFlowPoint is the first flow point that has fewer used runs than fixed; after all of
// them the last one taken.
func nextFlowPoint(plan sheet.RunPlan, taken []sheet.Taken) int {
	used := map[int]int{}
	last := 1
	for _, run := range taken {
		last = run.FlowPoint
		if run.Used {
			used[run.FlowPoint]++
		}
	}
	for n := 1; n <= plan.FlowPoints; n++ {
		if used[n] < plan.Runs {
			return n
		}
	}
	return last
}

// mostRows is how many rows a form of readings has at most; further readings are added to
// the run.
const mostRows = 12

// readingRows gives a form its rows: the reference and every indication, by name and unit.
func (x *exchange) readingRows(w *capture.Work, f *sheetForm, rows int, form string, t *tried) {
	var values url.Values
	said := map[string][]string{}
	if t != nil && t.form == form {
		values, said = t.values, x.Book.ByField(x.faultsOf(t.err))
		rows = max(len(values["references"]), 1)
		f.Notice = x.rejection(unfielded(said), true)
	}
	rows = min(max(rows, 1), mostRows)
	f.Heads = []string{x.text("sheet.reference-word")}
	for _, i := range w.Indications {
		f.Hidden = append(f.Hidden, part.Field{Name: "indications", Value: i.ID.String()})
		f.Heads = append(f.Heads, i.Name)
	}
	for n := range rows {
		row := readingRow{Number: strconv.Itoa(n + 1)}
		cell := func(name, unit, label, key string, values []string, at int) {
			c := part.Field{Name: name, ID: fmt.Sprintf("%s-%s-%d", form, key, n), Label: x.text("sheet.reading-of", "of", label, "number", n+1), Kind: part.Number, Unit: unit}
			if at < len(values) {
				c.Value = values[at]
			}
			row.Fields = append(row.Fields, c)
		}
		cell("references", w.FlowUnit(), f.Heads[0], "ref", values["references"], n)
		row.Wrong = append(row.Wrong, said[fmt.Sprintf("references.%d", n)]...)
		for j, i := range w.Indications {
			cell("values", i.ReadUnit(), i.Name, fmt.Sprintf("ind%d", j), values["values"], n*len(w.Indications)+j)
			row.Wrong = append(row.Wrong, said[fmt.Sprintf("values.%d.%d", n, j)]...)
		}
		f.Rows = append(f.Rows, row)
	}
}

// unfielded are the sentences that belong to no field and no row.
func unfielded(said map[string][]string) map[string][]string {
	return map[string][]string{"": said[""]}
}

func (w *Web) addRun(x *exchange) error {
	return captured(x, "run", asking(x, (*capture.Work).QuestionRun, func(c *capture.AddRun) (capture.Written, error) {
		return w.Capture.AddRun(x.ctx(), x.actor, *c)
	}), func(work *capture.Work, c *capture.AddRun, _ capture.Written) string { return sheetPath(work, c.Phase) },
		func(work *capture.Work, t *tried) error { return x.showRuns(work, phaseOf(t), t) })
}

func (w *Web) planRuns(x *exchange) error {
	return captured(x, "plan", func(c *capture.PlanRuns) (capture.Written, error) {
		return w.Capture.PlanRuns(x.ctx(), x.actor, *c)
	}, func(work *capture.Work, c *capture.PlanRuns, _ capture.Written) string {
		return sheetPath(work, c.Phase)
	},
		func(work *capture.Work, t *tried) error { return x.showRuns(work, phaseOf(t), t) })
}

func phaseOf(t *tried) sheet.Phase {
	if sheet.Phase(t.values.Get("phase")) == sheet.After {
		return sheet.After
	}
	return sheet.Before
}
