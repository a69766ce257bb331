package web

import (
	"net/url"
	"slices"
	"strings"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/sheet"
	"rillmark/service/capture"
	"rillmark/service/web/part"
)

// surveyGroup is values of the survey that belong together. Rare ones are shown when there
// is something to show.
type surveyGroup struct {
	name  string
	names []sheet.Name
	rare  []sheet.Name
}

var surveyGroups = []surveyGroup{
	{"pipe", []sheet.Name{sheet.OutsideDiameter, sheet.Circumference, sheet.Wall, sheet.MinimumWall, sheet.PipeMaterial},
		[]sheet.Name{sheet.PipeStandard, sheet.PipeSize, sheet.PipeSchedule, sheet.CoatingThickness, sheet.TapeThickness, sheet.PipeSoundSpeed, sheet.PipeCondition}},
	{"lining", []sheet.Name{sheet.LinerThickness, sheet.LinerMaterial}, []sheet.Name{sheet.LinerSoundSpeed}},
	{"fluid", []sheet.Name{sheet.Fluid, sheet.Salinity, sheet.MassFraction, sheet.APIGravity, sheet.ProductGroup, sheet.Temperature, sheet.Pressure, sheet.PipeFull},
		[]sheet.Name{sheet.FluidSoundSpeed, sheet.KinematicViscosity, sheet.Density, sheet.AmbientTemperature}},
	{"place", []sheet.Name{sheet.Between, sheet.StraightBefore, sheet.DisturbanceBefore, sheet.StraightAfter, sheet.DisturbanceAfter},
		[]sheet.Name{sheet.ReferencePosition, sheet.Distance, sheet.Side, sheet.BetweenNote}},
	{"meter", []sheet.Name{sheet.MeterStraightBefore, sheet.MeterDisturbance}, []sheet.Name{sheet.MeterStraightAfter, sheet.MeterDisturbanceAfter}},
}

func (w *Web) sheetSurvey(x *exchange) error {
	work, err := x.task()
	if err != nil {
		return err
	}
	return x.showSurvey(work, nil)
}

func (x *exchange) showSurvey(w *capture.Work, t *tried) error {
	p := x.sheetPage(w, "survey")
	doubts := byField(w.Doubts())
	survey, may := w.Facts.Sheet.Now(), x.mayFill(w)
	next, missing := x.surveyNext(w, may)
	p.Blocks = append(p.Blocks, next)
	for _, g := range surveyGroups {
		b := block{ID: g.name, Title: x.text("sheet.group-" + g.name)}
		var more []part.Link
		for _, name := range append(slices.Clone(g.names), g.rare...) {
			rare := slices.Contains(g.rare, name)
			if rare && !survey.Has(name) {
				more = append(more, part.Link{Href: sheetPath(w, "survey/"+string(name)), Words: x.valueWord(name)})
				continue
			}
			if name == sheet.Circumference && !survey.Has(name) && !survey.Has(sheet.OutsideDiameter) {
				more = append([]part.Link{{Href: sheetPath(w, "survey/"+string(name)), Words: x.valueWord(name)}}, more...)
				continue
			}
			if name == sheet.Circumference && !survey.Has(name) || idle(survey, name) {
				continue
			}
			b.Values = append(b.Values, x.valueLine(w, survey, name, doubts[string(name)], missing[string(name)], may))
		}
		if may {
			b.Quiet = more
		}
		p.Blocks = append(p.Blocks, b)
	}
	return x.showSheet(p, t)
}

// idle reports whether a value says nothing of the fluid that was surveyed, and is not there.
func idle(survey sheet.Survey, name sheet.Name) bool {
	switch name {
	case sheet.Salinity, sheet.MassFraction, sheet.APIGravity, sheet.ProductGroup:
		return !survey.Has(name) && !slices.Contains(survey.FluidNeeds(), name)
	}
	return false
}

// surveyNext leads to the next value that is missing, and says which are.
func (x *exchange) surveyNext(w *capture.Work, may bool) (next block, missing map[string]bool) {
	missing = map[string]bool{}
	first := ""
	for _, gap := range w.Facts.Sheet.Missing() {
		if gap.Step == sheet.StepSurvey {
			missing[gap.Field] = true
			if first == "" {
				first = gap.Field
			}
		}
	}
	switch {
	case first != "" && may:
		next.Lead = x.text("sheet.survey-lead", "n", len(missing))
		next.Acts = []part.Button{{Deed: x.text("sheet.enter", "name", x.valueWord(sheet.Name(first))), Href: sheetPath(w, "survey/"+first)},
			{Deed: x.text("sheet.pick-pipe"), Href: sheetPath(w, "pipe"), Second: true}}
	case may:
		stopped := len(w.Stops()) > 0
		next.Lead = x.text("sheet.survey-whole")
		if stopped {
			next.Lead = x.text("sheet.survey-stopped")
		}
		next.Acts = []part.Button{{Deed: x.text("sheet.to-mounting"), Href: sheetPath(w, "mounting"), Second: stopped},
			{Deed: x.text("sheet.pick-pipe"), Href: sheetPath(w, "pipe"), Second: true}}
	}
	return next, missing
}

