package web

import (
	"encoding/json"
	"math"
	"net/url"
	"strconv"

	"rillmark/calc/beam"
	"rillmark/domain/evaluation"
	"rillmark/domain/kit"
	"rillmark/domain/sheet"
	"rillmark/service/capture"
	"rillmark/service/web/part"
)

func (w *Web) sheetMounting(x *exchange) error {
	work, err := x.task()
	if err != nil {
		return err
	}
	return x.showMounting(work, nil)
}

// rig is what a mounting is to be made with.
type rig struct {
	reference, pair, cable, tape kit.Item
	traverses                    int // 0: as advised
}

// rigOf reads the choices of the query or of a refused form; what was not chosen is the
// first of its kind.
func rigOf(w *capture.Work, q url.Values) rig {
	pick := func(name string, kind kit.Kind) kit.Item {
		items := w.OfKind(kind)
		for _, i := range items {
			if i.ID.String() == q.Get(name) {
				return i
			}
		}
		if len(items) == 0 || q.Has(name) && q.Get(name) == "" {
			return kit.Item{}
		}
		return items[0]
	}
	r := rig{pick("reference_id", kit.ReferenceMeter), pick("pair_id", kit.TransducerPair), pick("cable_id", kit.Cable), pick("tape_id", kit.Tape), 0}
	r.traverses, _ = strconv.Atoi(q.Get("traverses"))
	if r.traverses < 0 || r.traverses > 20 {
		r.traverses = 0
	}
	return r
}

func (x *exchange) showMounting(w *capture.Work, t *tried) error {
	p := x.sheetPage(w, "mounting")
	all := w.Facts.Sheet.Mountings
	again := x.r.URL.Query().Has("again") || t != nil
	if x.mayFill(w) && (len(all) == 0 || again) {
		p.Blocks = append(p.Blocks, x.mountBlocks(w, t)...)
	}
	for i := len(all) - 1; i >= 0; i-- {
		p.Blocks = append(p.Blocks, x.mounted(w, all[i]))
	}
	if len(all) > 0 && !again && x.mayFill(w) {
		p.Blocks = append(p.Blocks, block{Acts: []part.Button{{Deed: x.text("sheet.to-check"), Href: sheetPath(w, "check")},
			{Deed: x.text("sheet.mount-again"), Href: sheetPath(w, "mounting") + "?again=yes", Second: true}}})
	}
	return x.showSheet(p, t)
}

// mountBlocks are the recommendation with its drawing, and the form for the spacing set.
func (x *exchange) mountBlocks(w *capture.Work, t *tried) []block {
	q := x.r.URL.Query()
	if t != nil {
		q = t.values
	}
	r := rigOf(w, q)
	if !r.reference.ID.Valid() || !r.pair.ID.Valid() {
		return []block{{Notices: []part.Notice{{Act: true, Lead: x.text("sheet.no-kit"), Text: x.text("sheet.no-kit-text")}}}}
	}
	rec := w.Recommend(r.reference, r.pair, r.tape, r.traverses)
	b := block{Title: x.text("sheet.mount-title"), Notices: x.missingFor(w, rec)}
	form := x.mountForm(w, r, rec, t)
	if rec.Ready() {
		b.Pair = []part.Field{
			{Name: "recommended", Label: x.text("sheet.recommended"), Kind: part.Shown, Figure: true, Unit: "mm", Value: tenths(rec.Spacing.Spacing * 1e3),
				Source: joined(" · ", x.besideMillimetres(rec.Spacing.Spacing), x.text("sheet.traverses", "n", rec.Setup.Traverses))},
			{Name: "mark", Label: x.text("sheet.mark"), Kind: part.Shown, Figure: true, Value: rec.Spacing.SettingMarkText, Source: markSource(x, r)},
		}
		b.Clamp = x.clamp(rec, rec.Spacing.Spacing, "", false)
		for _, f := range rec.Advice.Reasons {
			if rec.Setup.Traverses == rec.Advice.Traverses {
				b.Notices = append(b.Notices, part.Notice{Text: x.Book.Fault(f)})
			}
		}
		for _, f := range rec.Spacing.Warnings {
			b.Notices = append(b.Notices, part.Notice{Act: true, Text: x.Book.Fault(f)})
		}
		b.Notices = append(b.Notices, part.Notice{Text: x.text("sheet.accepted-within", "mm", tenths(rec.Acceptance.Limit*1e3))})
	}
	blocks := []block{b}
	if rec.Ready() {
		blocks = append(blocks, x.entries(w, rec.Setup))
	}
	return append(blocks, block{Forms: []sheetForm{form, x.rigForm(w, r, rec)}})
}

func markSource(x *exchange, r rig) string {
	if r.tape.ID.Valid() {
		return r.tape.Tag
	}
	return x.text("sheet.no-tape")
}

