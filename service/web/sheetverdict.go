package web

import (
	"math"
	"slices"
	"strings"

	"rillmark/calc/conformity"
	"rillmark/calc/fault"
	"rillmark/domain/certificate"
	"rillmark/domain/evaluation"
	"rillmark/domain/sheet"
	"rillmark/service/capture"
	"rillmark/service/web/part"
)

func (w *Web) sheetVerdict(x *exchange) error {
	work, err := x.task()
	if err != nil {
		return err
	}
	return x.showVerdict(work, nil)
}

func (x *exchange) showVerdict(w *capture.Work, t *tried) error {
	p := x.sheetPage(w, "verdict")
	if w.Facts.Sheet.StillInhibited() {
		p.Warnings = append(p.Warnings, part.Notice{Act: true, Text: x.text("sheet.control-restore"),
			Links: []part.Link{{Href: restorePath(w), Words: x.text("sheet.control-to-restore")}}})
	}
	result, err := w.Result()
	if err != nil {
		p.Blocks = []block{{Answer: x.text("sheet.no-verdict-yet"), Notices: []part.Notice{{Act: true, Lead: x.text("sheet.cannot-evaluate"), Items: x.sentences(x.faultsOf(err))}}}}
		return x.showSheet(p, t)
	}
	if len(result.Phases) == 0 {
		p.Blocks = append(p.Blocks, block{Answer: x.text("sheet.no-verdict-yet"), Lead: x.text("sheet.no-verdict-lead"),
			Acts: []part.Button{{Deed: x.text("sheet.to-before"), Href: sheetPath(w, "before")}}})
	}
	for _, i := range w.Facts.Indications {
		p.Blocks = append(p.Blocks, x.concluded(w, result, i)...)
	}
	if notice := x.missingGrounds(w, result); notice != nil {
		p.Blocks = append(p.Blocks, block{Title: x.text("sheet.grounds-title"), Notices: []part.Notice{*notice}})
	}
	if remarks := x.remarksOf(w, result); len(remarks) > 0 {
		p.Blocks = append(p.Blocks, block{Title: x.text("sheet.remarks-title"), Notices: []part.Notice{{Text: x.text("sheet.remarks-lead"), Items: remarks}}})
	}
	p.Blocks = append(p.Blocks, x.missingBlock(w)...)
	p.Blocks = append(p.Blocks, x.closing(w, result, t)...)
	return x.showSheet(p, t)
}

// concluded is what the task comes to for one indication: the sentence, the verdict, the
// flow points, the change by adjustment, the budget, and what each act would buy.
func (x *exchange) concluded(w *capture.Work, r evaluation.Result, indication evaluation.Indication) []block {
	before, after := resultOf(r, sheet.Before, indication), resultOf(r, sheet.After, indication)
	if before == nil && after == nil {
		return nil
	}
	b := block{ID: "verdict", Answer: x.ofIndication(w, indication.Name, x.sentence(before, after))}
	last, phase := after, sheet.After
	if last == nil {
		last, phase = before, sheet.Before
	}
	b.Verdict = x.overall(last, phase)
	from, to, rule := flow(w, last.Overall.FromFlow), flow(w, last.Overall.ToFlow), x.text("sheet.overall-"+string(last.Overall.Rule))
	if b.Lead = x.text("sheet.range-tested", "from", from, "to", to, "rule", rule); from == to {
		b.Lead = x.text("sheet.flow-tested", "at", from, "rule", rule)
	}
	if last.Overall.Reason != nil {
		b.Notices = append(b.Notices, part.Notice{Act: last.Overall.Verdict != conformity.Pass.String(), Text: x.finding(w, *last.Overall.Reason)})
	}
	b.Table = x.resultTable(w, before, after)
	blocks := []block{b}
	if table := x.changeTable(w, r, indication); table != nil {
		blocks = append(blocks, block{Table: table, Lead: x.text("sheet.change-lead")})
	}
	if worst := mostUncertain(last.Points); worst != nil {
		blocks = append(blocks, x.budget(w, *worst), x.gains(*worst))
	}
	return blocks
}

func resultOf(r evaluation.Result, phase sheet.Phase, indication evaluation.Indication) *evaluation.IndicationResult {
	for _, i := range indicationsOf(r, phase) {
		if i.IndicationID == indication.ID && len(i.Points) > 0 {
			return &i
		}
	}
	return nil
}

// sentence says the result as people say it.
func (x *exchange) sentence(before, after *evaluation.IndicationResult) string {
	say := func(i *evaluation.IndicationResult) string {
		if i.MeanError != nil {
			return x.reads(i.MeanError.Error, &i.MeanError.U)
		}
		if worst := mostUncertain(i.Points); worst != nil {
			return x.reads(meanOf(i.Points), worst.U)
		}
		return x.reads(meanOf(i.Points), nil)
	}
	switch {
	case before == nil:
		return x.text("sheet.says-after", "after", say(after))
	case after == nil:
		return x.text("sheet.says-before", "before", say(before))
	}
	return x.text("sheet.says-both", "before", say(before), "after", say(after))
}

