package web

import (
	"math"
	"net/url"
	"strconv"
	"strings"
	"time"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/service/capture"
	"rillmark/service/capture/tracing"
	"rillmark/service/logfile"
	"rillmark/service/web/part"
)

// traceClocks compares the clocks of two series and asks how they are to be aligned.
func (w *Web) traceClocks(x *exchange) error {
	work, err := x.task()
	if err != nil {
		return err
	}
	return x.showClocks(work, x.r.URL.Query(), nil)
}

func clocksPath(w *capture.Work, reference, meter domain.SeriesID) string {
	return tracePath(w, "clocks?"+url.Values{"reference_id": {reference.String()}, "meter_id": {meter.String()}}.Encode())
}

// pairFields are the fields by which a form says what is compared.
var pairFields = []string{"reference_id", "meter_id", "reference_averaging.kind", "reference_averaging.seconds", "meter_averaging.kind", "meter_averaging.seconds", "search"}

// pairIn is what is compared, in the fields of a form.
type pairIn struct {
	ReferenceAveraging string `form:"reference_averaging.kind"`
	ReferenceSeconds   string `form:"reference_averaging.seconds"`
	MeterAveraging     string `form:"meter_averaging.kind"`
	MeterSeconds       string `form:"meter_averaging.seconds"`
	SearchIn           string `form:"search"`
}

// pairOf reads what is compared.
func pairOf(v url.Values) (tracing.Pair, error) {
	var check domain.Check
	var p tracing.Pair
	if p.ReferenceID.UnmarshalText([]byte(v.Get("reference_id"))) != nil {
		check.Add(domain.NotAnID.At("reference_id"))
	}
	if p.MeterID.UnmarshalText([]byte(v.Get("meter_id"))) != nil {
		check.Add(domain.NotAnID.At("meter_id"))
	}
	p.ReferenceAveraging, p.MeterAveraging = averagingOf(&check, v, "reference_averaging"), averagingOf(&check, v, "meter_averaging")
	p.Search = numberIn(&check, "search", domain.Line(v.Get("search")))
	return p, check.Err()
}

// averagingOf reads an averaging; nil where none is chosen: as the column map says.
func averagingOf(check *domain.Check, v url.Values, name string) *logfile.Averaging {
	kind := domain.Line(v.Get(name + ".kind"))
	if kind == "" {
		return nil
	}
	return &logfile.Averaging{Kind: kind, Seconds: numberIn(check, name+".seconds", domain.Line(v.Get(name+".seconds")))}
}

func (x *exchange) showClocks(w *capture.Work, given url.Values, t *tried) error {
	pair, err := pairOf(given)
	var seen tracing.Seen
	if err == nil {
		seen, err = x.Tracing.Look(x.ctx(), x.actor, pair)
	}
	faults := fault.AllOf(err)
	if err != nil && (len(faults) == 0 || domain.KindOf(err) == domain.NotFound || domain.KindOf(err) == domain.Forbidden) {
		return err
	}
	p := x.tracePage(w)
	if err != nil { // the averaging or the search was not understood: asked again
		p.Blocks = []block{{Title: x.text("trace.clocks-title"), Notices: []part.Notice{{Act: true, Items: x.sentences(faults)}}}}
		if x.mayFill(w) {
			p.Blocks[0].Forms = []sheetForm{x.lookForm(w, given)}
		}
		p.Blocks = append(p.Blocks, block{Quiet: []part.Link{{Href: sheetPath(w, "traces"), Words: x.text("trace.back")}}})
		return x.showSheet(p, t)
	}
	if seen.Reference.TaskID != w.TaskID {
		return domain.Refuse(domain.NotFound, domain.NoSuchThing.At("", "series"))
	}
	top, err := x.clocksTop(w, seen, given, t)
	if err != nil {
		return err
	}
	p.Blocks = []block{top}
	if x.mayFill(w) {
		p.Blocks = append(p.Blocks, x.decideBlocks(w, seen, given, t)...)
	}
	p.Blocks = append(p.Blocks, block{Quiet: []part.Link{{Href: sheetPath(w, "traces"), Words: x.text("trace.back")}}})
	return x.showSheet(p, t)
}

