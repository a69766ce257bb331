package web

import (
	"math"

	"rillmark/service/sentence"
	"rillmark/service/web/part"
)

// partsPage shows every part in its states, with invented data: the one place to look at
// when a part is changed.
type partsPage struct {
	base
	Contents []part.Link
	Swatches []part.Fact
	Steps    []part.Step
	Pair     []part.Field
	Fields   []part.Field
	Choices  []part.Field
	Buttons  []part.Button
	Notices  []part.Notice
	Waiting  part.Kept
	Large    part.Verdict
	Verdicts part.Table
	Table    part.Table
	Empty    part.Table
	Rows     []part.Row
	Further  part.Further
	Facts    []part.Fact
	Timeline []part.Moment
	Events   []part.Event
	Conflict part.Conflict
	Section  part.Section
}

func showParts(b base, book *sentence.Book) partsPage {
	t := book.Text
	b.Heading = part.Heading{Title: t("parts.title"), Lead: t("parts.lead")}
	p := partsPage{base: b}
	for _, s := range []string{"ink", "step", "field", "notice", "verdict", "table", "list", "timeline", "conflict"} {
		p.Contents = append(p.Contents, part.Link{Href: "#" + s, Words: t("parts." + s)})
	}
	for _, c := range []string{"paper", "sheet", "ink", "ink-2", "rule", "band", "signal"} {
		p.Swatches = append(p.Swatches, part.Fact{Text: c, Word: t("parts.colour-" + c), Href: "fill-" + c})
	}
	p.entry(t)
	p.said(t)
	p.verdicts(book)
	p.lists(t)
	p.past(t)
	return p
}

type words = func(key string, pairs ...any) string

func (p *partsPage) entry(t words) {
	for _, s := range []struct {
		place int
		name  string
	}{{1, "survey"}, {3, "mounting"}, {6, "after"}} {
		name := t("parts.step-" + s.name)
		p.Steps = append(p.Steps, part.Step{Place: s.place, Of: 6, Name: name,
			Words: t("step.place", "place", s.place, "of", 6, "name", name)})
	}
	p.Steps[1].Back = part.Link{Href: "#step", Words: t("parts.step-survey")}
	p.Steps[1].Next = part.Link{Href: "#step", Words: t("parts.step-check")}
	p.Pair = []part.Field{
		{Name: "recommended", Label: t("parts.recommended"), Value: "139.6", Unit: "mm", Kind: part.Shown, Figure: true},
		{Name: "set-at", Label: t("parts.set-at"), Value: "141", Unit: "mm", Kind: part.Number, Source: t("parts.set-at-source")},
	}
	p.Fields = []part.Field{
		{Name: "wall", Label: t("parts.wall"), Value: "75", Unit: "mm", Kind: part.Number, Wrong: []string{t("parts.wall-wrong")}, Source: t("parts.wall-source")},
		{Name: "access", Label: t("parts.access"), Hint: t("parts.access-hint"), Kind: part.Area, Value: t("parts.access-value")},
		{Name: "fluid", Label: t("parts.fluid"), Kind: part.Choice, Value: "water", Options: []part.Option{
			{Value: "water", Words: t("parts.fluid-water")}, {Value: "glycol", Words: t("parts.fluid-glycol")}}},
		{Name: "clients", Label: t("parts.search"), Kind: part.Search},
	}
	p.Choices = []part.Field{
		{Name: "condition", Label: t("parts.condition"), Value: "painted", Options: []part.Option{
			{Value: "bare", Words: t("parts.condition-bare")}, {Value: "painted", Words: t("parts.condition-painted"), More: t("parts.condition-painted-more")},
			{Value: "lagged", Words: t("parts.condition-lagged")}}},
		{Name: "roles", Label: t("parts.zones"), Several: true, Values: []string{"hot"}, Options: []part.Option{
			{Value: "hot", Words: t("parts.zone-hot")}, {Value: "height", Words: t("parts.zone-height")}},
			Wrong: []string{t("parts.zones-wrong")}},
	}
	p.Buttons = []part.Button{{Deed: t("parts.gauge")}, {Deed: t("parts.keep"), Second: true}}
}

