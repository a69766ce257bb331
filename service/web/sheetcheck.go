package web

import (
	"fmt"

	"rillmark/calc/beam"
	"rillmark/calc/quantity"
	"rillmark/domain/evaluation"
	"rillmark/domain/sheet"
	"rillmark/service/capture"
	"rillmark/service/web/part"
)

func (w *Web) sheetCheck(x *exchange) error {
	work, err := x.task()
	if err != nil {
		return err
	}
	return x.showCheck(work, nil)
}

func (x *exchange) showCheck(w *capture.Work, t *tried) error {
	p := x.sheetPage(w, "check")
	all := w.Facts.Sheet.Mountings
	if len(all) == 0 {
		p.Blocks = []block{{Notices: []part.Notice{{Lead: x.text("sheet.not-mounted"), Text: x.text("sheet.not-mounted-text")}},
			Acts: []part.Button{{Deed: x.text("sheet.to-mounting"), Href: sheetPath(w, "mounting")}}}}
		return x.showSheet(p, t)
	}
	for i := len(all) - 1; i >= 0; i-- {
		p.Blocks = append(p.Blocks, x.checkBlocks(w, all[i], i == len(all)-1, t)...)
	}
	return x.showSheet(p, t)
}

// checksOf are the set-up checks of a mounting, the newest first.
func checksOf(w *capture.Work, m sheet.Mounting) []sheet.SetupCheck {
	var all []sheet.SetupCheck
	for i := len(w.Facts.Sheet.SetupChecks) - 1; i >= 0; i-- {
		if c := w.Facts.Sheet.SetupChecks[i]; c.MountingID == m.ID {
			all = append(all, c)
		}
	}
	return all
}

// momentOf is whether the next check belongs before the first run or after the last.
func momentOf(w *capture.Work, m sheet.Mounting) sheet.Moment {
	for _, r := range w.Facts.Sheet.Runs {
		if r.MountingID == m.ID {
			return sheet.After
		}
	}
	return sheet.Before
}

// lastRunTaken reports whether no further run is to be expected: those after adjustment
// were begun, or the meter was left as it is.
func lastRunTaken(w *capture.Work) bool {
	for _, n := range w.Facts.Sheet.Notes {
		if n.Kind == sheet.NotAdjusted {
			return true
		}
	}
	return len(w.Facts.Sheet.Taken(sheet.After)) > 0
}

// checkBlocks are the outcome of a mounting's newest check, the form for the next, zero,
// and what was checked earlier.
func (x *exchange) checkBlocks(w *capture.Work, m sheet.Mounting, newest bool, t *tried) []block {
	checks, moment := checksOf(w, m), momentOf(w, m)
	fill := x.mayFill(w) && newest
	var blocks []block
	if len(checks) > 0 {
		blocks = append(blocks, x.outcome(w, m, checks[0], fill, t))
	}
	if fill {
		form := block{ID: "check", Title: x.text("sheet.check-title", "number", m.Number)}
		f := x.checkForm(w, m, moment, t)
		due := len(checks) == 0 || moment == sheet.After && checks[0].Moment == sheet.Before && lastRunTaken(w)
		if !due {
			f.Summary = x.text("sheet.check-again")
			form.Title = ""
		} else if moment == sheet.After {
			form.Lead = x.text("sheet.recheck-lead")
		} else {
			form.Lead = x.text("sheet.check-lead")
		}
		form.Forms = []sheetForm{f}
		if due && len(checks) > 0 {
			blocks = append([]block{form}, blocks...)
		} else {
			blocks = append(blocks, form)
		}
	}
	if zero := x.zeroBlock(w, m, moment, fill, t); fill || len(zero.Timeline) > 0 {
		blocks = append(blocks, zero)
	}
	if len(checks) > 1 {
		var past []part.Moment
		for _, c := range checks[1:] {
			past = append(past, part.Moment{When: joined(" · ", x.text("sheet.moment-"+string(c.Moment)), x.stamped(w, c.Stamp)),
				Title: joined(" · ", x.text("sheet.outcome-"+string(c.Outcome)), speedText(c)), Text: c.KeptBecause})
		}
		blocks = append(blocks, block{Title: x.text("sheet.checks-before"), Timeline: past})
	}
	return blocks
}