func byField(list fault.List) map[string]fault.List {
	m := map[string]fault.List{}
	for _, f := range list {
		m[f.Field] = append(m[f.Field], f)
	}
	return m
}

// valueWord is what a value of the survey is called.
func (x *exchange) valueWord(n sheet.Name) string { return x.text("sheet.name-" + string(n)) }

func (x *exchange) valueLine(w *capture.Work, survey sheet.Survey, name sheet.Name, doubts fault.List, needed, may bool) valueLine {
	line := valueLine{Label: x.valueWord(name), Needed: needed, Doubts: x.sentences(doubts)}
	if may {
		line.Href, line.Deed = sheetPath(w, "survey/"+string(name)), x.text("sheet.enter-short")
	}
	v := survey[name]
	if v.Count == 0 {
		if last, there := w.LastVisit[name]; there {
			line.Last = x.text("sheet.last-visit", "value", x.valueText(name, last.Value), "date", last.At.In(w.Zone()).Format("2 January 2006"))
		}
		return line
	}
	line.Text, line.Deed = x.valueText(name, v), x.text("sheet.look")
	about, _ := sheet.About(name)
	_, line.Figure = about.Kind.Quantity()
	newest := v.Rows[len(v.Rows)-1]
	line.Source = x.sourceLine(w, newest)
	if v.Count > 1 {
		var each []string
		for _, r := range v.Rows {
			each = append(each, joined(" ", r.Entered, r.Position))
		}
		line.Source = x.text("sheet.mean-of", "n", v.Count) + ": " + strings.Join(each, " · ") + " · " + line.Source
	}
	return line
}

// valueText is a value as shown: as entered, or the mean of several.
func (x *exchange) valueText(name sheet.Name, v sheet.Value) string {
	about, _ := sheet.About(name)
	if about.Kind == sheet.KindLength {
		return x.shownLength(name, v)
	}
	if kind, is := about.Kind.Quantity(); is && v.Count > 1 {
		return inUnit(v.Number, kind, capture.UnitOf(name), 0.01)
	}
	if about.Kind == sheet.KindChoice {
		return x.text("sheet.choice-" + v.Text)
	}
	if name == sheet.Fluid {
		return x.fluidWord(v.Text, false)
	}
	return v.Text
}

// sourceLine says where a value comes from, with what, who and when.
func (x *exchange) sourceLine(w *capture.Work, v sheet.SurveyValue) string {
	return joined(" · ", x.text("sheet.source-"+string(v.Source)), w.KitTag(v.KitID), x.stamped(w, v.Stamp))
}

// sheetValue is the page of one value: everything entered for it, and the field to enter
// or correct it.
func (w *Web) sheetValue(x *exchange) error {
	work, err := x.task()
	if err != nil {
		return err
	}
	return x.showValue(work, sheet.Name(x.gin.Param("value")), nil)
}

func (x *exchange) showValue(w *capture.Work, name sheet.Name, t *tried) error {
	about, known := sheet.About(name)
	if !known {
		return domain.Refuse(domain.NotFound, domain.NoSuchThing.At("", "value"))
	}
	p := x.sheetPage(w, "survey")
	survey := w.Facts.Sheet.Now()
	b := block{Title: x.valueWord(name), Lead: x.text("sheet.about-" + string(name))}
	for _, f := range byField(w.Doubts())[string(name)] {
		b.Notices = append(b.Notices, part.Notice{Act: true, Text: x.Book.Fault(f)})
	}
	if x.mayFill(w) {
		b.Forms = []sheetForm{x.valueForm(w, survey, about, t)}
	}
	b.Quiet = []part.Link{{Href: sheetPath(w, "survey"), Words: x.text("sheet.back-survey")}}
	p.Blocks = []block{b}
	if rows := x.valueRows(w, name); len(rows) > 0 {
		entered := block{Title: x.text("sheet.entered-before"), Timeline: rows}
		if x.mayFill(w) {
			entered.Lead = x.text("sheet.tap-to-correct")
			entered.Acts = x.onwards(w, name)
		}
		p.Blocks = append(p.Blocks, entered)
	}
	return x.showSheet(p, t)
}

