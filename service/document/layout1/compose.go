package layout1

import "rillmark/domain/certificate"

// compose sets every section in order.
func (d *document) compose() *pages {
	p := newPages(d.s.Company.Name, d.heading(), d.notice, d.firstHead())
	d.firstPage(p)
	for _, r := range d.s.Indications {
		d.resultSection(p, r)
	}
	d.remarkSection(p)
	d.adjustmentSection(p)
	d.setupSection(p)
	d.budgetSection(p)
	d.runSection(p)
	d.traceSections(p)
	d.statementSection(p)
	p.put(end(endMark(d.s.Number, d.notice != "")))
	return p
}

// firstPage answers who, what, where, when, and with which verdict.
func (d *document) firstPage(p *pages) {
	for _, b := range d.facts() {
		p.put(b)
	}
	p.together(append(sectionTitle("Result"), d.conclusion()...)...)
	p.put(gap(3))
	d.summary().put(p)
	short, signed := []block{gap(1.6), paragraph(say(small, d.inShort()))}, d.names()
	d.firstChart(p, heights(short)+signed.height)
	for _, b := range short {
		p.put(b)
	}
	if free := p.room() - signed.height; len(p.all) == 1 && free > 4 {
		p.put(block{height: free, draw: func(*canvas, float64) {}})
	} else {
		p.put(gap(4))
	}
	p.put(signed)
}

// firstChart puts the chart of the only indication on the first page, where there is room
// for it over what must stand there.
func (d *document) firstChart(p *pages, kept float64) {
	const least, around, air = 34.0, 5 + 1 + 4.6, 5
	height := min(p.room()-kept-around-air, chartHeight)
	if len(d.s.Indications) != 1 || height < least || len(p.all) > 1 {
		return
	}
	for _, b := range d.chart(d.s.Indications[0], height) {
		p.put(b)
		d.charted = true
	}
}

// inShort is what a reader must know to take the table rightly; the whole statements stand
// at the end.
func (d *document) inShort() string {
	text := "Error: indication less reference, in % of the reference flow; the worst is the one nearest to its limit or farthest beyond. U: expanded uncertainty for a coverage probability of about 95 %."
	if d.s.Conformity {
		text += " Decision rule: " + d.ruleText() + ", decided on values that are not rounded."
	}
	return text + " The result relates only to the meter named above. " + symbols(d.s)
}

func (d *document) ruleText() string {
	text := named(ruleNames, d.s.Order.Rule)
	if d.s.Order.Rule != "simple" && d.s.Order.GuardFactor.Printed != "" {
		text += ", w\u00a0=\u00a0" + d.s.Order.GuardFactor.Printed + "\u00a0·\u00a0U"
		if d.s.Order.GuardFactor.Printed == "1" {
			text = named(ruleNames, d.s.Order.Rule) + ", w\u00a0=\u00a0U"
		}
	}
	return text
}

func symbols(s certificate.Snapshot) string {
	if s.Adjustment.Made {
		return "Open square: before, filled dot: after adjustment."
	}
	return ""
}