// clocksTop says what the signals tell, over the picture of both.
func (x *exchange) clocksTop(w *capture.Work, seen tracing.Seen, given url.Values, t *tried) (block, error) {
	b := block{ID: "told", Answer: x.lagAnswer(seen.Signals.Found, seen.Signals.Lag)}
	shown := shownPair{reference: seen.Reference, meter: seen.Meter, lag: seen.Signals.Lag}
	shown.averaged(seen.ReferenceAveraging, seen.MeterAveraging)
	if seen.Signals.Found {
		shown.drift, shown.middle = seen.Signals.Drift, seen.Origin.Add(time.Duration(seen.Signals.Middle*float64(time.Second)))
		b.Lead = x.text("trace.lag-lead", "u", doubtText(seen.Signals.Uncertainty), "changes", seen.Signals.Changes)
	} else {
		shown.lag = 0
		b.Notices = []part.Notice{{Act: true, Lead: x.text("trace.no-lag"), Text: x.Book.Fault(seen.Signals.Reason)}, {Text: x.text("trace.no-lag-then")}}
	}
	if t != nil && t.form == "nudge" {
		if lag, err := strconv.ParseFloat(strings.Replace(t.values.Get("lag"), ",", ".", 1), 64); err == nil && math.Abs(lag) < 1e6 {
			shown.lag, shown.drift = lag, 0
		}
	}
	var err error
	b.Picture, err = x.picture(w, shown)
	if b.Picture != nil {
		if x.mayFill(w) {
			b.Picture.Nudges = []string{"-10", "-1", "-0.1", "0.1", "1", "10"}
			b.Picture.SayLag = x.text("trace.say-lag")
		}
	}
	return b, err
}

// averaged are the averagings that hold for the picture.
func (p *shownPair) averaged(reference, meter *logfile.Averaging) {
	if reference != nil {
		p.reference.Mapping.Averaging = reference
	}
	if meter != nil {
		p.meter.Mapping.Averaging = meter
	}
}

// lagAnswer says how the clocks stand to each other.
func (x *exchange) lagAnswer(found bool, lag float64) string {
	text := secondsText(math.Abs(lag))
	switch {
	case !found:
		return x.text("trace.lag-unknown")
	case text == "0.0":
		return x.text("trace.lag-none")
	case lag > 0:
		return x.text("trace.lag-behind", "s", text)
	}
	return x.text("trace.lag-ahead", "s", text)
}

// doubtText tells an uncertainty of seconds, rounded up: to the tenth, below one second to the
// hundredth.
func doubtText(s float64) string {
	if s < 1 {
		return strconv.FormatFloat(math.Ceil(s*100)/100, 'f', 2, 64)
	}
	return strconv.FormatFloat(math.Ceil(s*10)/10, 'f', 1, 64)
}

// secondsText tells seconds to the tenth.
func secondsText(s float64) string { return strconv.FormatFloat(s, 'f', 1, 64) }

