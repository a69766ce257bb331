package web

import (
	"math"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/sheet"
	"rillmark/service/capture"
	"rillmark/service/capture/tracing"
	"rillmark/service/plot"
	"rillmark/service/web/part"
)

// mostProposed is how many steady stretches one page proposes.
const mostProposed = 40

// traceStretches shows an alignment with its steady stretches: each is taken as a run, set
// aside, or adjusted first.
func (w *Web) traceStretches(x *exchange) error {
	work, err := x.task()
	if err != nil {
		return err
	}
	return x.showStretches(work, x.gin.Param("alignment"), x.r.URL.Query(), nil)
}

// stretchMark places a stretch on the picture. Times are milliseconds since 1970.
type stretchMark struct {
	From, To int64
	Text     string
	Taken    bool
}

func (x *exchange) showStretches(w *capture.Work, id string, given url.Values, t *tried) error {
	var alignment domain.AlignmentID
	if alignment.UnmarshalText([]byte(id)) != nil {
		return domain.Refuse(domain.NotFound, domain.NoSuchThing.At("", "alignment"))
	}
	s, err := x.Tracing.Stretches(x.ctx(), x.actor, alignment)
	if err != nil {
		return err
	}
	if s.Alignment.TaskID != w.TaskID {
		return domain.Refuse(domain.NotFound, domain.NoSuchThing.At("", "alignment"))
	}
	pieces, proposed := ownPieces(s), openStretches(s)
	p := x.tracePage(w)
	top, err := x.alignmentTop(w, s.Alignment, pieces, proposed, given)
	if err != nil {
		return err
	}
	p.Blocks = []block{top}
	beside, err := x.besideIt(s.Alignment)
	if err != nil {
		return err
	}
	may := x.mayFill(w)
	if _, planned := w.Facts.Sheet.Plan(tracePhase(w)); may && (!planned || len(w.Facts.Sheet.Mountings) == 0) {
		may = false
		p.Blocks = append(p.Blocks, block{Notices: []part.Notice{{Act: true, Lead: x.text("trace.no-plan"), Text: x.text("trace.no-plan-text")}},
			Acts: []part.Button{{Deed: x.text("trace.to-plan"), Href: sheetPath(w, string(tracePhase(w)))}}})
	}
	if may {
		p.Blocks = append(p.Blocks, x.pickBlock(w, s.Alignment, beside, given, t))
	}
	common := shared(proposed)
	if len(common) > 0 {
		p.Blocks = append(p.Blocks, block{Notices: x.warnings(common)})
	}
	for i, one := range proposed {
		p.Blocks = append(p.Blocks, x.proposedBlock(w, s.Alignment, beside, one, without(one.Warnings, common), i+1, may, t))
	}
	if len(proposed) == 0 {
		p.Blocks = append(p.Blocks, block{Title: x.text("trace.steady-title"), Lead: x.text(map[bool]string{true: "trace.steady-all-decided", false: "trace.steady-none"}[len(s.Proposed) > 0])})
	}
	if len(pieces) > 0 {
		b := x.pieceBlock(w, pieces)
		for i, piece := range pieces {
			b.Runs[i].Mark = markOf(piece.From, piece.To, x.pieceText(piece), piece.RunID != nil)
		}
		p.Blocks = append(p.Blocks, b)
	}
	p.Blocks = append(p.Blocks, block{Quiet: []part.Link{{Href: clocksPath(w, s.Alignment.ReferenceID, s.Alignment.MeterID), Words: x.text("trace.decide-again")},
		{Href: sheetPath(w, "traces"), Words: x.text("trace.back")}, x.backToRuns(w)[0]}})
	return x.showSheet(p, t)
}

// ownPieces are the decided stretches of the two files that the alignment is of.
func ownPieces(s tracing.Steady) (own []tracing.Piece) {
	for _, p := range s.Decided {
		if p.AlignmentID == s.Alignment.ID {
			own = append(own, p)
		}
	}
	return own
}

// openStretches are the proposed stretches of which less than half is decided already.
func openStretches(s tracing.Steady) (open []tracing.Stretch) {
	for _, one := range s.Proposed {
		shared := 0.0
		for _, p := range s.Decided {
			shared += math.Max(0, earlier(p.To, one.To).Sub(later(p.From, one.From)).Seconds())
		}
		if shared < one.Seconds/2 && len(open) < mostProposed {
			open = append(open, one)
		}
	}
	return open
}