func (p *partsPage) said(t words) {
	p.Notices = []part.Notice{
		{Lead: t("parts.good-lead"), Text: t("parts.good-text")},
		{Act: true, Lead: t("parts.act-lead"), Text: t("parts.act-text"), Links: []part.Link{{Href: "#notice", Words: t("parts.gauge")}}},
		{Act: true, Lead: t("parts.items-lead"), Items: []string{t("parts.wall-wrong"), t("parts.zones-wrong")}},
	}
	p.Waiting = part.Kept{
		Notice: part.Notice{Lead: t("kept.lead", "n", 1), Text: t("kept.text", "when", "24 November 2026, 10:42", "what", t("parts.kept-what"))},
		Take:   part.Link{Href: "#notice", Words: t("kept.take")}, Drop: t("kept.drop"), DropAt: "#notice",
	}
}

func (p *partsPage) verdicts(book *sentence.Book) {
	t := book.Text
	no := math.Inf(1)
	columns := []part.Column{{Head: t("parts.case")}, {Head: t("column.error"), Unit: "%", Figure: true},
		{Head: t("column.uncertainty"), Unit: "%", Figure: true}, {Head: t("column.verdict")}}
	p.Verdicts = part.Table{Caption: t("parts.verdict-caption"), Columns: columns, Stack: true}
	for _, row := range []struct {
		key, word string
		v         part.Verdict
		e, u      string
	}{
		{"after", "pass", part.Verdict{E: 0.1, U: 0.7, Lower: -2, Upper: 2}, "+0.10", "0.70"},
		{"before", "conditional-pass", part.Verdict{E: -1.9, U: 0.9, Lower: -2, Upper: 2, Before: true, Act: true}, "−1.90", "0.90"},
		{"before", "conditional-fail", part.Verdict{E: -2.3, U: 0.62, Lower: -2, Upper: 2, Before: true, Act: true}, "−2.30", "0.62"},
		{"before", "fail", part.Verdict{E: -2.9, U: 0.62, Lower: -2, Upper: 2, Before: true, Act: true}, "−2.90", "0.62"},
		{"beyond", "fail", part.Verdict{E: 14.2, U: 0.8, Lower: -2, Upper: 2, Act: true}, "+14.20", "0.80"},
		{"wide", "no-statement", part.Verdict{E: 0.4, U: 3.1, Lower: -2, Upper: 2, Act: true}, "+0.4", "3.1"},
		{"upper", "pass", part.Verdict{E: 0.8, U: 0.6, Lower: -no, Upper: 2}, "+0.80", "0.60"},
		{"lower", "fail", part.Verdict{E: -1.8, U: 0.6, Lower: -1, Upper: no, Act: true}, "−1.80", "0.60"},
		{"asymmetric", "pass", part.Verdict{E: 0.9, U: 0.5, Lower: -1, Upper: 3}, "+0.90", "0.50"},
	} {
		v := row.v
		v.Word, v.Label = t("verdict."+row.word), drawn(book, v, "%")
		p.Verdicts.Rows = append(p.Verdicts.Rows, []part.Cell{{Text: t("parts.case-" + row.key)}, {Text: row.e}, {Text: row.u}, {Verdict: &v}})
	}
	p.Large = part.Verdict{E: -2.9, U: 0.62, Lower: -2, Upper: 2, Before: true, Act: true, Large: true, Word: t("parts.large")}
	p.Large.Label = drawn(book, p.Large, "%")
}

// drawn says in words what a verdict mark shows.
func drawn(book *sentence.Book, v part.Verdict, unit string) string {
	key := "verdict.drawn"
	switch {
	case math.IsInf(v.Lower, -1):
		key = "verdict.drawn-upper"
	case math.IsInf(v.Upper, 1):
		key = "verdict.drawn-lower"
	}
	return book.Text(key, "e", v.E, "u", v.U, "lower", v.Lower, "upper", v.Upper, "unit", unit)
}