// onwards leads from a value that is entered to the next one that is missing.
func (x *exchange) onwards(w *capture.Work, name sheet.Name) []part.Button {
	for _, gap := range w.Facts.Sheet.Missing() {
		if gap.Step == sheet.StepSurvey && gap.Field != string(name) {
			return []part.Button{{Deed: x.text("sheet.enter", "name", x.valueWord(sheet.Name(gap.Field))), Href: sheetPath(w, "survey/"+gap.Field), Second: true}}
		}
	}
	return nil
}

// valueRows lists every row of a value, the newest first, corrections with their reasons.
func (x *exchange) valueRows(w *capture.Work, name sheet.Name) []part.Moment {
	inForce := map[domain.SurveyValueID]bool{}
	for _, r := range w.Facts.Sheet.Now()[name].Rows {
		inForce[r.ID] = true
	}
	var rows []part.Moment
	for i := len(w.Facts.Sheet.Survey) - 1; i >= 0; i-- {
		v := w.Facts.Sheet.Survey[i]
		if v.Name != name {
			continue
		}
		text := v.Entered
		if about, _ := sheet.About(name); about.Kind == sheet.KindChoice {
			text = x.text("sheet.choice-" + v.Entered)
		}
		m := part.Moment{When: x.sourceLine(w, v), Title: joined(" · ", text, v.Position), Text: v.Reason, Now: inForce[v.ID]}
		if inForce[v.ID] && x.mayFill(w) {
			m.Href = sheetPath(w, "survey/"+string(name)) + "?corrects=" + v.ID.String()
		}
		rows = append(rows, m)
	}
	return rows
}

// positions are where several readings of a value are taken.
func positions(n sheet.Name) []string {
	if n == sheet.Wall {
		return []string{"12 o'clock", "3 o'clock", "6 o'clock", "9 o'clock"}
	}
	return []string{"up and down", "across"}
}

// choicesOf are the texts a value is chosen from; none: it is written freely.
func (x *exchange) choicesOf(w *capture.Work, about sheet.Meaning) []part.Option {
	var options []part.Option
	plain := func(texts []string) {
		for _, t := range texts {
			options = append(options, part.Option{Value: t, Words: t})
		}
	}
	switch content := w.Facts.Method.Content; about.Name {
	case sheet.PipeMaterial, sheet.LinerMaterial:
		for _, m := range content.Materials {
			options = append(options, part.Option{Value: m.Name, Words: m.Name, More: x.speeds(m)})
		}
	case sheet.DisturbanceBefore, sheet.DisturbanceAfter, sheet.MeterDisturbance, sheet.MeterDisturbanceAfter:
		plain(content.Disturbances())
	case sheet.Fluid:
		for _, name := range content.FluidNames() {
			_, own := content.Fluid(name)
			options = append(options, part.Option{Value: name, Words: x.fluidWord(name, own), More: x.fluidMore(name, own)})
		}
	default:
		for _, c := range about.Choices {
			options = append(options, part.Option{Value: c, Words: x.text("sheet.choice-" + c)})
		}
	}
	return options
}

func (x *exchange) valueForm(w *capture.Work, survey sheet.Survey, about sheet.Meaning, t *tried) sheetForm {
	name := about.Name
	values := x.fresh("name", string(name), "source", string(usualSource(about)))
	var fields []field
	entered := field{name: "entered", label: "sheet.name-" + string(name), unit: capture.UnitOf(name), required: true}
	if options := x.choicesOf(w, about); len(options) > 0 {
		entered.options, entered.open = options, true
	} else if _, is := about.Kind.Quantity(); is {
		entered.kind = part.Number
	} else {
		entered.kind = part.Area
	}
	fields = append(fields, entered)
	if about.Several {
		fields = append(fields, field{name: "position", label: "sheet.position", offers: positions(name)})
		values.Set("position", nextPosition(survey[name].Rows, positions(name)))
	}
	fields = append(fields, field{name: "source", label: "sheet.source", options: x.sourceOptions(about), open: true, required: true})
	if kinds := capture.Instruments(name); len(kinds) > 0 {
		items := w.OfKind(kinds...)
		options := []part.Option{}
		for _, i := range items {
			options = append(options, part.Option{Value: i.ID.String(), Words: joined(" · ", i.Tag, x.text("sheet.kit-"+string(i.Kind)))})
		}
		options = append(options, part.Option{Value: "", Words: x.text("sheet.no-instrument")})
		fields = append(fields, field{name: "kit_id", label: "sheet.instrument", kind: part.Choice, options: options})
		values.Set("kit_id", options[0].Value)
	}
	x.takeOver(w, survey, name, values)
	if values.Get("corrects") != "" || t != nil && t.values.Get("corrects") != "" {
		fields = append(fields, field{name: "reason", label: "sheet.why-correct", hint: "sheet.why-correct-hint", kind: part.Area, required: true})
	}
	f := x.ask("value", sheetPath(w, "survey"), fields, values, []string{"name", "corrects"}, t)
	f.Button.Deed = x.text("sheet.keep")
	if last, there := w.LastVisit[name]; there && len(f.Groups) > 0 {
		f.Groups[0].Fields[0].Source = x.text("sheet.last-visit", "value", x.valueText(name, last.Value), "date", last.At.In(w.Zone()).Format("2 January 2006"))
	}
	if f.Groups[0].Fields[0].Kind == part.Number && t == nil {
		f.Groups[0].Fields[0].Focus = true
	}
	return f
}