func markOf(from, to time.Time, text string, taken bool) *stretchMark {
	return &stretchMark{From: from.UnixMilli(), To: to.UnixMilli(), Text: text, Taken: taken}
}

// pieceText is what stands beside a decided stretch on the picture.
func (x *exchange) pieceText(p tracing.Piece) string {
	if p.RunID == nil {
		return x.text("trace.mark-aside")
	}
	return x.text("trace.mark-run", "run", p.Run)
}

// alignmentTop is the answer, the picture with the stretches, and how it was decided.
func (x *exchange) alignmentTop(w *capture.Work, a tracing.Alignment, pieces []tracing.Piece, proposed []tracing.Stretch, given url.Values) (block, error) {
	b := block{ID: "aligned", Answer: x.lagAnswer(a.Found, a.Lag), Lead: x.decidedHow(w, a)}
	if !a.Found {
		b.Notices = append(b.Notices, part.Notice{Lead: x.text("trace.steady-without"), Text: x.Book.Fault(a.Signals.Reason)})
	}
	if a.Reason != "" {
		b.Notices = append(b.Notices, part.Notice{Lead: x.text("trace.why"), Text: a.Reason})
	}
	if a.How != tracing.BySignals && a.Signals.Found && a.Signals.Lag != nil && a.Signals.Uncertainty != nil {
		b.Notices = append(b.Notices, part.Notice{Text: x.text("trace.signals-said", "s", signed(*a.Signals.Lag), "u", doubtText(*a.Signals.Uncertainty))})
	}
	reference, err := x.Tracing.ChannelOf(x.ctx(), x.actor, a.ReferenceID)
	if err != nil {
		return b, err
	}
	meter, err := x.Tracing.ChannelOf(x.ctx(), x.actor, a.MeterID)
	if err != nil {
		return b, err
	}
	shown := shownPair{reference: reference, meter: meter, lag: a.Lag, drift: a.Drift, middle: a.Middle}
	shown.averaged(&a.ReferenceAveraging, &a.MeterAveraging)
	for _, p := range pieces {
		shown.stretches = append(shown.stretches, plot.Stretch{From: seconds(p.From), To: seconds(p.To), Text: x.pieceText(p), Open: p.RunID == nil})
	}
	for i, s := range proposed {
		shown.stretches = append(shown.stretches, plot.Stretch{From: seconds(s.From), To: seconds(s.To), Text: strconv.Itoa(i + 1), Open: true})
	}
	if from, to, ok := x.picked(w, a, given); ok {
		room := to.Sub(from) / 2
		shown.from, shown.to = from.Add(-room), to.Add(room)
	}
	b.Picture, err = x.picture(w, shown)
	if b.Picture != nil {
		b.Picture.Pick = true
		if from, to, ok := x.picked(w, a, given); ok {
			b.Picture.LookFrom, b.Picture.LookTo = from.UnixMilli(), to.UnixMilli()
		}
	}
	return b, err
}

// pickedQuery names a stretch in an address.
func pickedQuery(w *capture.Work, from, to time.Time) string {
	return "?" + url.Values{"from": {siteClock(w, from)}, "to": {siteClock(w, to)}}.Encode() + "#aligned"
}

// picked is the stretch that an address names.
func (x *exchange) picked(w *capture.Work, a tracing.Alignment, given url.Values) (from, to time.Time, ok bool) {
	var check domain.Check
	if given.Get("from") == "" || given.Get("to") == "" {
		return from, to, false
	}
	from, to = siteTime(&check, "from", given.Get("from"), w.Zone(), a.From), siteTime(&check, "to", given.Get("to"), w.Zone(), a.From)
	return from, to, check.Err() == nil && from.Before(to)
}

