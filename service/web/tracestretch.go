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
