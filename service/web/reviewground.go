package web

import (
	"slices"
	"time"

	"rillmark/domain"
	"rillmark/domain/certificate"
	"rillmark/domain/evaluation"
	"rillmark/domain/kit"
	"rillmark/domain/sheet"
	"rillmark/service/capture"
	"rillmark/service/issuing"
	"rillmark/service/web/part"
)

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
func (x *exchange) kitOf(w *capture.Work, r evaluation.Result, draft certificate.Snapshot) block {
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
			{Text: laboratory}, {Text: x.text("review.until", "from", x.day(use.ValidFrom), "to", domain.LastDay(use.ValidTo, x.Zone).Format(wordedDay))}, {Text: x.text("review.until", "from", x.clock(w, use.FirstUsed), "to", x.clock(w, use.LastUsed))}})
	}
	x.otherKit(w, r, draft, b.Table)
	return b
}

// otherKit adds what else the document names with a calibration: what measured the survey,
// and what was calibrated together with the reference.
func (x *exchange) otherKit(w *capture.Work, r evaluation.Result, draft certificate.Snapshot, t *part.Table) {
	for _, k := range draft.Setup.Kit {
		i := slices.IndexFunc(w.Facts.Kit, func(item kit.Item) bool { return item.Tag == k.Tag })
		if i < 0 || k.Certificate == "" || slices.ContainsFunc(r.Kit, func(u evaluation.KitUse) bool { return u.KitID == w.Facts.Kit[i].ID }) {
			continue
		}
		valid := k.ValidTo
		if at, err := time.Parse(time.DateOnly, k.ValidTo); err == nil {
			valid = at.Format(wordedDay)
		}
		name, used := k.Tag, "–"
		if slices.ContainsFunc(w.Facts.Sheet.Mountings, func(m sheet.Mounting) bool { return m.TapeID != nil && *m.TapeID == w.Facts.Kit[i].ID }) {
			used = x.text("review.kit-used-mounting")
		}
		if k.With != "" {
			name, used = x.text("review.kit-with", "tag", k.Tag, "with", k.With), x.text("review.kit-used-with", "with", k.With)
		}
		t.Rows = append(t.Rows, []part.Cell{{Text: name, Href: "/kit/" + w.Facts.Kit[i].ID.String()}, {Text: k.Certificate}, {Text: k.Laboratory},
			{Text: x.text("review.kit-until", "day", valid)}, {Text: used}})
	}
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