// pickBlock is the form for a stretch that a person picks, with what it comes to where one
// is named already.
func (x *exchange) pickBlock(w *capture.Work, a tracing.Alignment, beside []part.Option, given url.Values, t *tried) block {
	b := block{ID: "pick", Title: x.text("trace.pick-title"), Lead: x.text("trace.pick-lead")}
	values := url.Values{}
	var looked *tracing.Stretch
	if from, to, ok := x.picked(w, a, given); ok {
		values.Set("from", given.Get("from"))
		values.Set("to", given.Get("to"))
		if one, err := x.Tracing.Over(x.ctx(), x.actor, a.ID, from, to); err == nil {
			looked = &one
			b.Answer, b.Title = x.stretchAnswer(one), ""
			b.Lead, b.Facts, b.Notices = x.span(w, one.From, one.To), x.stretchFacts(w, one), x.warnings(one.Warnings)
		} else {
			for _, f := range fault.AllOf(err) {
				b.Notices = append(b.Notices, part.Notice{Act: true, Text: x.Book.Fault(f)})
			}
		}
	}
	days := severalDays(w, a.From, a.To)
	hint := map[bool]string{true: "trace.pick-hint-day", false: "trace.pick-hint"}[days]
	fields := append([]field{{name: "from", label: "trace.pick-from", hint: hint, required: true}, {name: "to", label: "trace.pick-to", required: true, beside: !days}}, x.runFields(w, beside)...)
	take := x.takeForm(w, a, "pick", fields, values, looked, t)
	take.Button.Deed = x.text("trace.take")
	look := sheetForm{ID: "look", Action: tracePath(w, "alignments/"+a.ID.String()), Method: "get", Button: part.Button{Deed: x.text("trace.look-at"), Second: true}, Summary: x.text("trace.look-at-word")}
	look.Groups = []group{{Fields: []part.Field{{Name: "from", ID: "look-from", Label: x.text("trace.pick-from"), Value: values.Get("from")}}},
		{Fields: []part.Field{{Name: "to", ID: "look-to", Label: x.text("trace.pick-to"), Value: values.Get("to")}}}}
	b.Forms = []sheetForm{take, look}
	return b
}

// proposedBlock is one steady stretch with what it comes to.
func (x *exchange) proposedBlock(w *capture.Work, a tracing.Alignment, beside []part.Option, s tracing.Stretch, warned fault.List, number int, may bool, t *tried) block {
	id := "stretch-" + strconv.Itoa(number)
	b := block{ID: id, Title: x.text("trace.stretch-title", "n", number, "says", x.stretchAnswer(s)), Lead: joined(" · ", x.span(w, s.From, s.To), x.stretchLine(w, s)),
		Notices: x.warnings(warned), Stretch: markOf(s.From, s.To, strconv.Itoa(number), false)}
	if !may {
		return b
	}
	exact := url.Values{"from": {s.From.Format(time.RFC3339Nano)}, "to": {s.To.Format(time.RFC3339Nano)}}
	take := x.takeForm(w, a, id, x.runFields(w, beside), exact, &s, t)
	take.Button.Deed = x.text("trace.take")
	aside := x.asideStretchForm(w, a, "aside-"+strconv.Itoa(number), exact, t)
	b.Forms = []sheetForm{take, aside}
	b.Quiet = []part.Link{{Href: tracePath(w, "alignments/"+a.ID.String()) + strings.Replace(pickedQuery(w, s.From, s.To), "#aligned", "#pick", 1), Words: x.text("trace.adjust-stretch")}}
	return b
}

// besideIt are the alignments of further indications with the same series of the reference,
// the newest of each: their readings can stand beside in the same run.
func (x *exchange) besideIt(a tracing.Alignment) ([]part.Option, error) {
	alignments, err := x.Tracing.Alignments(x.ctx(), x.actor, a.TaskID)
	if err != nil {
		return nil, err
	}
	channels, err := x.Tracing.Channels(x.ctx(), x.actor, a.TaskID)
	if err != nil {
		return nil, err
	}
	indication := map[domain.SeriesID]tracing.Channel{}
	for _, c := range channels {
		indication[c.ID] = c
	}
	own := indication[a.MeterID].Indication
	there := map[string]bool{own: true}
	var list []part.Option
	for _, one := range alignments {
		c, known := indication[one.MeterID]
		if !known || one.ReferenceID != a.ReferenceID || there[c.Indication] {
			continue
		}
		there[c.Indication] = true
		list = append(list, part.Option{Value: one.ID.String(), Words: c.Indication, More: c.File})
	}
	return list, nil
}

