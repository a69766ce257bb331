package web

import (
	"math"
	"net/url"
	"strconv"
	"strings"

	"rillmark/domain"
	"rillmark/domain/certificate"
	"rillmark/domain/evaluation"
	"rillmark/domain/sheet"
	"rillmark/service/capture"
	"rillmark/service/web/part"
)

func (w *Web) sheetAdjust(x *exchange) error {
	work, err := x.task()
	if err != nil {
		return err
	}
	return x.showAdjust(work, nil)
}

func (x *exchange) showAdjust(w *capture.Work, t *tried) error {
	p := x.sheetPage(w, "adjust")
	may := x.mayFill(w)
	result, err := w.Concluded()
	if err == nil {
		for _, i := range indicationsOf(result, sheet.Before) {
			p.Blocks = append(p.Blocks, x.proposal(w, i))
		}
	}
	if why := notAdjusted(w); why != "" {
		p.Blocks = append([]block{{Answer: x.text("sheet.not-adjusted") + ".", Lead: why}}, p.Blocks...)
	}
	if len(p.Blocks) == 0 {
		p.Blocks = append(p.Blocks, block{Notices: []part.Notice{{Lead: x.text("sheet.nothing-found"), Text: x.text("sheet.nothing-found-text")}}})
	}
	p.Blocks = append(p.Blocks, x.controlBlock(w, may && len(w.Facts.Sheet.Controls) == 0, t))
	if rows := x.adjustments(w); len(rows) > 0 {
		p.Blocks = append(p.Blocks, block{Title: x.text("sheet.adjusted-title"), Timeline: rows})
	}
	if may {
		p.Blocks = append(p.Blocks, x.adjustForms(w, result, t)...)
	}
	return x.showSheet(p, t)
}

// notAdjusted is why the meter was left as it was, where that is noted and nothing was adjusted.
func notAdjusted(w *capture.Work) (why string) {
	if len(w.Facts.Sheet.Adjustments) > 0 {
		return ""
	}
	for _, n := range w.Facts.Sheet.Notes {
		if n.Kind == sheet.NotAdjusted {
			why = n.Text
		}
	}
	return why
}

// proposal says which way to adjust, by how much, and what would come of it.
func (x *exchange) proposal(w *capture.Work, i evaluation.IndicationResult) block {
	b := block{Title: x.ofIndication(w, i.Name, x.text("sheet.proposal-title"))}
	o := i.Proposal
	if o == nil || i.MeanError == nil {
		b.Answer = x.text("sheet.no-proposal")
		return b
	}
	size := certificate.Round(math.Abs(o.Factor-1), i.MeanError.U.Expanded, 2, false, nil).Value
	e, u := percents(i.MeanError.Error, &i.MeanError.U)
	switch {
	case !o.Significant:
		b.Answer = x.text("sheet.not-significant")
		b.Lead = x.text("sheet.not-significant-lead", "e", e, "u", u)
	case o.Direction == "raise":
		b.Answer = x.text("sheet.raise", "percent", size)
	default:
		b.Answer = x.text("sheet.lower", "percent", size)
	}
	if o.Significant {
		b.Lead = x.text("sheet.proposal-lead", "e", e, "u", u, "n", i.MeanError.Points)
	}
	if o.Made != nil { // what was advised is done: the page does not ask for it again
		b.Answer = x.text("sheet.adjusted-answer", "n", len(w.Facts.Sheet.Adjustments))
	}
	table := part.Table{Caption: x.text("sheet.predicted"), Columns: []part.Column{{Head: x.text("sheet.flow-point-word")}, {Head: x.text("sheet.found"), Unit: "%", Figure: true},
		{Head: x.text("sheet.expected"), Unit: "%", Figure: true}}}
	for _, one := range o.Predicted {
		for _, point := range i.Points {
			if point.FlowPoint == one.FlowPoint {
				found, _ := percents(point.Error, point.U)
				expected, _ := percents(one.Error, point.U)
				table.Rows = append(table.Rows, []part.Cell{{Text: x.text("sheet.flow-point", "point", one.FlowPoint) + ", " + flow(w, point.Reference)}, {Text: found}, {Text: expected}})
			}
		}
	}
	b.Facts = []part.Fact{{Word: x.text("sheet.adjustment-multiplier"), Text: x.text("sheet.new-is", "factor", strconv.FormatFloat(o.Factor, 'f', 5, 64))},
		{Word: x.text("sheet.adjustment-pulses-per-volume"), Text: x.text("sheet.new-is", "factor", strconv.FormatFloat(o.PulsesPerVolume, 'f', 5, 64))}}
	if m := o.FlowWeighted; m != nil {
		e, u := percents(m.Error, &m.U)
		b.Facts = append(b.Facts, part.Fact{Word: x.text("sheet.flow-weighted"), Text: x.text("sheet.flow-weighted-is", "e", e, "u", u)})
	}
	b.Table = &table
	if o.Made != nil {
		b.Notices = []part.Notice{{Text: x.text("sheet.made", "factor", strconv.FormatFloat(*o.Made, 'f', 5, 64))}}
	}
	return b
}