// meanOf is the plain mean error of the flow points with a run.
func meanOf(points []evaluation.PointResult) float64 {
	sum, n := 0.0, 0.0
	for _, p := range points {
		if p.RunsUsed > 0 {
			sum, n = sum+p.Error, n+1
		}
	}
	return sum / math.Max(n, 1)
}

// overall is the large mark of the verdict on the meter: drawn from the mean error where
// it has limits, else from the worst flow point.
func (x *exchange) overall(i *evaluation.IndicationResult, phase sheet.Phase) *part.Verdict {
	v := &part.Verdict{E: math.NaN(), Lower: math.Inf(-1), Upper: math.Inf(1)}
	for _, p := range i.Points {
		if one := x.verdict(p, phase); one != nil && (p.Decision.Verdict == i.Overall.Verdict || math.IsNaN(v.E)) {
			v = one
		}
	}
	v.Large, v.Before, v.Act = true, phase == sheet.Before, i.Overall.Verdict != conformity.Pass.String()
	v.Word = x.text("verdict." + i.Overall.Verdict)
	if math.IsNaN(v.E) {
		return &part.Verdict{E: math.NaN(), Lower: -1, Upper: 1, Word: v.Word, Label: v.Word, Large: true, Act: v.Act}
	}
	return v
}

func (x *exchange) resultTable(w *capture.Work, before, after *evaluation.IndicationResult) *part.Table {
	t := &part.Table{Caption: x.text("sheet.points-title"), Stack: true, Columns: []part.Column{{Head: x.text("sheet.flow-point-word")}, {Head: x.text("sheet.phase-word")},
		{Head: x.text("column.error"), Unit: "%", Figure: true}, {Head: x.text("column.uncertainty"), Unit: "%", Figure: true}, {Head: x.text("column.verdict")}}}
	for _, side := range []struct {
		phase sheet.Phase
		of    *evaluation.IndicationResult
	}{{sheet.Before, before}, {sheet.After, after}} {
		if side.of == nil {
			continue
		}
		for _, p := range side.of.Points {
			e, u := percents(p.Error, p.U)
			cells := []part.Cell{{Text: x.text("sheet.flow-point", "point", p.FlowPoint) + ", " + flow(w, p.Reference)}, {Text: x.text("sheet.phase-" + string(side.phase))},
				{Text: e}, {Text: u}, {Text: x.text("verdict." + p.Decision.Verdict)}}
			if p.U == nil {
				cells[3] = part.Cell{Text: x.text("sheet.not-known"), None: true}
			}
			if v := x.verdict(p, side.phase); v != nil {
				cells[4] = part.Cell{Verdict: v}
			}
			if p.RunsUsed == 0 {
				cells[2] = part.Cell{Text: x.text("sheet.not-known"), None: true}
			}
			t.Rows = append(t.Rows, cells)
		}
	}
	return t
}

func (x *exchange) changeTable(w *capture.Work, r evaluation.Result, indication evaluation.Indication) *part.Table {
	t := &part.Table{Caption: x.text("sheet.change-title"), Columns: []part.Column{{Head: x.text("sheet.flow-point-word")}, {Head: x.text("sheet.change"), Unit: "%", Figure: true},
		{Head: x.text("column.uncertainty"), Unit: "%", Figure: true}}}
	for _, c := range r.Changes {
		if c.IndicationID == indication.ID {
			e, u := percents(c.Change, &c.U)
			t.Rows = append(t.Rows, []part.Cell{{Text: x.text("sheet.flow-point", "point", c.FlowPoint)}, {Text: e}, {Text: u}})
		}
	}
	if len(t.Rows) == 0 {
		return nil
	}
	return t
}

// mostUncertain is the flow point with the largest U.
func mostUncertain(points []evaluation.PointResult) *evaluation.PointResult {
	var worst *evaluation.PointResult
	for i := range points {
		if points[i].U != nil && (worst == nil || points[i].U.Expanded > worst.U.Expanded) {
			worst = &points[i]
		}
	}
	return worst
}

// budgetRows is how many components are listed by name; the rest are summed up.
const budgetRows = 7