// runFields say where a run belongs.
func (x *exchange) runFields(w *capture.Work, beside []part.Option) []field {
	phase := tracePhase(w)
	plan, _ := w.Facts.Sheet.Plan(phase)
	var points []part.Option
	for n := 1; n <= max(plan.FlowPoints, 1); n++ {
		points = append(points, part.Option{Value: strconv.Itoa(n), Words: x.text("sheet.flow-point", "point", n)})
	}
	fields := []field{{name: "flow_point", label: "sheet.flow-point-word", kind: part.Choice, options: points, required: true}}
	if phase == sheet.After {
		fields = append(fields, field{name: "phase", label: "trace.phase", kind: part.Choice, beside: true, options: []part.Option{
			{Value: string(sheet.Before), Words: x.text("sheet.phase-before")}, {Value: string(sheet.After), Words: x.text("sheet.phase-after")}}})
	}
	if all := w.Facts.Sheet.Mountings; len(all) > 1 {
		var mountings []part.Option
		for i := len(all) - 1; i >= 0; i-- {
			mountings = append(mountings, part.Option{Value: all[i].ID.String(), Words: x.text("sheet.mounting-number", "number", all[i].Number)})
		}
		fields = append(fields, field{name: "mounting_id", label: "sheet.mounting-word", kind: part.Choice, options: mountings, beside: true})
	}
	if len(beside) > 0 {
		fields = append(fields, field{name: "also", label: "trace.also", hint: "trace.also-hint", open: true, several: true, options: beside})
	}
	return fields
}

// takeForm is a form that takes a stretch as a run, put where it belongs by its time and its
// flow as far as they are known.
func (x *exchange) takeForm(w *capture.Work, a tracing.Alignment, id string, fields []field, values url.Values, s *tracing.Stretch, t *tried) sheetForm {
	phase, at := tracePhase(w), a.From
	if s != nil {
		at = s.From
	}
	if by, known := w.PhaseAt(at); known {
		phase = by
	}
	plan, _ := w.Facts.Sheet.Plan(phase)
	point := nextFlowPoint(plan, w.Facts.Sheet.Taken(phase))
	if s != nil {
		if near, there := w.FlowPointOf(phase, s.Reference); there {
			point = near
		} else {
			point = freeFlowPoint(plan, w.Facts.Sheet.Taken(phase), point)
		}
	}
	all := x.fresh("stretch_id", x.IDs().String(), "alignment_id", a.ID.String(), "phase", string(phase), "form", id, "flow_point", strconv.Itoa(point))
	if m, there := w.MountingAt(at); there {
		all.Set("mounting_id", m.ID.String())
	}
	for name, v := range values {
		all[name] = v
	}
	for _, f := range fields {
		if f.name == "also" { // side by side unless a person says otherwise
			for _, o := range f.options {
				all.Add("also", o.Value)
			}
		}
	}
	var hidden []string
	for _, name := range []string{"stretch_id", "alignment_id", "phase", "mounting_id", "form", "from", "to"} {
		asked := false
		for _, f := range fields {
			asked = asked || f.name == name
		}
		if !asked {
			hidden = append(hidden, name)
		}
	}
	return x.ask(id, tracePath(w, "runs"), fields, all, hidden, t)
}

// freeFlowPoint is the first planned flow point without a used run.
func freeFlowPoint(plan sheet.RunPlan, taken []sheet.Taken, otherwise int) int {
	for n := 1; n <= plan.FlowPoints; n++ {
		if !slices.ContainsFunc(taken, func(r sheet.Taken) bool { return r.Used && r.FlowPoint == n }) {
			return n
		}
	}
	return otherwise
}

func (x *exchange) asideStretchForm(w *capture.Work, a tracing.Alignment, id string, exact url.Values, t *tried) sheetForm {
	all := x.fresh("alignment_id", a.ID.String(), "form", id, "from", exact.Get("from"), "to", exact.Get("to"))
	f := x.ask(id, tracePath(w, "aside"), []field{{name: "reason", label: "sheet.aside-why", hint: "trace.aside-hint", kind: part.Area, required: true}}, all,
		[]string{"alignment_id", "form", "from", "to"}, t)
	f.Summary = x.text("trace.set-aside")
	f.Button = part.Button{Deed: f.Summary, Second: true}
	return f
}

// stretchAnswer says the error of a stretch as people say it.
func (x *exchange) stretchAnswer(s tracing.Stretch) string {
	size := strconv.FormatFloat(math.Abs(s.Error)*100, 'f', 2, 64)
	key := "trace.reads-high"
	switch {
	case zeroText(size):
		return x.text("trace.reads-right")
	case s.Error < 0:
		key = "trace.reads-low"
	}
	return x.text(key, "percent", size)
}

