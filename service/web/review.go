package web

import (
	"cmp"
	"html/template"
	"math"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/certificate"
	"rillmark/domain/evaluation"
	"rillmark/domain/sheet"
	"rillmark/service/capture"
	"rillmark/service/issuing"
	"rillmark/service/plot"
	"rillmark/service/store"
	"rillmark/service/web/part"
)

// reviewRoutes are the pages and commands of judgement.
func (w *Web) reviewRoutes() []route {
	const get, post = http.MethodGet, http.MethodPost
	return []route{
		{method: get, path: "/review", act: access.Judge, handle: w.waiting},
		{method: get, path: "/evaluations/:evaluation", act: access.SeeSheet, handle: w.review},
		{method: get, path: "/evaluations/:evaluation/sheet.pdf", act: access.SeeSheet, handle: w.resultSheet, costly: true},
		{method: post, path: "/evaluations/:evaluation/approval", act: access.Judge, handle: w.approve},
		{method: post, path: "/evaluations/:evaluation/return", act: access.Judge, handle: w.sendBack},
		{method: post, path: "/evaluations/:evaluation/preparations", act: access.Issue, handle: w.prepare},
	}
}

// waiting lists what waits for judgement and what waits for its certificate.
func (w *Web) waiting(x *exchange) error {
	f := store.Filter{After: x.r.URL.Query().Get("after")}
	found, err := w.Issuing.Waiting(x.ctx(), x.actor, f)
	if err != nil {
		return err
	}
	p := broadPage{base: x.base(part.Heading{Title: x.text("review.list-title"), Lead: x.text("review.list-lead")}),
		Empty: x.text("review.none"), Further: x.further("/review", "", f.After, found.Next)}
	for _, one := range found.Items {
		row := part.Row{Href: "/evaluations/" + one.EvaluationID.String(), Name: joined(" · ", joined(" ", one.Tag, one.Point), one.Site),
			More: joined(" · ", one.Client, x.text("review.evaluated-by", "who", one.By, "when", x.when(one.At)))}
		switch {
		case !one.Current:
			row.Much = x.text("review.row-stale")
		case one.Approved:
			row.Needs = x.text("review.row-approved")
		case one.Own:
			row.Much = x.text("review.row-own")
		default:
			row.Needs = x.text("review.row-judge")
		}
		p.Rows = append(p.Rows, row)
	}
	return x.page(http.StatusOK, "list", p)
}

// resultSheet is the provisional result sheet for leaving on site.
func (w *Web) resultSheet(x *exchange) error {
	id, err := pathID[domain.EvaluationKind](x, "evaluation", "evaluation")
	if err != nil {
		return err
	}
	pdf, err := w.Issuing.ResultSheet(x.ctx(), x.actor, id)
	if err != nil {
		return err
	}
	return x.file(pdf, "application/pdf", "results-provisional.pdf")
}

// reviewPage is an evaluation with the ground of every number.
type reviewPage struct {
	base
	Provisional string
	Blocks      []block
	Forms       []sheetForm
	Side        []stretch
	Charts      []chart
	Deep        []fold // the ground of each number
}

// fold is a block under a title that opens it.
type fold struct {
	Title string
	Open  bool
	Block block
}

// folded gives each block its fold; the first, which is most asked for, is open.
func folded(blocks []block) (folds []fold) {
	for i, b := range blocks {
		title := b.Title
		b.Title = ""
		folds = append(folds, fold{title, i == 0, b})
	}
	return folds
}

// chart is a drawing with its title.
type chart struct {
	Title string
	Key   string
	SVG   template.HTML
}

// judged reads the evaluation of the path, and the work it is of with the facts as they
// were evaluated.
func (x *exchange) judged() (issuing.Judged, *capture.Work, error) {
	id, err := pathID[domain.EvaluationKind](x, "evaluation", "evaluation")
	if err != nil {
		return issuing.Judged{}, nil, err
	}
	j, err := x.Issuing.Evaluation(x.ctx(), x.actor, id)
	if err != nil {
		return j, nil, err
	}
	work, err := x.Capture.Sheet(x.ctx(), x.actor, j.TaskID)
	if err != nil {
		return j, nil, err
	}
	work.Facts = j.Facts
	return j, work, nil
}