func speedText(c sheet.SetupCheck) string {
	if c.SoundSpeed == nil {
		return ""
	}
	return inUnit(*c.SoundSpeed, quantity.KindVelocity, "m/s", 0.1)
}

// outcome is the largest thing on the page: what the check came to, and what would explain
// a failure.
func (x *exchange) outcome(w *capture.Work, m sheet.Mounting, c sheet.SetupCheck, fill bool, t *tried) block {
	b := block{ID: "outcome", Answer: x.text("sheet.outcome-" + string(c.Outcome) + "-answer"),
		Lead: joined(" · ", x.text("sheet.mounting-number", "number", m.Number), x.text("sheet.moment-"+string(c.Moment)), x.stamped(w, c.Stamp))}
	result, missing, ok := capture.CheckAgain(c)
	if ok {
		b.Notices = append(b.Notices, x.difference(c, result))
	}
	if len(missing) > 0 {
		n := part.Notice{Act: true, Text: x.text("sheet.check-missing")}
		for _, name := range missing {
			n.Links = append(n.Links, part.Link{Href: sheetPath(w, "survey/"+string(name)), Words: x.valueWord(name)})
		}
		b.Notices = append(b.Notices, n)
	}
	b.Pair = x.signals(c)
	if c.KeptBecause != "" {
		b.Notices = append(b.Notices, part.Notice{Lead: x.text("sheet.kept-because"), Text: c.KeptBecause})
	}
	if !fill {
		return b
	}
	switch {
	case c.Outcome == sheet.Passed && c.Moment == sheet.Before:
		b.Acts = []part.Button{{Deed: x.text("sheet.to-before"), Href: sheetPath(w, "before")}}
	case c.Outcome == sheet.Passed:
		b.Acts = []part.Button{{Deed: x.text("sheet.to-verdict"), Href: sheetPath(w, "verdict")}}
	case c.Outcome != sheet.NotMade && c.KeptBecause == "":
		if first := measureFirst(result.MeasureFirst); first != "" {
			b.Acts = []part.Button{{Deed: x.text("sheet.measure-again", "name", x.valueWord(first)), Href: sheetPath(w, "survey/"+string(first))}}
		}
		f := x.ask("keep", sheetPath(w, "check/keep"), []field{{name: "reason", label: "sheet.keep-why", hint: "sheet.keep-why-hint", kind: part.Area, required: true}},
			x.fresh("check_id", c.ID.String()), []string{"check_id"}, t)
		f.Summary, f.Button = x.text("sheet.keep-and-say"), part.Button{Deed: x.text("sheet.keep-check"), Second: true}
		b.Forms = []sheetForm{f}
	}
	return b
}

// difference says what was compared, and what alone would explain a difference.
func (x *exchange) difference(c sheet.SetupCheck, r beam.CheckResult) part.Notice {
	n := part.Notice{Act: c.Outcome != sheet.Passed}
	size, key := r.Difference, "sheet.speed-high"
	if size < 0 {
		size, key = -size, "sheet.speed-low"
	}
	n.Lead = x.text(key, "by", tenths(size), "measured", speedText(c))
	n.Text = x.text("sheet.speed-expected", "expected", tenths(r.Expected), "tolerance", tenths(r.Tolerance))
	if c.Outcome == sheet.Failed {
		for _, e := range r.Explanations[:min(len(r.Explanations), 4)] {
			n.Items = append(n.Items, x.text("sheet.input-"+inputWord(e.Input))+": "+x.Book.Fault(e.Remark()))
		}
		if len(r.Explanations) == 0 {
			n.Items = append(n.Items, x.Book.Fault(beam.NothingExplains.At("")))
		}
	}
	for _, f := range r.Remarks {
		if f.Code == beam.CheckTooUncertain || f.Code == beam.CheckRestsOnAssumed {
			n.Items = append(n.Items, x.Book.Fault(f))
		}
	}
	return n
}