// errorText is the error of a stretch in figures.
func (x *exchange) errorText(s tracing.Stretch) string {
	text := strconv.FormatFloat(math.Abs(s.Error)*100, 'f', 2, 64) + " %"
	if zeroText(strings.TrimSuffix(text, " %")) {
		return text
	}
	if s.Error < 0 {
		return "−" + text
	}
	return "+" + text
}

func (x *exchange) stretchFacts(w *capture.Work, s tracing.Stretch) []part.Fact {
	facts := []part.Fact{
		{Word: x.text("trace.word-length"), Text: x.text("trace.length", "seconds", strconv.FormatFloat(s.Seconds, 'f', 0, 64), "readings", s.Readings)},
		{Word: x.text("trace.key-reference"), Text: flow(w, s.Reference)},
		{Word: x.text("trace.key-meter"), Text: flow(w, s.Indication)},
	}
	return append(facts, part.Fact{Word: x.text("trace.word-scatter"), Text: x.scatter(s), None: s.Expanded == nil})
}

// scatter tells the uncertainty that the readings' scatter leaves.
func (x *exchange) scatter(s tracing.Stretch) string {
	if s.Expanded == nil {
		return x.text("trace.not-estimable")
	}
	key := "trace.scatter"
	if s.Pooled {
		key = "trace.scatter-pooled"
	}
	return x.text(key, "u", twoDigits(*s.Expanded*100), "n", strconv.FormatFloat(s.EffectiveN, 'f', 0, 64))
}

// twoDigits tells a number with two significant digits.
func twoDigits(v float64) string {
	if v <= 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return "0"
	}
	return strconv.FormatFloat(v, 'f', max(0, 1-int(math.Floor(math.Log10(v)))), 64)
}

// stretchLine is a stretch's figures in a line.
func (x *exchange) stretchLine(w *capture.Work, s tracing.Stretch) string {
	return joined(" · ", x.text("trace.length", "seconds", strconv.FormatFloat(s.Seconds, 'f', 0, 64), "readings", s.Readings),
		x.text("trace.flows", "reference", flow(w, s.Reference), "meter", flow(w, s.Indication)), x.scatter(s))
}

// shared are the warnings that every stretch has, so that they are told once.
func shared(all []tracing.Stretch) (common fault.List) {
	if len(all) < 2 {
		return nil
	}
	for _, f := range all[0].Warnings {
		everywhere := true
		for _, s := range all[1:] {
			everywhere = everywhere && len(without(fault.List{f}, s.Warnings)) == 0
		}
		if everywhere {
			common = append(common, f)
		}
	}
	return common
}

// without are the faults that are not among the others.
func without(list, others fault.List) (rest fault.List) {
	for _, f := range list {
		if !slices.ContainsFunc(others, func(o fault.Fault) bool { return o.Error() == f.Error() }) {
			rest = append(rest, f)
		}
	}
	return rest
}

func (x *exchange) warnings(list fault.List) []part.Notice {
	var all []part.Notice
	for _, f := range list {
		all = append(all, part.Notice{Act: true, Text: x.Book.Fault(f)})
	}
	return all
}

// stretchIn is a stretch as a form names it, in the site's time or exactly.
type stretchIn struct {
	FromText string `form:"from"`
	ToText   string `form:"to"`
}

// takeIn is a Take whose times are the site's.
type takeIn struct {
	capture.At
	ID          domain.RunID         `form:"id"`
	StretchID   domain.StretchID     `form:"stretch_id"`
	AlignmentID domain.AlignmentID   `form:"alignment_id"`
	Phase       string               `form:"phase"`
	MountingID  domain.MountingID    `form:"mounting_id"`
	FlowPoint   string               `form:"flow_point"`
	Note        string               `form:"note"`
	Also        []domain.AlignmentID `form:"also"`
	stretchIn
}

// between reads the times of a stretch and, where a picture's edge was meant, keeps to it.
func (x *exchange) between(task domain.TaskID, id domain.AlignmentID, s stretchIn) (from, to time.Time, err error) {
	a, err := x.Tracing.AlignmentOf(x.ctx(), x.actor, id)
	if err != nil {
		return from, to, err
	}
	w, err := x.Capture.Sheet(x.ctx(), x.actor, task)
	if err != nil {
		return from, to, err
	}
	var check domain.Check
	from, to = siteTime(&check, "from", s.FromText, w.Zone(), a.From), siteTime(&check, "to", s.ToText, w.Zone(), a.From)
	if err := check.Err(); err != nil {
		return from, to, err
	}
	if d := a.From.Sub(from); d > 0 && d < time.Second {
		from = a.From
	}
	if d := to.Sub(a.To); d > 0 && d < time.Second {
		to = a.To
	}
	return from, to, nil
}