func (w *Web) review(x *exchange) error {
	j, work, err := x.judged()
	if err != nil {
		return err
	}
	return x.showReview(j, work, nil)
}

func (x *exchange) showReview(j issuing.Judged, w *capture.Work, t *tried) error {
	p := reviewPage{base: x.base(part.Heading{Title: joined(" ", w.Tag, w.Point), Lead: x.text("review.lead", "number", j.Number, "who", w.People[j.By], "when", x.clock(w, j.At)),
		Trail: []part.Link{{Href: "/clients/" + w.ClientID.String(), Words: w.Client}, {Href: "/sites/" + w.SiteID.String(), Words: w.Site},
			{Href: "/points/" + w.PointID.String(), Words: w.Tag}}})}
	p.Zone = w.TimeZone
	if j.ApprovalID == nil {
		p.Provisional = x.text("sheet.provisional")
	}
	p.Blocks = append(p.Blocks, x.lookFirst(j, w))
	draft, err := x.Issuing.Draft(x.ctx(), x.actor, j)
	if err != nil {
		return err
	}
	for _, i := range w.Facts.Indications {
		blocks := x.concluded(w, j.Result, i)
		if len(blocks) > 0 {
			asPrinted(blocks[0].Table, draft, i)
			p.Blocks = append(p.Blocks, blocks[0])
			p.Charts = append(p.Charts, x.chartOf(w, j.Result, i))
		}
		if before, after := resultOf(j.Result, sheet.Before, i), resultOf(j.Result, sheet.After, i); after != nil && before != nil {
			if table := x.changeTable(w, j.Result, i); table != nil {
				p.Blocks = append(p.Blocks, block{Table: table, Lead: x.text("sheet.change-lead")})
			}
		}
	}
	last, err := x.lastTime(j, w)
	if err != nil {
		return err
	}
	p.Deep = folded(slices.Concat(last, x.runsOf(w, j.Result, draft), x.adjustmentsOf(w), []block{x.surveyOf(w), x.kitOf(w, j.Result)}, x.budgets(draft)))
	if err := x.judgement(j, w, &p, t); err != nil {
		return err
	}
	return x.page(sheetStatus(t), "review", p)
}

// lookFirst is what deviates, before anything else is read.
func (x *exchange) lookFirst(j issuing.Judged, w *capture.Work) block {
	b := block{ID: "look", Title: x.text("review.look-title")}
	say := func(lead string, items []string, act bool) {
		if len(items) > 0 {
			b.Notices = append(b.Notices, part.Notice{Act: act, Lead: lead, Items: items})
		}
	}
	if n := x.missingGrounds(w, j.Result); n != nil {
		b.Notices = append(b.Notices, *n)
	}
	var checks, aside, assumed, noted []string
	for _, c := range w.Facts.Sheet.SetupChecks {
		if c.Outcome != sheet.Passed {
			checks = append(checks, joined(", ", x.text("sheet.outcome-"+string(c.Outcome)), x.stamped(w, c.Stamp), c.KeptBecause))
		}
	}
	for _, s := range w.Facts.Sheet.SetAsides {
		aside = append(aside, joined(" · ", x.asideWords(w, s), s.Reason, x.stamped(w, s.Stamp)))
	}
	survey := w.Facts.Sheet.Now()
	for _, m := range sheet.Meanings() {
		n := m.Name
		if v, there := survey[n]; there && (v.Source == sheet.Client || v.Source == sheet.Assumed) {
			assumed = append(assumed, joined(", ", x.valueWord(n)+": "+x.valueText(n, v), x.text("sheet.source-"+string(v.Source))))
		}
	}
	for _, n := range w.Facts.Sheet.Notes {
		if n.Kind == sheet.Deviation || n.Kind == sheet.Condition || n.Kind == sheet.PartlyDone || n.Kind == sheet.SentBack {
			noted = append(noted, joined(" · ", x.text("sheet.note-"+string(n.Kind)), n.Text, x.stamped(w, n.Stamp)))
		}
	}
	say(x.text("review.checks"), checks, true)
	say(x.text("review.aside"), aside, true)
	say(x.text("review.noted"), noted, false)
	say(x.text("sheet.remarks-title"), x.remarksOf(w, j.Result), false)
	say(x.text("review.assumed"), assumed, false)
	if len(b.Notices) == 0 {
		b.Lead = x.text("review.nothing-deviates")
	}
	return b
}