// decideBlocks are the three ways to decide, and how the channels are averaged.
func (x *exchange) decideBlocks(w *capture.Work, seen tracing.Seen, given url.Values, t *tried) []block {
	signals := x.decideForm(w, given, "signals", nil, nil, t)
	signals.Button.Deed = x.text("trace.use-signals")
	if !seen.Signals.Found {
		signals.Button = part.Button{Deed: x.text("trace.go-on-without"), Second: true}
		signals.Summary, signals.Lead = x.text("trace.go-on-without-word"), x.text("trace.go-on-without-lead")
	}
	lag := 0.0
	if seen.Signals.Found {
		lag = seen.Signals.Lag
	}
	nudge := x.decideForm(w, given, "nudge", []field{
		{name: "lag", label: "trace.lag", hint: "trace.lag-hint", kind: part.Number, unit: "s", required: true},
		{name: "uncertainty", label: "trace.lag-u", hint: "trace.lag-u-hint", kind: part.Number, unit: "s", required: true, beside: true},
		{name: "reason", label: "trace.nudge-why", hint: "trace.nudge-why-hint", kind: part.Area, required: true}},
		url.Values{"lag": {plainSeconds(lag)}, "uncertainty": {plainSeconds(seen.Doubt)}}, t)
	nudge.Summary, nudge.Lead, nudge.Button = x.text("trace.nudge"), x.text("trace.nudge-lead"), part.Button{Deed: x.text("trace.use-nudged")}
	note := x.noteOfClocks(w, given, t)
	blocks := []block{{ID: "decide", Forms: []sheetForm{signals}}, {ID: "nudge", Forms: []sheetForm{nudge}}, {ID: "note", Forms: []sheetForm{note}}}
	if !seen.Signals.Found { // the way that helps stands first
		blocks = []block{blocks[2], blocks[1], blocks[0]}
	}
	look := x.lookForm(w, completed(given, seen.Pair))
	return append(blocks, block{ID: "averaging", Title: x.text("trace.averaging-title"), Facts: []part.Fact{
		{Word: x.text("trace.of-reference"), Text: x.averaged(seen.ReferenceAveraging)}, {Word: x.text("trace.of-meter"), Text: x.averaged(seen.MeterAveraging)}}, Forms: []sheetForm{look}})
}

// completed fills a form with how the pair was compared.
func completed(given url.Values, p tracing.Pair) url.Values {
	v := url.Values{}
	for name, texts := range given {
		v[name] = texts
	}
	set := func(name string, a *logfile.Averaging) {
		if a != nil && v.Get(name+".kind") == "" {
			v.Set(name+".kind", a.Kind)
			if a.Seconds > 0 {
				v.Set(name+".seconds", plainSeconds(a.Seconds))
			}
		}
	}
	set("reference_averaging", p.ReferenceAveraging)
	set("meter_averaging", p.MeterAveraging)
	if v.Get("search") == "" {
		v.Set("search", plainSeconds(p.Search))
	}
	return v
}

// lookForm says how each channel was averaged and how far apart the clocks may be, and
// compares again.
func (x *exchange) lookForm(w *capture.Work, given url.Values) sheetForm {
	var kinds []part.Option
	for _, k := range []string{"unknown", "none", "trailing", "centred", "exponential"} {
		kinds = append(kinds, part.Option{Value: k, Words: x.text("trace.averaging-" + k)})
	}
	f := x.ask("look", tracePath(w, "clocks"), []field{
		{name: "reference_averaging.kind", label: "trace.reference-averaging", kind: part.Choice, options: kinds},
		{name: "reference_averaging.seconds", label: "trace.map-averaging.seconds", kind: part.Number, unit: "s", beside: true},
		{name: "meter_averaging.kind", label: "trace.meter-averaging", kind: part.Choice, options: kinds},
		{name: "meter_averaging.seconds", label: "trace.map-averaging.seconds", kind: part.Number, unit: "s", beside: true},
		{name: "search", label: "trace.search", hint: "trace.search-hint", kind: part.Number, unit: "s"}}, given, nil, nil)
	f.Method, f.Summary, f.Button = "get", x.text("trace.look-again-word"), part.Button{Deed: x.text("trace.look-again"), Second: true}
	f.Hidden = []part.Field{{Name: "reference_id", Value: given.Get("reference_id")}, {Name: "meter_id", Value: given.Get("meter_id")}}
	return f
}

// decideForm is a form that decides on the alignment of the pair.
func (x *exchange) decideForm(w *capture.Work, given url.Values, id string, fields []field, values url.Values, t *tried) sheetForm {
	how := map[string]tracing.How{"signals": tracing.BySignals, "nudge": tracing.ByHand, "clock-note": tracing.ByNote}[id]
	all := x.fresh("how", string(how), "form", id)
	for name, v := range values {
		all[name] = v
	}
	for _, name := range pairFields {
		if v := given[name]; len(v) > 0 {
			all[name] = v
		}
	}
	return x.ask(id, tracePath(w, "alignments"), fields, all, append([]string{"how", "form"}, pairFields...), t)
}