// budget lists the components of a flow point, the largest first.
func (x *exchange) budget(w *capture.Work, p evaluation.PointResult) block {
	shares := slices.Clone(p.Components)
	slices.SortStableFunc(shares, func(a, b evaluation.Share) int {
		switch {
		case a.Share > b.Share:
			return -1
		case a.Share < b.Share:
			return 1
		}
		return 0
	})
	_, u := percents(p.Error, p.U)
	b := block{ID: "budget", Title: x.text("sheet.budget-title"),
		Lead: x.text("sheet.budget-lead", "point", p.FlowPoint, "u", u, "k", certificate.Significant(p.U.K, 3, 0, false))}
	if len(shares) > 0 {
		b.Lead += " " + x.text("sheet.largest", "name", shares[0].Name, "percent", certificate.Significant(shares[0].Share, 2, 2, false))
	}
	t := &part.Table{Columns: []part.Column{{Head: x.text("sheet.component")}, {Head: x.text("sheet.contribution"), Unit: "%", Figure: true}, {Head: x.text("sheet.share"), Unit: "%", Figure: true}}}
	rest, restVariance := 0.0, 0.0
	for i, s := range shares {
		if i >= budgetRows {
			rest, restVariance = rest+s.Share, restVariance+s.Contribution*s.Contribution
			continue
		}
		name := s.Name
		if sheet.Source(s.Source).Known() {
			name += ", " + x.text("sheet.source-"+s.Source)
		}
		t.Rows = append(t.Rows, []part.Cell{{Text: name}, {Text: certificate.Significant(s.Contribution, 2, 2, false)}, {Text: inUnitPlain(s.Share*100, 0)}})
	}
	if restVariance > 0 {
		t.Rows = append(t.Rows, []part.Cell{{Text: x.text("sheet.the-rest", "n", len(shares)-budgetRows)}, {Text: certificate.Significant(math.Sqrt(restVariance), 2, 2, false)},
			{Text: inUnitPlain(rest*100, 0)}})
	}
	t.Caption = x.text("sheet.components")
	b.Table = t
	return b
}

// gains says what each act would buy, the one that buys most first.
func (x *exchange) gains(p evaluation.PointResult) block {
	b := block{ID: "gains", Title: x.text("sheet.gains-title")}
	_, now := percents(p.Error, p.U)
	for _, g := range p.Acts {
		then := certificate.Round(p.Error, g.Expanded, 2, false, nil).Expanded
		if then == now {
			continue
		}
		name := ""
		if g.Name != "" {
			name = x.valueWord(sheet.Name(g.Name))
		}
		b.Facts = append(b.Facts, part.Fact{Word: x.text("sheet.gain-"+g.Code, "name", name, "count", g.Count, "minutes", int(g.Seconds/60)), Text: x.text("sheet.gain-from-to", "now", now, "then", then)})
	}
	if len(b.Facts) == 0 {
		b.Lead = x.text("sheet.gains-none")
	}
	if p.RunSeconds > 0 {
		said, key := certificate.Significant(p.TypeA.Standard, 2, 2, false), "sheet.run-length"
		if p.TypeA.Basis == "pooled" {
			key = "sheet.run-length-pooled"
		}
		b.Facts = append(b.Facts, part.Fact{Word: x.text("sheet.run-length-word"), Text: x.text(key, "minutes", int(p.RunSeconds/60), "u", said)})
	}
	return b
}

// finding is the sentence of a finding, with people by name and not by id.
func (x *exchange) finding(w *capture.Work, f evaluation.Finding) string {
	if key, plain := plainReasons[f.Code]; plain {
		return x.text(key)
	}
	text := x.Book.Fault(x.Book.Worded(f.Fault))
	for id, name := range w.People {
		text = strings.ReplaceAll(text, id.String(), name)
	}
	return text
}

// plainReasons are reasons of a verdict whose numbers are in the unit of the limits, mostly a
// share: the page shows U and limits in their own units beside them.
var plainReasons = map[*fault.Code]string{conformity.ReasonGuarded: "sheet.reason-guarded", conformity.ReasonBeyond: "sheet.reason-beyond",
	conformity.ReasonNoAcceptance: "sheet.reason-no-acceptance"}

// missingGrounds says which grounds of a statement are missing, each once.
func (x *exchange) missingGrounds(w *capture.Work, r evaluation.Result) *part.Notice {
	n := &part.Notice{Act: true, Lead: x.text("sheet.for-information")}
	add := func(list evaluation.Findings) {
		for _, f := range list {
			if text := x.finding(w, f); !slices.Contains(n.Items, text) {
				n.Items = append(n.Items, text)
			}
		}
	}
	add(r.Grounds)
	for _, m := range r.Mountings {
		add(m.Grounds)
	}
	for _, p := range r.Phases {
		for _, i := range p.Indications {
			for _, point := range i.Points {
				add(point.Grounds)
			}
		}
	}
	if len(n.Items) == 0 {
		return nil
	}
	return n
}

// remarksOf are the remarks of the whole, the mountings and the flow points, each once and
// without those that the page tells elsewhere.
func (x *exchange) remarksOf(w *capture.Work, r evaluation.Result, elsewhere ...*fault.Code) []string {
	var all []string
	add := func(list evaluation.Findings) {
		for _, f := range list {
			if text := x.finding(w, f); !slices.Contains(elsewhere, f.Code) && !slices.Contains(all, text) {
				all = append(all, text)
			}
		}
	}
	add(r.Remarks)
	for _, m := range r.Mountings {
		add(m.Remarks)
	}
	for _, p := range r.Phases {
		for _, i := range p.Indications {
			for _, point := range i.Points {
				add(point.Remarks)
			}
		}
	}
	return all
}