func (x *exchange) asideWords(w *capture.Work, s sheet.SetAside) string {
	for _, run := range w.Facts.Sheet.Runs {
		if run.ID == s.RunID {
			key := "review.run-aside"
			if s.TakenBack {
				key = "review.run-back"
			}
			return x.text(key, "run", run.Number, "phase", x.text("sheet.phase-"+string(run.Phase)))
		}
	}
	return ""
}

// chartOf draws error against flow as the certificate does.
func (x *exchange) chartOf(w *capture.Work, r evaluation.Result, i evaluation.Indication) chart {
	c := plot.Chart{Flow: x.text("review.chart-flow", "unit", w.FlowUnit()), Error: x.text("review.chart-error")}
	var last *evaluation.IndicationResult
	for _, phase := range sheet.Phases {
		of := resultOf(r, phase, i)
		if of == nil {
			continue
		}
		points := x.chartPoints(w, of)
		if phase == sheet.Before {
			c.Before = points
		} else {
			c.After = points
		}
		last = of
	}
	if last != nil {
		c.Limits = x.chartLimits(w, last)
	}
	c.Label = x.text("review.chart-label", "name", i.Name)
	return chart{Title: x.text("review.chart-title", "name", i.Name), Key: x.text("review.chart-key"), SVG: template.HTML(c.Draw(640, 300, 12, 1.2).SVG())} //nolint:gosec // written and escaped by the plot itself
}

// inFlowUnit is a flow in the unit in which the pages tell it.
func inFlowUnit(w *capture.Work, si float64) float64 {
	x, err := strconv.ParseFloat(number(flow(w, si)), 64)
	if err != nil {
		return si
	}
	return x
}

// number is a printed quantity without its unit.
func number(text string) string {
	if i := strings.IndexAny(text, "\u00a0 "); i > 0 {
		return text[:i]
	}
	return text
}

func (x *exchange) chartPoints(w *capture.Work, of *evaluation.IndicationResult) (points []plot.Point) {
	for _, p := range of.Points {
		if p.RunsUsed == 0 {
			continue
		}
		point := plot.Point{Flow: inFlowUnit(w, p.Reference), Error: 100 * p.Error, U: 100 * expandedOf(p.U)}
		e, u := percents(p.Error, p.U)
		point.Title = x.text("review.chart-point", "flow", flow(w, p.Reference), "error", e, "u", u)
		points = append(points, point)
	}
	return points
}

func (x *exchange) chartLimits(w *capture.Work, of *evaluation.IndicationResult) (bounds []plot.Bound) {
	for _, p := range of.Points {
		if p.Limits == nil {
			continue
		}
		b := plot.Bound{Flow: inFlowUnit(w, p.Reference), Lower: math.Inf(-1), Upper: math.Inf(1)}
		if p.Limits.LowerError != nil {
			b.Lower = 100 * *p.Limits.LowerError
		}
		if p.Limits.UpperError != nil {
			b.Upper = 100 * *p.Limits.UpperError
		}
		bounds = append(bounds, b)
	}
	slices.SortFunc(bounds, func(a, b plot.Bound) int { return cmp.Compare(a.Flow, b.Flow) })
	return bounds
}

