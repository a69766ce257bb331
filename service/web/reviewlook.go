package web

import (
	"rillmark/domain/sheet"
	"rillmark/service/capture"
	"rillmark/service/issuing"
	"rillmark/service/web/part"
)

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
	if w.Facts.Sheet.StillInhibited() {
		b.Notices = append(b.Notices, part.Notice{Act: true, Text: x.text("sheet.control-left")})
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
