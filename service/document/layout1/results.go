package layout1

import (
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
	p.together(d.chart(r)...)
	d.changeTable(r).put(p, gap(4))
}

func (d *document) resultTable(phase certificate.Phase) table {
	unit := d.unit()
	t := table{title: phaseNames[phase.Phase] + " (" + phaseSymbols[phase.Phase] + ")", columns: []columnOf{
		{"Point", 10, left, cellText}, {"Reference\n" + unit, 21, decimal, figure}, {"U of ref.\n%", 14, decimal, figure},
		{"Indication\n" + unit, 21, decimal, figure}, {"Error\n%", 17, decimal, figure}, {"U\n%", 13, decimal, figure},
		{"k\n", 11, decimal, figure}, {"Limits\n%", 19, right, figure}, {"", 25, left, cellText}, {"Verdict\nrisk", 23, left, cellText.bold()}}}
	for _, point := range phase.Points {
		t.rows = append(t.rows, []cell{words(strconv.Itoa(point.N)), words(point.Reference.Printed), words(printedOf(point.UReference)),
			words(point.Indication.Printed), words(point.Error.Printed), words(printedOf(point.U)), words(printedOf(point.K)),
			words(limitsOfPoint(point)), d.mark(point, phase.Phase), d.verdictCell(point)})
	}
	return t
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

func (d *document) verdictCell(p certificate.Point) cell {
	pieces := []piece{say(cellText.bold(), verdictWord(d.s, p.Verdict))}
	if p.Risk != nil && d.s.Conformity {
		pieces = append(pieces, say(style{sansFace, 8, &ink2, 1.28}, "\nrisk "+p.Risk.Text()))
	}
	return cell{pieces: pieces}
}

// afterTable says what belongs under a phase's table: runs, the mean error, reasons.
func (d *document) afterTable(p *pages, phase certificate.Phase) {
	var lines []piece
	for _, point := range phase.Points {
		if point.Verdict == "no-statement" && point.Reason != nil && d.s.Conformity {
			lines = append(lines, say(small, fmt.Sprintf("Point %d: %s ", point.N, point.Reason.Text)))
		}
	}
	if m := phase.Mean; m != nil && len(phase.Points) > 1 {
		lines = append(lines, say(small, "Mean error over the flow points, with what they share: "+m.Error.Text()+", U "+m.U.Text()+" (k = "+m.K.Printed+")."))
	}
	if len(lines) > 0 {
		p.put(gap(1.2))
		p.put(paragraph(lines...))
	}
}

const (
	chartHeight = 62.0
	chartText   = 2.9
)

// chart is error against flow, with its key.
func (d *document) chart(r certificate.Result) []block {
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
	if limit := oneLimit(d.s, last); limit != "" {
		c.LimitText = "agreed limit " + limit
	} else if len(c.Limits) > 0 {
		c.LimitText = "agreed limits"
	}
	if last == "after" && !sameBounds(c.Limits, bounds(d.s, "before", per, 0, most*1.4)) {
		c.BeforeLimits = bounds(d.s, "before", per, 0, most*1.4)
		c.LimitText += ", after adjustment"
	}
	scene := c.Draw(column, chartHeight, chartText, 0.32)
	return []block{gap(5), {chartHeight, func(c *canvas, y float64) { c.scene(0, y, scene) }}, gap(1), d.chartKey(c)}
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
	t := table{title: "Change by adjustment", columns: []columnOf{{"Point", 20, left, cellText}, {"Change of error\n%", 35, decimal, figure},
		{"U of the change\n%", 35, decimal, figure}, {"", 10, left, cellText}, {"", 74, left, cellText}}}
	for _, c := range r.Changes {
		text := "significant: larger than its U"
		if !c.Significant {
			text = "not significant: within its U"
		}
		t.rows = append(t.rows, []cell{words(strconv.Itoa(c.N)), words(c.Change.Printed), words(c.U.Printed), words(""), words(text)})
	}
	return t
}

// remarkSection sets what must be said beside the results.
func (d *document) remarkSection(p *pages) {
	s := d.s
	lists := []struct {
		name string
		text []string
	}{{"Missing for a statement of conformity", texts(s.Grounds)}, {"Remarks", texts(s.Remarks)}, {"Deviations from the method", s.Deviations},
		{"Condition of meter and place", s.Conditions}, {"Flow points not reached", s.NotReached},
		{"Opinions and interpretations (not part of the results)", s.Opinions}}
	title := sectionTitle("Remarks")
	for _, l := range lists {
		if len(l.text) == 0 {
			continue
		}
		before := append(title, gap(1))
		if l.name != "Remarks" {
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

// item is one point of a list.
func item(text string) block {
	lines := lay(column-5, say(body, text))
	lead := body.height()
	return block{float64(len(lines))*lead + 0.8, func(c *canvas, y float64) {
		c.text(0, y+0.76*lead, "L", body, "–")
		c.lines(5, y, lines, lead)
	}}
}