// lastTime compares with the last certificate of the point.
func (x *exchange) lastTime(j issuing.Judged, w *capture.Work) ([]block, error) {
	last, err := x.Issuing.Before(x.ctx(), x.actor, j)
	if err != nil || last == nil {
		return nil, err
	}
	b := block{ID: "last", Title: x.text("review.last-title"), Lead: x.text("review.last-lead", "number", last.Number().String(), "when", x.day(last.IssuedAt)),
		Quiet: []part.Link{{Href: "/certificates/" + last.ID.String(), Words: x.text("review.last-open")}}}
	t := &part.Table{Caption: x.text("review.last-title"), Stack: true, Columns: []part.Column{{Head: x.text("review.indication")}, {Head: x.text("column.flow")},
		{Head: x.text("column.error"), Unit: "%", Figure: true}, {Head: x.text("column.uncertainty"), Unit: "%", Figure: true}, {Head: x.text("column.verdict")}}}
	for _, i := range last.Results {
		if len(i.Phases) == 0 {
			continue
		}
		phase := i.Phases[len(i.Phases)-1]
		for _, p := range phase.Points {
			u := part.Cell{Text: x.text("sheet.not-known"), None: true}
			if p.U != nil {
				u = part.Cell{Text: p.U.Printed}
			}
			t.Rows = append(t.Rows, []part.Cell{{Text: i.Name + ", " + x.text("sheet.phase-"+phase.Phase)}, {Text: p.Reference.Text()}, {Text: p.Error.Printed}, u, {Text: x.text("verdict." + p.Verdict)}})
		}
	}
	b.Table = t
	return []block{b}, nil
}

// runsOf tells for each run what was read, what it was corrected to, and what came of it;
// the run's number leads to its readings as typed.
func (x *exchange) runsOf(w *capture.Work, r evaluation.Result, draft certificate.Snapshot) (blocks []block) {
	for _, phase := range sheet.Phases {
		taken := w.Facts.Sheet.Taken(phase)
		if len(taken) == 0 {
			continue
		}
		count := sheet.CountOf(taken)
		b := block{ID: "runs-" + string(phase), Title: x.text("review.runs-title", "phase", x.text("sheet.phase-"+string(phase))),
			Lead: x.text("review.runs-lead", "taken", count.RunsTaken, "used", count.RunsUsed, "readings", count.ReadingsTaken, "readings_used", count.ReadingsUsed)}
		t := &part.Table{Caption: b.Title, Stack: true, Columns: []part.Column{{Head: x.text("review.run")}, {Head: x.text("sheet.flow-point-word"), Figure: true},
			{Head: x.text("review.indication")}, {Head: x.text("review.reference-shown"), Unit: w.FlowUnit(), Figure: true}, {Head: x.text("review.reference-corrected"), Unit: w.FlowUnit(), Figure: true},
			{Head: x.text("review.meter-shown"), Unit: w.FlowUnit(), Figure: true}, {Head: x.text("column.error"), Unit: "%", Figure: true}, {Head: x.text("review.readings"), Figure: true}}}
		for _, one := range r.Runs {
			if one.Phase != phase {
				continue
			}
			reference, value := printedRun(draft, one, slices.IndexFunc(w.Facts.Indications, func(i evaluation.Indication) bool { return i.ID == one.IndicationID }))
			readings := x.text("review.of", "used", one.ReadingsUsed, "taken", one.ReadingsTaken)
			if !one.Used {
				readings = x.text("review.not-used")
			}
			t.Rows = append(t.Rows, []part.Cell{{Text: x.text("review.run-number", "number", one.Number), Href: sheetPath(w, "runs/"+one.RunID.String())},
				{Text: inUnitPlain(float64(one.FlowPoint), 0)}, {Text: nameOf(w, one.IndicationID)}, {Text: number(flow(w, one.Indicated))},
				{Text: reference}, {Text: number(flow(w, one.Indication))}, {Text: value}, {Text: readings}})
		}
		b.Table = t
		blocks = append(blocks, b)
	}
	return blocks
}