// takeOver fills in the row that is to be corrected.
func (x *exchange) takeOver(w *capture.Work, survey sheet.Survey, name sheet.Name, values url.Values) {
	for _, r := range survey[name].Rows {
		if r.ID.String() != x.r.URL.Query().Get("corrects") {
			continue
		}
		values.Set("corrects", r.ID.String())
		values.Set("entered", r.Entered)
		values.Set("position", r.Position)
		values.Set("source", string(r.Source))
		if r.KitID != nil {
			values.Set("kit_id", r.KitID.String())
		}
	}
}

func nextPosition(rows []sheet.SurveyValue, all []string) string {
	for _, p := range all {
		if !slices.ContainsFunc(rows, func(v sheet.SurveyValue) bool { return v.Position == p && v.Source == sheet.Measured }) {
			return p
		}
	}
	return ""
}

// usualSource is the source that is chosen before anything is typed.
func usualSource(about sheet.Meaning) sheet.Source {
	switch about.Name {
	case sheet.PipeStandard, sheet.PipeSize, sheet.PipeSchedule, sheet.PipeMaterial, sheet.Pressure:
		return sheet.Nameplate
	case sheet.Salinity, sheet.MassFraction, sheet.APIGravity, sheet.ProductGroup, sheet.Density, sheet.KinematicViscosity,
		sheet.Fluid, sheet.LinerMaterial, sheet.LinerThickness, sheet.MinimumWall:
		return sheet.Client
	}
	return sheet.Measured
}

func (x *exchange) sourceOptions(about sheet.Meaning) []part.Option {
	var options []part.Option
	for _, s := range sheet.Sources {
		o := part.Option{Value: string(s), Words: x.text("sheet.source-" + string(s))}
		if s == sheet.Client || s == sheet.Assumed {
			o.More = x.text("sheet.source-printed")
		}
		if s == sheet.Measured {
			o.More = x.text("sheet.source-seen")
		}
		options = append(options, o)
	}
	return options
}

// recordValue keeps a value and goes on to the next one that is missing.
func (w *Web) recordValue(x *exchange) error {
	return captured(x, "value", asking(x, (*capture.Work).QuestionValue, func(c *capture.RecordValue) (capture.Written, error) {
		return w.Capture.RecordValue(x.ctx(), x.actor, *c)
	}), func(work *capture.Work, c *capture.RecordValue, _ capture.Written) string {
		return nextValue(work, sheet.Name(c.Name), c.Corrects.Valid())
	}, func(work *capture.Work, t *tried) error {
		return x.showValue(work, sheet.Name(t.values.Get("name")), t)
	})
}

// nextValue leads to the next reading around the pipe, else to the next value missing.
func nextValue(w *capture.Work, name sheet.Name, corrected bool) string {
	if corrected {
		return sheetPath(w, "survey")
	}
	now := w.Facts.Sheet.Now()
	if w.ToLookAt(name) { // the warning stands beside it
		return sheetPath(w, "survey/"+string(name))
	}
	if v := now[name]; v.Source == sheet.Measured && (name == sheet.Wall && v.Count < 4 || name == sheet.OutsideDiameter && v.Count < 2) {
		return sheetPath(w, "survey/"+string(name))
	}
	for _, gap := range w.Facts.Sheet.Missing() {
		if gap.Step == sheet.StepSurvey {
			return sheetPath(w, "survey/"+gap.Field)
		}
	}
	return sheetPath(w, "survey")
}