// questionStretch asks about a stretch that is put where its time or its flow does not
// belong. What cannot be read is for the command to refuse.
func (x *exchange) questionStretch(w *capture.Work, c takeIn) fault.List {
	from, to, err := x.between(w.TaskID, c.AlignmentID, c.stretchIn)
	if err != nil {
		return nil
	}
	one, err := x.Tracing.Over(x.ctx(), x.actor, c.AlignmentID, from, to)
	if err != nil {
		return nil
	}
	return w.QuestionStretch(capture.StretchRun{Phase: sheet.Phase(c.Phase), MountingID: c.MountingID, FlowPoint: c.FlowPoint, From: from, To: to, Reference: one.Reference})
}

// takeStretch takes a stretch as a run and leads back to the picture.
func (w *Web) takeStretch(x *exchange) error {
	return captured(x, "pick", asking(x, x.questionStretch, func(c *takeIn) (capture.Written, error) {
		from, to, err := x.between(c.TaskID, c.AlignmentID, c.stretchIn)
		if err != nil {
			return capture.Written{}, err
		}
		return w.Tracing.Take(x.ctx(), x.actor, tracing.Take{At: c.At, ID: c.ID, StretchID: c.StretchID, AlignmentID: c.AlignmentID, Also: c.Also, From: from, To: to,
			Phase: c.Phase, MountingID: c.MountingID, FlowPoint: c.FlowPoint, Note: c.Note})
	}), func(work *capture.Work, c *takeIn, _ capture.Written) string {
		return tracePath(work, "alignments/"+c.AlignmentID.String())
	}, x.stretchesAgain)
}

// asideIn is a SetAside whose times are the site's.
type asideIn struct {
	capture.At
	ID          domain.StretchID   `form:"id"`
	AlignmentID domain.AlignmentID `form:"alignment_id"`
	Reason      string             `form:"reason"`
	stretchIn
}

// setStretchAside sets a stretch aside with a reason.
func (w *Web) setStretchAside(x *exchange) error {
	return captured(x, "aside", func(c *asideIn) (capture.Written, error) {
		from, to, err := x.between(c.TaskID, c.AlignmentID, c.stretchIn)
		if err != nil {
			return capture.Written{}, err
		}
		return w.Tracing.SetAside(x.ctx(), x.actor, tracing.SetAside{At: c.At, ID: c.ID, AlignmentID: c.AlignmentID, From: from, To: to, Reason: c.Reason})
	}, func(work *capture.Work, c *asideIn, _ capture.Written) string {
		return tracePath(work, "alignments/"+c.AlignmentID.String())
	}, x.stretchesAgain)
}

func (x *exchange) stretchesAgain(w *capture.Work, t *tried) error {
	return x.showStretches(w, t.values.Get("alignment_id"), url.Values{}, t)
}

// siteLayouts are the ways in which a time of the site's clock is typed.
var siteLayouts = []string{"2006-01-02 15:04:05", "2006-01-02T15:04:05", "2006-01-02 15:04", "2006-01-02T15:04"}

// siteTime reads a time by the site's clock, to parts of a second; one without its day is of
// the day given. A time with its zone, as a hidden field holds it, is taken as it is.
func siteTime(check *domain.Check, name, text string, zone *time.Location, day time.Time) time.Time {
	text = strings.Replace(domain.Line(text), ",", ".", 1)
	if text == "" {
		check.Add(domain.Required.At(name))
		return time.Time{}
	}
	if t, err := time.Parse(time.RFC3339Nano, text); err == nil {
		return t.UTC()
	}
	full := text
	if !strings.Contains(text, "-") {
		full = day.In(zone).Format(time.DateOnly) + " " + text
	}
	for _, layout := range siteLayouts {
		if t, err := time.ParseInLocation(layout, full, zone); err == nil {
			return t.UTC()
		}
	}
	check.Add(tracing.NotATime.At(name, shortened(text, 40)))
	return time.Time{}
}

// siteClock writes a time by the site's clock as a field holds it, to the tenth of a second.
func siteClock(w *capture.Work, t time.Time) string {
	return strings.TrimSuffix(t.In(w.Zone()).Round(100*time.Millisecond).Format("2006-01-02 15:04:05.0"), ".0")
}