func (x *exchange) adjustmentsOf(w *capture.Work) []block {
	moments := x.adjustments(w)
	if len(moments) == 0 {
		return nil
	}
	return []block{{ID: "adjustments", Title: x.text("review.adjustments-title"), Timeline: moments}}
}

func (x *exchange) surveyOf(w *capture.Work) block {
	b := block{ID: "survey", Title: x.text("review.survey-title")}
	survey := w.Facts.Sheet.Now()
	for _, m := range sheet.Meanings() {
		if survey.Has(m.Name) {
			line := x.valueLine(w, survey, m.Name, nil, false, false)
			line.Href = sheetPath(w, "survey/"+string(m.Name))
			b.Values = append(b.Values, line)
		}
	}
	return b
}

// kitOf lists the calibrations on which the result stands.
func (x *exchange) kitOf(w *capture.Work, r evaluation.Result) block {
	b := block{ID: "kit", Title: x.text("review.kit-title"), Table: &part.Table{Caption: x.text("review.kit-title"), Stack: true, Empty: x.text("review.kit-none"),
		Columns: []part.Column{{Head: x.text("review.kit-item")}, {Head: x.text("review.kit-certificate")}, {Head: x.text("review.kit-laboratory")}, {Head: x.text("review.kit-valid")}, {Head: x.text("review.kit-used")}}}}
	for _, use := range r.Kit {
		var tag, certificate, laboratory string
		for _, k := range w.Facts.Kit {
			if k.ID == use.KitID {
				tag = k.Tag
			}
		}
		for _, c := range w.Facts.Calibrations {
			if c.ID == use.CalibrationID {
				certificate, laboratory = c.CertificateNumber, c.Laboratory
			}
		}
		b.Table.Rows = append(b.Table.Rows, []part.Cell{{Text: tag, Href: "/kit/" + use.KitID.String()}, {Text: certificate, Href: "/calibrations/" + use.CalibrationID.String()},
			{Text: laboratory}, {Text: x.text("review.until", "from", x.day(use.ValidFrom), "to", x.day(use.ValidTo))}, {Text: x.text("review.until", "from", x.clock(w, use.FirstUsed), "to", x.clock(w, use.LastUsed))}})
	}
	return b
}

// asPrinted puts errors and uncertainties into the table of results as the document prints
// them, with the decimals of its columns.
func asPrinted(t *part.Table, draft certificate.Snapshot, i evaluation.Indication) {
	row := 0
	for _, r := range draft.Indications {
		if r.ID != i.ID.String() || t == nil {
			continue
		}
		for _, phase := range r.Phases {
			for _, p := range phase.Points {
				if row < len(t.Rows) && p.RunsUsed > 0 {
					t.Rows[row][2].Text = p.Error.Printed
					if p.U != nil {
						t.Rows[row][3].Text = p.U.Printed
					}
				}
				row++
			}
		}
	}
}

// printedRun is a run's reference and error as the document prints them.
func printedRun(draft certificate.Snapshot, one evaluation.RunResult, indication int) (reference, value string) {
	for _, r := range draft.Runs {
		if r.Phase == string(one.Phase) && r.N == one.Number && 0 <= indication && indication < len(r.Errors) {
			return r.Reference.Printed, r.Errors[indication].Printed
		}
	}
	return "", ""
}

