package layout1

import (
	"cmp"
	"fmt"
	"strconv"

	"rillmark/domain/certificate"
	"rillmark/service/plot"
)

// resultSection sets everything of one indication.
func (d *document) resultSection(p *pages, r certificate.Result) {
	name := "Results"
	if len(d.s.Indications) > 1 {
		name += ": " + r.Name
	}
	about := named(wayNames, r.Way)
	if r.Resolution != nil {
		about = joined(", ", about, "resolution "+r.Resolution.Text())
	}
	before := append(sectionTitle(name), paragraph(say(small, "Indication “"+r.Name+"”: "+about+".")), gap(2.5))
	for _, phase := range r.Phases {
		d.resultTable(phase).put(p, before...)
		d.afterTable(p, phase)
		before = []block{gap(3.5)}
	}
	if !d.s.Adjustment.Made && len(r.Phases) > 0 {
		p.put(gap(1.5))
		p.put(paragraph(say(body.bold(), "Not adjusted: "), say(body, "the results as found are also those as left.")))
	}
	if !d.charted {
		p.together(d.chart(r, chartHeight)...)
	}
	d.changeTable(r).put(p, gap(4))
}

func (d *document) resultTable(phase certificate.Phase) table {
	unit := d.unit()
	name := d.phaseName(phase.Phase)
	if d.s.Adjustment.Made {
		name += " (" + phaseSymbols[phase.Phase] + ")"
	}
	t := table{title: name, columns: []columnOf{
		{"Point", 10, left, cellText}, {"Reference\n" + unit, 20, decimal, figure}, {"U of ref.\n%", 13, decimal, figure},
		{"Indication\n" + unit, 20, decimal, figure}, {"Error\n%", 15, decimal, figure}, {"U\n%", 11, decimal, figure},
		{"k\n\u00a0", 11, decimal, figure}, {"Limits\n%", 18, right, figure}, {"", 26, left, cellText}, {"Verdict", 30, left, cellText.bold()}}}
	if d.hasRisk(phase) {
		t.columns[8].width, t.columns[9].width = 25, 24
		t.columns[7].width = 17
		t.columns = append(t.columns, columnOf{"Risk\n%", 8, decimal, figSmall})
	}
	for _, point := range phase.Points {
		t.rows = append(t.rows, []cell{words(strconv.Itoa(point.N)), words(point.Reference.Printed), words(printedOf(point.UReference)),
			words(point.Indication.Printed), words(point.Error.Printed), words(printedOf(point.U)), words(printedOf(point.K)),
			words(limitsOfPoint(point)), d.mark(point, phase.Phase), words(verdictWord(d.s, point.Verdict))})
		if d.hasRisk(phase) {
			last := len(t.rows) - 1
			t.rows[last] = append(t.rows[last], words(printedOf(point.Risk)))
		}
	}
	return t
}

// hasRisk reports whether a verdict of the phase has a probability of being wrong.
func (d *document) hasRisk(phase certificate.Phase) bool {
	for _, p := range phase.Points {
		if p.Risk != nil && d.s.Conformity {
			return true
		}
	}
	return false
}

func limitsOfPoint(p certificate.Point) string {
	switch {
	case p.Lower != nil && p.Upper != nil:
		if l, u := numberOr(p.Lower, 0), numberOr(p.Upper, 0); l == -u && u > 0 {
			return "±" + p.Upper.Printed[1:]
		}
		return p.Lower.Printed + " to " + p.Upper.Printed
	case p.Lower != nil:
		return "≥ " + p.Lower.Printed
	case p.Upper != nil:
		return "≤ " + p.Upper.Printed
	}
	return "–"
}

// afterTable says what belongs under a phase's table: runs, the mean error, reasons.
func (d *document) afterTable(p *pages, phase certificate.Phase) {
	var lines []piece
	for _, point := range phase.Points {
		if point.Verdict == "no-statement" && point.Reason != nil && d.s.Conformity {
			lines = append(lines, say(small, fmt.Sprintf("Point %d: %s ", point.N, point.Reason.Text)))
		}
	}
	if held := capabilityPoints(phase.Points); held != "" {
		lines = append(lines, say(small, "U is the stated capability, which is more than the budget gives, at point "+held+". "))
	}
	if m := phase.Mean; m != nil && len(phase.Points) > 1 {
		lines = append(lines, say(small, "Mean error over the flow points, with what they share: "+m.Error.Text()+", U "+m.U.Text()+" (k = "+m.K.Printed+")."))
	}
	if len(lines) > 0 {
		p.put(gap(1.2))
		p.put(paragraph(lines...))
	}
}

func capabilityPoints(points []certificate.Point) string {
	var held []string
	for _, p := range points {
		if p.Capability {
			held = append(held, strconv.Itoa(p.N))
		}
	}
	return joined(", ", held...)
}

const (
	chartHeight = 62.0
	chartText   = 2.9
)

