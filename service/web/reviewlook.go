package web

import (
	"rillmark/domain"
	"rillmark/domain/evaluation"
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
			checks = append(checks, joined(", ", mountingOf(x, w, c.MountingID), x.text("sheet.outcome-"+string(c.Outcome)), x.checkFigures(c), x.stamped(w, c.Stamp), c.KeptBecause))
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
	say(x.text("review.slips"), x.likelySlips(w), true)
	say(x.text("review.on-file"), x.againstFile(w), true)
	say(x.text("review.checks"), checks, true)
	say(x.text("review.aside"), aside, true)
	say(x.text("review.noted"), noted, false)
	say(x.text("sheet.remarks-title"), x.remarksOf(w, j.Result, evaluation.NotMeasured), false)
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

// againstFile is where the survey differs from what the register has of the pipe.
func (x *exchange) againstFile(w *capture.Work) (told []string) {
	survey := w.Facts.Sheet.Now()
	for _, f := range w.AgainstFile() {
		n := sheet.Name(f.Field)
		told = append(told, x.text("review.on-file-line", "name", x.valueWord(n), "now", x.valueText(n, survey[n]), "file", f.Value("text")))
	}
	return told
}

// mountingOf names a mounting by its number.
func mountingOf(x *exchange, w *capture.Work, id domain.MountingID) string {
	for _, m := range w.Facts.Sheet.Mountings {
		if m.ID == id {
			return x.text("sheet.mounting-number", "number", m.Number)
		}
	}
	return ""
}

func (x *exchange) checkFigures(c sheet.SetupCheck) string {
	var told []string
	if c.SNR != nil {
		told = append(told, x.text("review.snr", "db", inUnitPlain(*c.SNR, 0)))
	}
	if c.SoundSpeedEntered != nil {
		told = append(told, *c.SoundSpeedEntered)
	}
	return joined(", ", told...)
}

// likelySlips is what was asked about when it was entered and was insisted on, or came past
// the question.
func (x *exchange) likelySlips(w *capture.Work) (told []string) {
	for _, o := range w.Oddities() {
		words := ""
		switch o.What {
		case capture.OddZero:
			words = x.text("review.odd-zero", "mounting", o.Number, "mm", inUnitPlain(o.Size*1e3, 1))
		case capture.OddSpacing:
			words = x.text("review.odd-spacing", "mounting", o.Number, "mm", inUnitPlain(o.Size*1e3, 1))
		case capture.OddNoFlow:
			words = x.text("review.odd-no-flow", "run", o.Number, "phase", x.text("sheet.phase-"+string(o.Phase)))
		case capture.OddSame:
			words = x.text("review.odd-same", "run", o.Number, "other", o.Other, "phase", x.text("sheet.phase-"+string(o.Phase)))
		case capture.OddStep:
			words = x.text("review.odd-step", "number", o.Number, "percent", inUnitPlain(o.Size*100, 1))
		}
		told = append(told, joined(" · ", words, x.stamped(w, o.Stamp)))
	}
	return told
}
