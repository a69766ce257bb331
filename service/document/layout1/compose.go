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
	d.statementSection(p)
	return p
}

// firstPage answers who, what, where, when, and with which verdict.
func (d *document) firstPage(p *pages) {
	for _, b := range d.facts() {
		p.put(b)
	}
	p.together(append(sectionTitle("Result"), d.conclusion()...)...)
	p.put(gap(2))
	d.summary().put(p)
	p.put(gap(1.6))
	p.put(paragraph(say(small, d.inShort())))
	signed := d.names()
	if free := p.room() - signed.height; len(p.all) == 1 && free > 4 {
		p.put(block{height: free, draw: func(*canvas, float64) {}})
	} else {
		p.put(gap(4))
	}
	p.put(signed)
}

// inShort is what a reader must know to take the table rightly; the whole statements stand
// at the end.
func (d *document) inShort() string {
	text := "Error: indication less reference, in % of the reference flow. U: expanded uncertainty for a coverage probability of about 95 %."
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
		return "In the drawings an open square is before, a filled dot after adjustment."
	}
	return ""
}