// chart is error against flow, with its key.
func (d *document) chart(r certificate.Result, height float64) []block {
	c := plot.Chart{Error: "Error, % of the reference flow", Flow: "Flow, " + d.unit()}
	per, most := 1.0, 0.0
	last := ""
	for _, phase := range r.Phases {
		points := make([]plot.Point, len(phase.Points))
		for i, p := range phase.Points {
			flow, _ := numberOf(p.Reference.Printed)
			per = perSI(p.Reference)
			most = max(most, flow)
			points[i] = plot.Point{Flow: flow, Error: 100 * numberOr(&p.Error, 0), U: 100 * numberOr(p.U, 0)}
		}
		if phase.Phase == "before" && d.s.Adjustment.Made {
			c.Before = points
		} else {
			c.After = append(c.After, points...)
		}
		if len(points) > 0 {
			last = phase.Phase
		}
	}
	if last == "" {
		return nil
	}
	c.Limits = bounds(d.s, last, per, 0, most*1.4)
	if len(c.Limits) > 0 {
		c.LimitText = "shaded: within the agreed " + cmp.Or(oneLimit(d.s, last), "limits")
	}
	if last == "after" && !sameBounds(c.Limits, bounds(d.s, "before", per, 0, most*1.4)) {
		c.BeforeLimits = bounds(d.s, "before", per, 0, most*1.4)
		c.LimitText += ", after adjustment"
	}
	scene := c.Draw(column, height, chartText, 0.32)
	return []block{gap(5), {height, func(c *canvas, y float64) { c.scene(0, y, scene) }}, gap(1), d.chartKey(c)}
}

func sameBounds(a, b []plot.Bound) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

// chartKey tells the shapes.
func (d *document) chartKey(chart plot.Chart) block {
	return block{small.height() + 0.6, func(c *canvas, y float64) {
		x, base := 3.4*chartText, y+0.76*small.height()
		put := func(square bool, text string) {
			if square {
				c.square(x+1.1, base-1.05, 1.04, 0.32)
			} else {
				c.dot(x+1.1, base-1.05, 1.04, &ink)
			}
			c.text(x+3.4, base, "L", small, text)
			x += 3.4 + small.width(text) + 6
		}
		if len(chart.Before) > 0 {
			put(true, "before adjustment")
		}
		if len(chart.After) > 0 {
			text := "after adjustment"
			if !d.s.Adjustment.Made {
				text = "as found, not adjusted"
			}
			put(false, text)
		}
		c.text(x, base, "L", small, "bars: ± U")
	}}
}

// changeTable is what adjusting changed; shared components cancel in it.
func (d *document) changeTable(r certificate.Result) table {
	t := table{title: "Change by adjustment", columns: []columnOf{{"Point", 10, left, cellText}, {"Change of error\n%", 33, decimal, figure},
		{"U of the change\n%", 33, decimal, figure}, {"", 98, left, cellText}}}
	for _, c := range r.Changes {
		text := "significant: larger than its U"
		if !c.Significant {
			text = "not significant: within its U"
		}
		t.rows = append(t.rows, []cell{words(strconv.Itoa(c.N)), words(c.Change.Printed), words(c.U.Printed), words(text)})
	}
	return t
}

// remarkSection sets what must be said beside the results.
func (d *document) remarkSection(p *pages) {
	s := d.s
	lists := []struct {
		name string
		text []string
	}{{"Missing for a statement of conformity", gathered(s.Grounds, 3)}, {"Remarks", gathered(s.Remarks, 8)}, {"Deviations from the method", s.Deviations},
		{"Condition of meter and place", s.Conditions}, {"Flow points not reached", s.NotReached},
		{"Opinions and interpretations (not part of the results)", s.Opinions}}
	title := sectionTitle("Remarks")
	for _, l := range lists {
		if len(l.text) == 0 {
			continue
		}
		before := append(title, gap(1))
		if l.name != "Remarks" || title == nil {
			before = append(before, paragraph(say(body.bold(), l.name)))
		}
		for _, text := range l.text {
			p.together(append(before, item(text))...)
			before = nil
		}
		title = nil
	}
	if s.Interval != "" {
		p.together(append(title, gap(1), paragraph(say(body.bold(), "Interval, as agreed: "), say(body, s.Interval)))...)
	}
}

// gathered is what was said, but of each code at most so many, and how many more there are.
func gathered(said []certificate.Said, most int) []string {
	var all []string
	count := map[string]int{}
	for _, one := range said {
		count[one.Code]++
	}
	told := map[string]int{}
	for _, one := range said {
		switch told[one.Code]++; {
		case told[one.Code] < most || count[one.Code] <= most:
			all = append(all, one.Text)
		case told[one.Code] == most:
			all = append(all, fmt.Sprintf("%s (and %d more like it)", one.Text, count[one.Code]-most))
		}
	}
	return all
}

// item is one point of a list.
func item(text string) block {
	lines := lay(column-5, say(body, text))
	lead := body.height()
	return block{float64(len(lines))*lead + 0.8, func(c *canvas, y float64) {
		c.text(0, y+0.76*lead, "L", body, "–")
		c.lines(5, y, lines, lead)
	}}
}