func (p *partsPage) lists(t words) {
	p.Table = part.Table{Caption: t("parts.budget"), Columns: []part.Column{{Head: t("parts.component")}, {Head: t("parts.share"), Unit: "%", Figure: true}},
		Rows: [][]part.Cell{{{Text: t("parts.component-profile")}, {Text: "46"}}, {{Text: t("parts.component-bore")}, {Text: "21"}},
			{{Text: t("parts.component-calibration"), Href: "#table"}, {Text: "18"}}, {{Text: t("parts.component-zero")}, {Text: t("parts.unknown"), None: true}}}}
	p.Empty = part.Table{Caption: t("parts.runs"), Empty: t("parts.runs-empty")}
	p.Rows = []part.Row{
		{Href: "#list", Name: "Aldermere Water", More: "Quay Road 3, Aldermere", Much: t("client.sites", "n", 3)},
		{Href: "#list", Name: "Brackwell Dairies", More: "Mill Lane 40, Brackwell", Much: t("client.sites", "n", 1), Needs: t("parts.overdue")},
		{Href: "#list", Name: "Cawdale District Heating and Steam Supply Association", More: "Boiler House, Cawdale", Much: t("client.sites", "n", 12)},
	}
	p.Further = part.Further{Next: part.Link{Href: "#list", Words: t("list.next")}, First: part.Link{Href: "#list", Words: t("list.first")}}
	p.Facts = []part.Fact{
		{Word: t("parts.fact-place"), Text: "Fenwick Lane pumping station", Href: "#list"},
		{Word: t("parts.fact-meter"), Text: t("parts.fact-meter-text")},
		{Word: t("parts.fact-seal"), Text: t("parts.unknown"), None: true},
	}
}

func (p *partsPage) past(t words) {
	p.Section = part.Section{OutsideDiameter: 219.1, Wall: 6.3, OutsideText: "219.1 mm", WallText: "6.3 mm",
		Label: t("point.section", "outside", "219.1 mm", "wall", "6.3 mm")}
	p.Timeline = []part.Moment{
		{When: "24 November 2026", Title: t("parts.moment-now"), Text: t("parts.moment-now-text"), Now: true},
		{When: "3 May 2027", Title: t("parts.moment-due"), Text: t("parts.moment-due-text"), Needs: true},
		{When: "11 June 2021", Title: t("parts.moment-then"), Text: t("parts.moment-then-text"), Href: "#timeline"},
	}
	p.Events = []part.Event{
		{What: t("parts.event-changed"), When: "24 November 2026, 10:42", DateTime: "2026-11-24T10:42:00Z", Who: "T. Okonjo", None: t("history.empty"), Changes: []part.Change{
			{Word: t("parts.wall"), Before: "7.5 mm", After: "6.5 mm"}, {Word: t("parts.access"), After: t("parts.access-value")}}},
		{What: t("parts.event-added"), When: "12 October 2026, 09:05", DateTime: "2026-10-12T09:05:00Z", Who: "I. Sørby", None: t("history.empty")},
	}
	theirs := part.Field{Name: "theirs", ID: "theirs-wall", Label: t("conflict.theirs"), Value: "6.5", Unit: "mm", Kind: part.Shown, Figure: true}
	p.Conflict = part.Conflict{
		Notice: part.Notice{Act: true, Lead: t("parts.conflict-lead"), Text: t("conflict.text")},
		Sides: []part.Side{{Title: t("parts.wall"), Theirs: theirs,
			Mine: part.Field{Name: "mine", ID: "mine-wall", Label: t("conflict.mine"), Value: "6.8", Unit: "mm", Kind: part.Number}}},
		Save: part.Button{Deed: t("conflict.save")}, Drop: part.Link{Href: "#conflict", Words: t("conflict.drop")},
	}
}