// inputWord is the key of an input of the beam's model.
func inputWord(input string) string {
	words := map[string]string{beam.OutsideDiameterName: "diameter", beam.WallName: "wall", beam.PipeSoundSpeedName: "pipe-speed", beam.LinerThicknessName: "liner",
		beam.LinerSoundSpeedName: "liner-speed", beam.WedgeSoundSpeedName: "wedge-speed", beam.WedgeAngleName: "wedge-angle", beam.ExitOffsetName: "exit-offset",
		beam.SpacingName: "spacing", beam.TemperatureName: "temperature", beam.TraversesName: "traverses", beam.TabulatedName: "fluid-speed", beam.MeasuredName: "reading",
		evaluation.SalinityName: "salinity"}
	if word, known := words[input]; known {
		return word
	}
	return "other"
}

// measureFirst is the survey value to measure again; empty where it is no survey value.
func measureFirst(input string) sheet.Name {
	return map[string]sheet.Name{beam.OutsideDiameterName: sheet.OutsideDiameter, beam.WallName: sheet.Wall, beam.PipeSoundSpeedName: sheet.PipeSoundSpeed,
		beam.LinerThicknessName: sheet.LinerThickness, beam.LinerSoundSpeedName: sheet.LinerSoundSpeed, beam.TemperatureName: sheet.Temperature,
		beam.TabulatedName: sheet.FluidSoundSpeed, evaluation.SalinityName: sheet.Salinity}[input]
}

func (x *exchange) signals(c sheet.SetupCheck) []part.Field {
	var pair []part.Field
	if c.SNR != nil {
		pair = append(pair, part.Field{Name: "snr", ID: "shown-snr-" + c.ID.String(), Label: x.text("sheet.snr"), Kind: part.Shown, Figure: true, Unit: "dB",
			Value: fmt.Sprintf("%g", *c.SNR), Source: c.Signal})
	}
	if c.SoundSpeed != nil {
		source := ""
		if c.SoundSpeedEntered == nil {
			source = x.text("sheet.from-times")
		}
		pair = append(pair, part.Field{Name: "speed", ID: "shown-speed-" + c.ID.String(), Label: x.text("sheet.sound-speed"), Kind: part.Shown, Figure: true, Unit: "m/s",
			Value: tenths(*c.SoundSpeed), Source: source})
	}
	return pair
}

func (x *exchange) checkForm(w *capture.Work, m sheet.Mounting, moment sheet.Moment, t *tried) sheetForm {
	fields := []field{
		{name: "snr", label: "sheet.snr", kind: part.Number, unit: "dB"},
		{name: "sound_speed", label: "sheet.sound-speed", kind: part.Number, unit: "m/s", beside: true},
		{name: "transit_up", label: "sheet.transit-up", hint: "sheet.transit-hint", kind: part.Number, unit: "µs"},
		{name: "transit_down", label: "sheet.transit-down", hint: "sheet.transit-hint", kind: part.Number, unit: "µs", beside: true},
		{name: "signal", label: "sheet.signal", hint: "sheet.signal-hint"},
		{name: "kept_because", label: "sheet.not-made-why", hint: "sheet.not-made-hint", kind: part.Area},
	}
	f := x.ask("check", sheetPath(w, "check"), fields, x.fresh("mounting_id", m.ID.String(), "moment", string(moment)), []string{"mounting_id", "moment"}, t)
	f.Button.Deed = x.text("sheet.compare")
	return f
}