func (x *exchange) adjustments(w *capture.Work) []part.Moment {
	var rows []part.Moment
	corrected := map[domain.AdjustmentID]bool{}
	for _, a := range w.Facts.Sheet.Adjustments {
		if a.Corrects != nil {
			corrected[*a.Corrects] = true
		}
	}
	for i := len(w.Facts.Sheet.Adjustments) - 1; i >= 0; i-- {
		a := w.Facts.Sheet.Adjustments[i]
		of := ""
		if a.IndicationID != nil {
			of = nameOf(w, *a.IndicationID)
		}
		seals := ""
		if a.SealBefore != "" || a.SealAfter != "" {
			seals = x.text("sheet.seals", "before", orDash(a.SealBefore, a.SealBefore != ""), "after", orDash(a.SealAfter, a.SealAfter != ""))
		}
		m := part.Moment{When: x.stamped(w, a.Stamp), Title: joined(" ", a.Parameter, a.OldEntered, "→", a.NewEntered),
			Text: joined(" · ", of, x.text("sheet.permission-of", "who", a.Permission), seals, a.Reason), Now: !corrected[a.ID]}
		if m.Now && x.mayFill(w) {
			m.Href = sheetPath(w, "adjust") + "?corrects=" + a.ID.String() + "#adjustment"
		}
		rows = append(rows, m)
	}
	return rows
}

// adjustForms are the form for a parameter with the cautions at the step, and the one that
// says that nothing was adjusted.
func (x *exchange) adjustForms(w *capture.Work, r evaluation.Result, t *tried) []block {
	b := block{ID: "adjustment", Title: x.text("sheet.adjust-title"), Notices: []part.Notice{{Act: true, Lead: x.text("sheet.adjust-caution-lead"), Text: x.text("sheet.adjust-caution")}}}
	if !w.Adjusting {
		b.Notices = append(b.Notices, part.Notice{Act: true, Text: x.text("sheet.adjusting-not-agreed")})
	}
	reason := "sheet.adjust-why-hint"
	for _, i := range indicationsOf(r, sheet.Before) {
		if i.Proposal != nil && !i.Proposal.Significant {
			reason = "sheet.adjust-why-anyway"
		}
	}
	options := []part.Option{{Words: x.text("sheet.all-indications")}}
	for _, i := range w.Indications {
		options = append(options, part.Option{Value: i.ID.String(), Words: i.Name})
	}
	var kinds []part.Option
	for _, k := range sheet.AdjustmentKinds {
		kinds = append(kinds, part.Option{Value: string(k), Words: x.text("sheet.adjustment-" + string(k))})
	}
	fields := []field{
		{name: "parameter", label: "sheet.parameter", hint: "sheet.parameter-hint", required: true},
		{name: "kind", label: "sheet.adjustment-kind", kind: part.Choice, options: kinds, required: true},
		{name: "old_entered", label: "sheet.old", kind: part.Number, required: true},
		{name: "new_entered", label: "sheet.new", kind: part.Number, required: true, beside: true},
		{name: "permission", label: "sheet.permission", hint: "sheet.permission-hint", required: true},
		{name: "seal_before", label: "sheet.seal-before"},
		{name: "seal_after", label: "sheet.seal-after", beside: true},
		{name: "reason", label: "sheet.adjust-why", hint: reason, kind: part.Area, required: true},
	}
	if len(w.Indications) > 1 {
		fields = append([]field{{name: "indication_id", label: "sheet.acts-on", kind: part.Choice, options: options}}, fields...)
	}
	values, correcting := x.toCorrect(w)
	f := x.ask("adjust", sheetPath(w, "adjust"), fields, values, []string{"corrects"}, t)
	if correcting {
		f.Open, f.Lead = true, x.text("sheet.correct-adjustment")
	}
	f.Button.Deed = x.text("sheet.keep-adjustment")
	f.Summary = x.text("sheet.record-adjustment")
	not := x.ask("not-adjusted", sheetPath(w, "notes"), []field{{name: "text", label: "sheet.not-adjusted-why", hint: "sheet.not-adjusted-hint", kind: part.Area, required: true}},
		x.fresh("kind", string(sheet.NotAdjusted), "form", "not-adjusted"), []string{"kind", "form"}, t)
	not.Summary, not.Button = x.text("sheet.not-adjusted"), part.Button{Deed: x.text("sheet.keep-not-adjusted"), Second: true}
	b.Forms = []sheetForm{f}
	if len(w.Facts.Sheet.Adjustments) == 0 && notAdjusted(w) == "" {
		b.Forms = append(b.Forms, not)
	}
	after := block{Acts: []part.Button{{Deed: x.text("sheet.to-after"), Href: sheetPath(w, "after")}}}
	if len(w.Facts.Sheet.Adjustments) == 0 {
		after.Acts = []part.Button{{Deed: x.text("sheet.to-verdict"), Href: sheetPath(w, "verdict"), Second: true}}
	}
	return []block{b, after}
}