// missingFor says what the model still needs, and leads there.
func (x *exchange) missingFor(w *capture.Work, rec capture.Recommendation) []part.Notice {
	var notices []part.Notice
	if len(rec.Missing) > 0 {
		n := part.Notice{Act: true, Lead: x.text("sheet.spacing-missing"), Text: x.text("sheet.spacing-missing-text")}
		for _, name := range rec.Missing {
			n.Links = append(n.Links, part.Link{Href: sheetPath(w, "survey/"+string(name)), Words: x.valueWord(name)})
		}
		notices = append(notices, n)
	}
	for _, f := range rec.Refused {
		n := part.Notice{Act: true, Text: x.Book.Fault(f)}
		if name := sheet.Name(f.Field); f.Code == evaluation.BeyondRadius {
			n.Links = []part.Link{{Href: sheetPath(w, "survey/"+string(name)), Words: x.valueWord(name)}}
		}
		notices = append(notices, n)
	}
	return notices
}

func kitOptions(items []kit.Item, none string) []part.Option {
	var options []part.Option
	for _, i := range items {
		options = append(options, part.Option{Value: i.ID.String(), Words: joined(" · ", i.Tag, joined(" ", i.Maker, i.Model))})
	}
	if none != "" {
		options = append(options, part.Option{Words: none})
	}
	return options
}

// rigForm lets other kit or another number of traverses be chosen; the page then works the
// spacing out anew.
func (x *exchange) rigForm(w *capture.Work, r rig, rec capture.Recommendation) sheetForm {
	fields := []field{
		{name: "reference_id", label: "sheet.reference", kind: part.Choice, options: kitOptions(w.OfKind(kit.ReferenceMeter), "")},
		{name: "pair_id", label: "sheet.pair", kind: part.Choice, options: kitOptions(w.OfKind(kit.TransducerPair), "")},
		{name: "cable_id", label: "sheet.cable", kind: part.Choice, options: kitOptions(w.OfKind(kit.Cable), x.text("sheet.none-named"))},
		{name: "tape_id", label: "sheet.tape", kind: part.Choice, options: kitOptions(w.OfKind(kit.Tape), x.text("sheet.none-named"))},
		{name: "traverses", label: "sheet.traverses-word", hint: "sheet.traverses-hint", kind: part.Choice, options: x.traverseOptions(rec)},
	}
	values := url.Values{"reference_id": {r.reference.ID.String()}, "pair_id": {r.pair.ID.String()}, "cable_id": {idText(r.cable)}, "tape_id": {idText(r.tape)},
		"traverses": {strconv.Itoa(rec.Setup.Traverses)}}
	f := x.ask("rig", sheetPath(w, "mounting"), fields, values, nil, nil)
	f.Method, f.Summary, f.Hidden = "get", x.text("sheet.other-rig"), []part.Field{{Name: "again", Value: "yes"}}
	f.Button = part.Button{Deed: x.text("sheet.work-out"), Second: true}
	return f
}

func idText(i kit.Item) string {
	if !i.ID.Valid() {
		return ""
	}
	return i.ID.String()
}

func (x *exchange) traverseOptions(rec capture.Recommendation) []part.Option {
	var options []part.Option
	for n := 1; n <= 6; n++ {
		words := x.text("sheet.traverses", "n", n)
		if rec.Ready() && n == rec.Advice.Traverses {
			words += " · " + x.text("sheet.advised")
		}
		options = append(options, part.Option{Value: strconv.Itoa(n), Words: words})
	}
	return options
}

// mountForm asks for the spacing as set.
func (x *exchange) mountForm(w *capture.Work, r rig, rec capture.Recommendation, t *tried) sheetForm {
	fields := []field{{name: "spacing", label: "sheet.set-at", hint: "sheet.set-at-hint", kind: part.Number, unit: "mm", required: true}}
	if !rec.Ready() {
		fields = append(fields, field{name: "recommended", label: "sheet.reference-recommends", hint: "sheet.reference-recommends-hint", kind: part.Number, unit: "mm"},
			field{name: "traverses", label: "sheet.traverses-word", kind: part.Choice, options: x.traverseOptions(rec)})
	}
	fields = append(fields, field{name: "clock_position", label: "sheet.clock", hint: "sheet.clock-hint", offers: []string{"3 o'clock", "9 o'clock", "2 o'clock", "10 o'clock"}},
		field{name: "note", label: "sheet.mount-note"})
	traverses := strconv.Itoa(max(rec.Setup.Traverses, 1))
	if !rec.Ready() {
		traverses = "2"
	}
	values := x.fresh("reference_id", r.reference.ID.String(), "pair_id", r.pair.ID.String(), "cable_id", idText(r.cable), "tape_id", idText(r.tape), "traverses", traverses)
	hidden := []string{"reference_id", "pair_id", "cable_id", "tape_id"}
	if rec.Ready() {
		hidden = append(hidden, "traverses")
	}
	f := x.ask("mount", sheetPath(w, "mounting"), fields, values, hidden, t)
	f.Button.Deed = x.text("sheet.mount")
	return f
}