// noteMoments are the moments of a clock note, and what is read at each.
var (
	noteMoments  = []string{"start", "end"}
	noteReadings = []string{"reference_clock", "reference_shows", "meter_clock", "meter_shows"}
)

// noteOfClocks asks for a clock note: each logger read against one clock, at the start and
// where it was done at the end.
func (x *exchange) noteOfClocks(w *capture.Work, given url.Values, t *tried) sheetForm {
	var fields []field
	for _, moment := range noteMoments {
		for i, name := range noteReadings {
			f := field{name: "note." + moment + "." + name, label: "trace.note-" + name, required: moment == "start", beside: i%2 == 1}
			if i == 0 {
				f.hint = "trace.note-hint-" + moment
			}
			fields = append(fields, f)
		}
	}
	fields = append(fields, field{name: "note.step", label: "trace.note-step", hint: "trace.note-step-hint", kind: part.Number, unit: "s"})
	f := x.decideForm(w, given, "clock-note", fields, url.Values{"note.step": {"1"}}, t)
	f.Summary, f.Lead, f.Button = x.text("trace.clock-note"), x.text("trace.clock-note-lead"), part.Button{Deed: x.text("trace.use-note")}
	return f
}

// decision is a Decide whose pair and clock note come in fields of their own.
type decision struct {
	tracing.Decide
	pairIn
	StartReferenceClock string `form:"note.start.reference_clock"`
	StartReferenceShows string `form:"note.start.reference_shows"`
	StartMeterClock     string `form:"note.start.meter_clock"`
	StartMeterShows     string `form:"note.start.meter_shows"`
	EndReferenceClock   string `form:"note.end.reference_clock"`
	EndReferenceShows   string `form:"note.end.reference_shows"`
	EndMeterClock       string `form:"note.end.meter_clock"`
	EndMeterShows       string `form:"note.end.meter_shows"`
	NoteStep            string `form:"note.step"`
}

func (d *decision) note() tracing.ClockNote {
	return tracing.ClockNote{Step: d.NoteStep,
		Start: tracing.Moment{ReferenceClock: d.StartReferenceClock, ReferenceShows: d.StartReferenceShows, MeterClock: d.StartMeterClock, MeterShows: d.StartMeterShows},
		End:   tracing.Moment{ReferenceClock: d.EndReferenceClock, ReferenceShows: d.EndReferenceShows, MeterClock: d.EndMeterClock, MeterShows: d.EndMeterShows}}
}

// decideClocks keeps how the clocks are aligned, and leads to the stretches.
func (w *Web) decideClocks(x *exchange) error {
	return captured(x, "signals", func(c *decision) (capture.Written, error) {
		pair, err := pairOf(x.form)
		if err != nil {
			return capture.Written{}, err
		}
		c.Pair, c.Note = pair, c.note()
		return w.Tracing.Decide(x.ctx(), x.actor, c.Decide)
	}, func(work *capture.Work, _ *decision, done capture.Written) string {
		return tracePath(work, "alignments/"+done.ID)
	}, func(work *capture.Work, t *tried) error {
		return x.showClocks(work, chosen(t.values, pairFields), t)
	})
}

// decidedHow says in a line how an alignment was decided and what it came to.
func (x *exchange) decidedHow(w *capture.Work, a tracing.Alignment) string {
	text := x.text("trace.how-" + string(a.How))
	if a.Found {
		text += ": " + x.text("trace.lag-short", "s", signed(a.Lag), "u", doubtText(a.Uncertainty))
	} else {
		text = x.text("trace.how-none")
	}
	return joined(" · ", text, x.told2(w, a.By, a.CapturedAt))
}

// signed tells seconds to the tenth with their sign.
func signed(s float64) string {
	text := secondsText(math.Abs(s))
	switch {
	case text == "0.0":
		return text
	case s < 0:
		return "−" + text
	}
	return "+" + text
}