// toCorrect fills the form with the adjustment that the address names to be corrected.
func (x *exchange) toCorrect(w *capture.Work) (url.Values, bool) {
	for _, a := range w.Facts.Sheet.Adjustments {
		if a.ID.String() != x.r.URL.Query().Get("corrects") {
			continue
		}
		indication := ""
		if a.IndicationID != nil {
			indication = a.IndicationID.String()
		}
		return x.fresh("corrects", a.ID.String(), "indication_id", indication, "parameter", a.Parameter, "kind", string(a.Kind), "old_entered", a.OldEntered,
			"new_entered", a.NewEntered, "permission", a.Permission, "seal_before", a.SealBefore, "seal_after", a.SealAfter, "reason", a.Reason), true
	}
	return x.fresh(), false
}

// restorePath is where it is written down that the operator has restored what was inhibited.
func restorePath(w *capture.Work) string {
	place := "before"
	if len(w.Facts.Sheet.Adjustments) > 0 {
		place = "after"
	}
	return sheetPath(w, place) + "?restore=yes#control"
}

// controlBlock says what the meter's signal controls, who inhibited it and who restored
// it; and asks, with the cautions that belong there.
func (x *exchange) controlBlock(w *capture.Work, open bool, t *tried) block {
	b := block{ID: "control", Title: x.text("sheet.control-title")}
	open = open || x.r.URL.Query().Has("restore")
	held, what := w.Facts.Sheet.StillInhibited(), ""
	for _, n := range w.Facts.Sheet.Controls {
		if n.Kind == sheet.Inhibited {
			what = n.What
		}
		b.Timeline = append(b.Timeline, part.Moment{When: x.stamped(w, n.Stamp), Title: joined(": ", x.text("sheet.control-"+string(n.Kind)), n.What), Text: n.DoneBy,
			Needs: n.Kind == sheet.Inhibited && held})
	}
	if len(b.Timeline) == 0 {
		b.Notices = []part.Notice{{Act: true, Lead: x.text("sheet.control-caution-lead"), Text: x.text("sheet.control-caution")}}
	}
	if held && open {
		b.Notices = []part.Notice{{Act: true, Text: x.text("sheet.control-restore")}}
	}
	if !x.mayFill(w) {
		return b
	}
	var kinds []part.Option
	for _, k := range sheet.ControlKinds {
		kinds = append(kinds, part.Option{Value: string(k), Words: x.text("sheet.control-" + string(k))})
	}
	kind := sheet.ControlKind("") // what was done in the plant is said by a person, never set beforehand
	if held && (open || len(w.Facts.Sheet.Adjustments) > 0) {
		kind = sheet.Restored
	}
	from := x.r.URL.Path[strings.LastIndex(x.r.URL.Path, "/")+1:]
	if from == "control" { // the page of a refused form
		from = t.values.Get("from")
	}
	f := x.ask("control", sheetPath(w, "control"), []field{{name: "kind", label: "sheet.control-kind", options: kinds, open: true, required: true},
		{name: "what", label: "sheet.control-what", hint: "sheet.control-what-hint", kind: part.Area}, {name: "done_by", label: "sheet.control-who", hint: "sheet.control-who-hint"}},
		x.fresh("kind", string(kind), "from", from, "what", prefilledWhat(kind, what)), []string{"from"}, t)
	f.Button.Deed = x.text("sheet.keep-control")
	f.Summary = x.text("sheet.control-more")
	f.Open = f.Open || open && (held || len(b.Timeline) == 0)
	b.Forms = []sheetForm{f}
	return b
}

// prefilledWhat offers what was inhibited where its restoring is to be written down.
func prefilledWhat(kind sheet.ControlKind, what string) string {
	if kind != sheet.Restored {
		return ""
	}
	return what
}

func (w *Web) noteControl(x *exchange) error {
	return captured(x, "control", func(c *capture.NoteControl) (capture.Written, error) {
		return w.Capture.NoteControl(x.ctx(), x.actor, *c)
	}, func(work *capture.Work, _ *capture.NoteControl, _ capture.Written) string {
		switch from := x.form.Get("from"); from {
		case "adjust", "after":
			return sheetPath(work, from)
		}
		if sheet.ControlKind(x.form.Get("kind")) == sheet.Restored && notAdjusted(work) != "" {
			return sheetPath(work, "verdict") // where it was asked for
		}
		return sheetPath(work, "before")
	}, func(work *capture.Work, t *tried) error {
		switch t.values.Get("from") {
		case "adjust":
			return x.showAdjust(work, t)
		case "after":
			return x.showRuns(work, sheet.After, t)
		}
		return x.showRuns(work, sheet.Before, t)
	})
}

func (w *Web) addAdjustment(x *exchange) error {
	return captured(x, "adjust", asking(x, (*capture.Work).QuestionAdjustment, func(c *capture.Adjust) (capture.Written, error) {
		return w.Capture.Adjust(x.ctx(), x.actor, *c)
	}), func(work *capture.Work, _ *capture.Adjust, _ capture.Written) string {
		return sheetPath(work, "adjust")
	},
		func(work *capture.Work, t *tried) error { return x.showAdjust(work, t) })
}