// budgets are those of every flow point of the last phase, as the document prints them.
func (x *exchange) budgets(draft certificate.Snapshot) (blocks []block) {
	for _, i := range draft.Indications {
		if len(i.Phases) == 0 {
			continue
		}
		for _, p := range i.Phases[len(i.Phases)-1].Points {
			if p.U == nil {
				continue
			}
			b := block{Title: x.text("review.budget-title", "name", i.Name, "point", p.N), Lead: x.text("review.budget-lead", "u", p.U.Text(), "k", printedOr(p.K)),
				Table: &part.Table{Caption: x.text("sheet.components"), Columns: []part.Column{{Head: x.text("sheet.component")}, {Head: x.text("review.input"), Figure: true},
					{Head: x.text("sheet.contribution"), Unit: "%", Figure: true}, {Head: x.text("review.share-of-variance"), Figure: true}}}}
			for _, c := range p.Components {
				name := c.Name
				if sheet.Source(c.Source).Known() {
					name += ", " + x.text("sheet.source-"+c.Source)
				}
				b.Table.Rows = append(b.Table.Rows, []part.Cell{{Text: name}, {Text: c.Standard.Text()}, {Text: c.Contribution.Printed}, {Text: c.Share.Printed}})
			}
			blocks = append(blocks, b)
		}
	}
	return blocks
}

func printedOr(f *certificate.Figure) string {
	if f == nil {
		return "–"
	}
	return f.Text()
}

// judgement are the forms, or why there are none.
func (x *exchange) judgement(j issuing.Judged, w *capture.Work, p *reviewPage, t *tried) error {
	here := "/evaluations/" + j.ID.String()
	facts := []part.Fact{{Word: x.text("review.order"), Text: w.OrderNumber, Href: "/agreements/" + j.AgreementID.String()}, {Word: x.text("review.method"), Text: joined(" ", w.MethodNumber, w.MethodTitle), Href: "/methods/" + j.MethodID.String()},
		{Word: x.text("review.sheet"), Text: x.text("sheet.whole"), Href: sheetPath(w, "sheet")},
		{Word: x.text("review.result-sheet"), Text: x.text("review.result-sheet-open"), Href: here + "/sheet.pdf"}}
	side := stretch{Title: x.text("review.about"), Facts: facts}
	if j.ApprovalID != nil {
		side.Moments = []part.Moment{{When: x.when(*j.ApprovedAt), Title: x.text("review.approved-by", "who", w.People[*j.ApprovedBy]), Text: *j.Remark}}
	}
	p.Side = append(p.Side, side)
	issued, err := x.Issuing.Certificates(x.ctx(), x.actor, issuing.Filter{Task: j.TaskID})
	if err != nil {
		return err
	}
	if len(issued.Items) > 0 {
		p.Side = append(p.Side, stretch{Title: x.text("certificates.title"), Rows: x.certificateRows(issued.Items)})
	}
	switch {
	case !j.Latest:
		p.Side = append(p.Side, stretch{Notices: []part.Notice{{Text: x.text("review.not-latest")}}})
	case j.ApprovalID == nil && access.Allowed(x.actor, access.Judge):
		x.judgeForms(j, here, p, t)
	case j.ApprovalID != nil && access.Allowed(x.actor, access.Issue):
		return x.prepareForm(j, here, issued.Items, p, t)
	}
	return nil
}

func (x *exchange) judgeForms(j issuing.Judged, here string, p *reviewPage, t *tried) {
	if err := x.Issuing.May(x.ctx(), x.actor, j); err != nil {
		p.Side = append(p.Side, stretch{Notices: []part.Notice{{Act: true, Lead: x.text("review.may-not"), Items: x.sentences(x.faultsOf(err))}}})
	} else {
		f := x.ask("approve", here+"/approval", []field{{name: "remark", label: "review.remark", hint: "review.remark-hint", kind: part.Area}},
			x.fresh("input", j.Input), []string{"input"}, t)
		f.Lead, f.Button.Deed = x.text("review.approve-lead"), x.text("review.approve")
		p.Forms = append(p.Forms, f)
	}
	back := x.ask("return", here+"/return", []field{{name: "reason", label: "review.reason", hint: "review.reason-hint", kind: part.Area, required: true}}, x.fresh(), nil, t)
	back.Summary, back.Button.Deed = x.text("review.send-back-open"), x.text("review.send-back")
	p.Forms = append(p.Forms, back)
}