// zeroBlock shows the zero checks of a mounting, and asks for one.
func (x *exchange) zeroBlock(w *capture.Work, m sheet.Mounting, moment sheet.Moment, fill bool, t *tried) block {
	b := block{ID: "zero", Title: x.text("sheet.zero-title")}
	for i := len(w.Facts.Sheet.ZeroChecks) - 1; i >= 0; i-- {
		z := w.Facts.Sheet.ZeroChecks[i]
		if z.MountingID != m.ID {
			continue
		}
		line := part.Moment{When: joined(" · ", x.text("sheet.moment-"+string(z.Moment)), x.stamped(w, z.Stamp)), Title: x.text("sheet.zero-not-possible"), Text: z.Action}
		if z.Possible && z.MeanVelocity != nil && z.UVelocity != nil {
			line.Title = x.text("sheet.zero-read", "mean", inUnit(*z.MeanVelocity, quantity.KindVelocity, "mm/s", 0.1), "u", inUnit(*z.UVelocity, quantity.KindVelocity, "mm/s", 0.1))
			line.Text = joined(" · ", z.IsolatedBy, z.Tightness, z.Action)
			line.Needs = !z.CutoffOff
			if !z.CutoffOff {
				line.Text = joined(" · ", x.text("sheet.cutoff-on"), line.Text)
			}
		}
		b.Timeline = append(b.Timeline, line)
	}
	if !fill {
		return b
	}
	b.Notices = []part.Notice{{Act: true, Text: x.text("sheet.zero-caution")}}
	if len(w.Facts.Sheet.Controls) == 0 { // stopping the flow is what the loop must be told of first
		b.Notices = append([]part.Notice{{Act: true, Lead: x.text("sheet.control-caution-lead"), Text: x.text("sheet.control-caution"),
			Links: []part.Link{{Href: sheetPath(w, "before") + "#control", Words: x.text("sheet.control-first")}}}}, b.Notices...)
	}
	f := x.zeroForm(w, m, moment, t)
	if len(b.Timeline) > 0 {
		f.Summary = x.text("sheet.zero-again")
		b.Notices = nil
	} else {
		f.Summary = x.text("sheet.zero-do")
	}
	b.Forms = []sheetForm{f}
	return b
}

func (x *exchange) zeroForm(w *capture.Work, m sheet.Mounting, moment sheet.Moment, t *tried) sheetForm {
	fields := []field{
		{name: "possible", label: "sheet.zero-possible", open: true, required: true, options: []part.Option{{Value: "yes", Words: x.text("sheet.yes")},
			{Value: "no", Words: x.text("sheet.no"), More: x.text("sheet.zero-no-more")}}},
		{name: "isolated_by", label: "sheet.isolated-by", hint: "sheet.isolated-hint"},
		{name: "tightness", label: "sheet.tightness", hint: "sheet.tightness-hint", kind: part.Area},
		{name: "cutoff_off", label: "sheet.cutoff", open: true, several: true, options: []part.Option{{Value: "yes", Words: x.text("sheet.cutoff-off")}}},
		{name: "seconds", label: "sheet.zero-seconds", kind: part.Number, unit: "s"},
		{name: "mean_velocity", label: "sheet.zero-mean", kind: part.Number, unit: "mm/s"},
		{name: "u_velocity", label: "sheet.zero-u", kind: part.Number, unit: "mm/s", beside: true},
		{name: "action", label: "sheet.zero-action", hint: "sheet.zero-action-hint", kind: part.Area},
	}
	values := x.fresh("mounting_id", m.ID.String(), "moment", string(moment), "seconds", fmt.Sprint(w.Facts.Method.Content.ZeroCheck.LeastSeconds))
	f := x.ask("zero", sheetPath(w, "zero"), fields, values, []string{"mounting_id", "moment"}, t)
	f.Button.Deed = x.text("sheet.keep-zero")
	return f
}

func (w *Web) addCheck(x *exchange) error {
	return captured(x, "check", func(c *capture.CheckSetup) (capture.Written, error) {
		return w.Capture.CheckSetup(x.ctx(), x.actor, *c)
	}, func(work *capture.Work, _ *capture.CheckSetup, _ capture.Written) string {
		return sheetPath(work, "check")
	},
		func(work *capture.Work, t *tried) error { return x.showCheck(work, t) })
}

func (w *Web) keepCheck(x *exchange) error {
	return captured(x, "keep", func(c *capture.KeepCheck) (capture.Written, error) {
		return w.Capture.KeepCheck(x.ctx(), x.actor, *c)
	}, func(work *capture.Work, _ *capture.KeepCheck, _ capture.Written) string {
		return sheetPath(work, "check")
	},
		func(work *capture.Work, t *tried) error { return x.showCheck(work, t) })
}

func (w *Web) addZero(x *exchange) error {
	return captured(x, "zero", asking(x, (*capture.Work).QuestionZero, func(c *capture.CheckZero) (capture.Written, error) {
		return w.Capture.CheckZero(x.ctx(), x.actor, *c)
	}), func(work *capture.Work, _ *capture.CheckZero, _ capture.Written) string {
		return sheetPath(work, "check")
	},
		func(work *capture.Work, t *tried) error { return x.showCheck(work, t) })
}