// clamp draws a mounting with the spacing.
func (x *exchange) clamp(rec capture.Recommendation, spacing float64, entered string, act bool) *part.Clamp {
	s := rec.Setup
	if entered == "" {
		entered = tenths(spacing*1e3) + " mm"
	}
	shift := s.Wall*math.Tan(rec.Spacing.PipeAngle) + s.LinerThickness*math.Tan(rec.Spacing.LinerAngle)
	return &part.Clamp{OutsideDiameter: s.OutsideDiameter, Wall: s.Wall, Liner: s.LinerThickness, Spacing: spacing, ExitOffset: s.ExitOffset,
		WallShift: shift, Traverses: s.Traverses, SpacingText: entered, FlowWord: joined(", ", x.text("sheet.flow-word"), x.text("sheet.traverses", "n", s.Traverses)),
		Label: x.text("sheet.drawn", "n", s.Traverses, "spacing", entered), Act: act}
}

// mounted shows a mounting that was made: recommended beside set, the drawing, and whether
// it is accepted.
func (x *exchange) mounted(w *capture.Work, m sheet.Mounting) block {
	rec, from := mountedAs(w, m)
	b := block{ID: "mounting-" + strconv.Itoa(m.Number), Title: x.text("sheet.mounting-number", "number", m.Number)}
	set := part.Field{Name: "set", ID: "set-" + strconv.Itoa(m.Number), Label: x.text("sheet.set-at"), Kind: part.Shown, Figure: true, Unit: "mm",
		Value: tenths(m.Spacing * 1e3), Source: joined(" · ", x.besideMillimetres(m.Spacing), w.KitTag(m.TapeID), x.stamped(w, m.Stamp))}
	recommended := part.Field{Name: "was", ID: "was-" + strconv.Itoa(m.Number), Label: x.text("sheet.recommended"), Kind: part.Shown, Figure: true, Unit: "mm",
		Value: "–", Source: x.text("sheet.from-" + from)}
	if m.Recommended != nil {
		recommended.Value = tenths(*m.Recommended * 1e3)
	}
	b.Pair = []part.Field{recommended, set}
	act := false
	if rec.Ready() && m.Recommended != nil {
		says := rec.SpacingSays(*m.Recommended, m.Spacing)
		act = says.Code == capture.SpacingFar
		b.Clamp = x.clamp(rec, m.Spacing, m.SpacingEntered, act)
		b.Notices = append(b.Notices, part.Notice{Act: act, Text: x.Book.Fault(says)})
	}
	b.Facts = []part.Fact{{Word: x.text("sheet.rig"), Text: joined(" · ", w.KitTag(&m.ReferenceID), w.KitTag(&m.PairID), w.KitTag(m.CableID))},
		{Word: x.text("sheet.traverses-word"), Text: strconv.Itoa(m.Traverses)}}
	if m.ClockPosition != "" {
		b.Facts = append(b.Facts, part.Fact{Word: x.text("sheet.clock"), Text: m.ClockPosition})
	}
	if m.Note != "" {
		b.Facts = append(b.Facts, part.Fact{Word: x.text("sheet.mount-note"), Text: m.Note})
	}
	return b
}

// mountedAs works a mounting out again from what it was computed from then.
func mountedAs(w *capture.Work, m sheet.Mounting) (rec capture.Recommendation, from string) {
	var basis struct {
		Request *beam.SpacingRequest `json:"request"`
		From    string               `json:"from"`
	}
	if json.Unmarshal([]byte(m.Basis), &basis) != nil || basis.From == "" {
		basis.From = capture.FromNothing
	}
	rec.Missing = []sheet.Name{sheet.OutsideDiameter}
	if basis.Request == nil {
		return rec, basis.From
	}
	return w.Recomputed(*basis.Request, m), basis.From
}

func (w *Web) addMounting(x *exchange) error {
	return captured(x, "mount", func(c *capture.Mount) (capture.Written, error) {
		return w.Capture.Mount(x.ctx(), x.actor, *c)
	}, func(work *capture.Work, _ *capture.Mount, _ capture.Written) string {
		return sheetPath(work, "mounting")
	},
		func(work *capture.Work, t *tried) error { return x.showMounting(work, t) })
}

func tenths(x float64) string { return inUnitPlain(x, 1) }

// inUnitPlain prints a number with so many decimals and a true minus.
func inUnitPlain(x float64, decimals int) string {
	text := strconv.FormatFloat(x, 'f', decimals, 64)
	if text[0] == '-' {
		return "−" + text[1:]
	}
	return text
}