// prepareForm freezes the certificate; where the task has one already, its re-issue.
func (x *exchange) prepareForm(j issuing.Judged, here string, issued []issuing.Certificate, p *reviewPage, t *tried) error {
	fields := []field{{name: "opinions", label: "review.opinions", hint: "review.opinions-hint", kind: part.Area}}
	values, hidden := x.fresh("kind", string(certificate.First)), []string{"kind"}
	deed, lead := x.text("review.prepare"), x.text("review.prepare-lead")
	reissue := false
	for _, c := range issued {
		if c.State == certificate.Superseded {
			continue
		}
		values = merged(values, url.Values{"kind": {string(certificate.Reissue)}, "amends": {c.ID.String()}})
		hidden = []string{"kind", "amends"}
		fields = slices.Concat([]field{{name: "reason", label: "review.amend-reason", hint: "review.amend-reason-hint", kind: part.Area, required: true},
			{name: "changes", label: "review.amend-changes", hint: "review.amend-changes-hint", kind: part.Area}}, fields)
		deed, lead, reissue = x.text("review.prepare-reissue"), x.text("review.prepare-reissue-lead"), true
		break
	}
	token, err := x.Issuing.Secret()
	if err != nil {
		return err
	}
	values.Set("token", token)
	f := x.ask("prepare", here+"/preparations", fields, values, append(hidden, "token"), t)
	f.Lead, f.Button.Deed = lead, deed
	if reissue {
		f.Summary = x.text("review.reissue-open")
	}
	p.Forms = append(p.Forms, f)
	return nil
}

// judging carries a command of judgement out; a refused one shows the review again with
// what was typed.
func judging[C, R any](x *exchange, form string, run func(domain.EvaluationID, *C) (R, error), then func(*C, R) string, said string) error {
	id, err := pathID[domain.EvaluationKind](x, "evaluation", "evaluation")
	if err != nil {
		return err
	}
	var c C
	values, err := x.bind(&c)
	var done R
	if err == nil {
		done, err = run(id, &c)
	}
	if err == nil {
		return x.done(then(&c, done), said, http.StatusCreated, done)
	}
	if x.wantsJSON() || !x.formKnown || x.formErr != nil {
		return err
	}
	switch domain.KindOf(err) {
	case domain.NotFound, domain.Unauthenticated, domain.TooLarge, domain.Internal:
		return err
	}
	j, work, readErr := x.judged()
	if readErr != nil {
		return readErr
	}
	if render := x.showReview(j, work, &tried{form, values, err}); render != nil {
		return render
	}
	x.rejected = err
	return nil
}

func (w *Web) approve(x *exchange) error {
	return judging(x, "approve", func(id domain.EvaluationID, c *issuing.Approve) (issuing.Written, error) {
		c.EvaluationID = id
		return w.Issuing.Approve(x.ctx(), x.actor, *c)
	}, func(c *issuing.Approve, _ issuing.Written) string {
		return "/evaluations/" + c.EvaluationID.String() + "#form-prepare"
	}, "review.approved")
}

func (w *Web) sendBack(x *exchange) error {
	return judging(x, "return", func(id domain.EvaluationID, c *issuing.SendBack) (issuing.Written, error) {
		c.EvaluationID = id
		return w.Issuing.SendBack(x.ctx(), x.actor, *c)
	}, func(*issuing.SendBack, issuing.Written) string { return "/review" }, "review.sent-back")
}

// prepare freezes a certificate. The token that issues it was drawn with the form and stays
// with this browser; a program sends its own.
func (w *Web) prepare(x *exchange) error {
	return judging(x, "prepare", func(id domain.EvaluationID, c *issuing.Prepare) (issuing.Written, error) {
		c.EvaluationID = id
		done, err := w.Issuing.Prepare(x.ctx(), x.actor, *c)
		if err == nil {
			x.setCookie(x.gin.Writer, preparedCookie, done.ID+"."+c.Token, issuing.PreparedFor)
		}
		return done, err
	}, func(_ *issuing.Prepare, done issuing.Written) string { return "/preparations/" + done.ID }, "")
}
