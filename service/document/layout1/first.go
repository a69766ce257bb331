package layout1

import (
	"strconv"

	"github.com/johnfercher/maroto/v2/pkg/consts/align"

	"rillmark/domain/certificate"
)

// firstHead is the head of the first page: the company, the number, the tape, the title.
func (d *document) firstHead() block {
	s := d.s
	name := style{serifBoldFace, 15.5, &ink, 1.1}
	beside := column - d.number.width(d.heading()) - 8
	left := 0.0
	if d.logo != nil {
		left = d.logo.width + 4
	}
	lines := lay(beside-left, say(name, s.Company.Name))
	address := joined(", ", append(append([]string{}, s.Company.Address...), s.Company.Contact)...)
	under := lay(column-left, say(small, address))
	top := max(float64(len(lines))*name.height(), 0)
	tall := max(top+float64(len(under))*small.height()+0.6, d.logoHeight())
	titles := lay(column, say(title, s.Title))
	subtitles := lay(column, say(lede, s.Subtitle))
	height := d.pages0().noticeHeight() + tall + 4.4 + 7.5 + float64(len(titles))*title.height() + float64(len(subtitles))*lede.height() + 3.5
	return block{height, func(c *canvas, y float64) {
		y = d.pages0().drawNotice(c, y)
		if d.logo != nil {
			c.picture(0, y, d.logo.width, d.logo.height, d.logo.png)
		}
		c.lines(left, y, lines, name.height())
		c.text(column, y+0.76*name.height(), align.Right, d.number, d.heading())
		c.lines(left, y+top+0.6, under, small.height())
		y += tall + 1.2
		tape(c, y, 3.2)
		y += 3.2 + 7.5
		y = c.lines(0, y, titles, title.height())
		c.lines(0, y+0.8, subtitles, lede.height())
	}}
}

// facts is the list of who, what, where and when.
func (d *document) facts() []block {
	s := d.s
	var all []block
	add := func(name string, pieces ...piece) {
		if len(pieces) > 0 {
			all = append(all, fact(name, pieces...))
		}
	}
	if s.Amends != nil {
		what := "Re-issue in the place of certificate "
		if s.Kind == certificate.Amendment {
			what = "Amendment to certificate "
		}
		add("Earlier document", say(body.bold(), what+s.Amends.Number), say(body, prefixed(" issued ", s.Amends.Issued)+": "+s.Amends.Reason))
	}
	add("Client", say(body.bold(), s.Client.Name), say(body, prefixed(", ", joined(", ", s.Client.Address...))+prefixed("\nContact: ", s.Client.Contact)))
	add("Place", say(body.bold(), s.Place.Site+", "+s.Place.Tag), say(body, prefixed(" ", s.Place.Point)+prefixed("\n", joined(", ", s.Place.Address...))))
	add("Meter", meterPieces(s.Meter)...)
	add("Work done", say(body, s.Dates.Work+prefixed(", by ", joined(" and ", peopleOf(s, certificate.RoleTechnician)...))))
	add("Method and order", say(body, d.orderText()))
	if s.Dates.Issued.Printed != "" {
		add("Issued", say(body, s.Dates.Issued.Printed))
	}
	return all
}

func meterPieces(m certificate.Meter) []piece {
	first := joined(" ", m.Maker, m.Model)
	about := joined(", ", m.Principle, m.NominalSize, prefixed("firmware ", m.Firmware), prefixed("seals ", m.Seals))
	more := joined("; ", append([]string{m.Condition}, m.Parameters...)...)
	if first == "" {
		return []piece{say(body.bold(), "Serial number "+m.Serial), say(body, prefixed(", ", about)+prefixed("\n", more))}
	}
	return []piece{say(body.bold(), first+", serial number "+m.Serial), say(body, prefixed("\n", about)+prefixed("\n", more))}
}

func (d *document) orderText() string {
	o := d.s.Order
	agreed := joined(", ", prefixed("agreed on ", o.AgreedOn), prefixed("by ", o.AgreedBy))
	return "Method " + o.Method + " edition " + o.Edition + prefixed(", ", o.MethodTitle) +
		prefixed("\nOrder ", joined("; limits and decision rule ", o.Number, agreed)) +
		prefixed("\nChanged with the client’s consent: ", o.Consent)
}

const factLabel = 31.0

// fact is a label with what it names, over a hairline.
func fact(name string, pieces ...piece) block {
	lines := lay(column-factLabel, pieces...)
	names := lay(factLabel-2, say(label, name))
	lead := body.height()
	height := max(float64(len(lines))*lead, float64(len(names))*label.height()) + 2.3
	return block{height, func(c *canvas, y float64) {
		for i, l := range names {
			c.lines(0, y+1.2+float64(i)*label.height(), []line{l}, lead)
		}
		c.lines(factLabel, y+1.1, lines, lead)
		c.horizontal(0, column, y+height, 0.12, &rule)
	}}
}

func peopleOf(s certificate.Snapshot, role string) []string {
	var names []string
	for _, p := range s.People {
		if p.Role == role {
			names = append(names, p.Name)
		}
	}
	return names
}

// paragraph is words over the whole width.
func paragraph(pieces ...piece) block {
	lines := lay(column, pieces...)
	lead := leadOf(pieces)
	return block{float64(len(lines)) * lead, func(c *canvas, y float64) { c.lines(0, y, lines, lead) }}
}

// sectionTitle is the heading of a section with room before it.
func sectionTitle(text string) []block {
	lines := lay(column, say(heading, text))
	return []block{gap(6), {float64(len(lines))*heading.height() + 1.6, func(c *canvas, y float64) {
		c.lines(0, y, lines, heading.height())
	}}}
}

// conclusion says the verdict in a sentence or two.
func (d *document) conclusion() []block {
	blocks := []block{paragraph(d.verdictPieces()...)}
	if !d.s.Conformity && len(d.s.Grounds) > 0 {
		blocks = append(blocks, gap(1.5), paragraph(say(body, "Missing for a statement: "+joined(" ", gathered(d.s.Grounds, 1)...))))
	}
	return blocks
}

func (d *document) verdictPieces() []piece {
	s := d.s
	if !s.Conformity {
		return []piece{say(answer.bold(), "Results for information: "), say(answer, "no statement of conformity is made.")}
	}
	var pieces []piece
	for _, phase := range []string{"after", "before"} {
		if one := d.phaseSentence(phase); one != nil {
			if len(pieces) > 0 {
				pieces = append(pieces, say(answer, " "))
			}
			pieces = append(pieces, one...)
		}
	}
	return pieces
}

// phaseSentence is the verdict of a phase: of the meter where it has one indication, else
// how many indications have which.
func (d *document) phaseSentence(phase string) []piece {
	found := d.ofPhase(phase)
	if len(found) == 0 {
		return nil
	}
	past := phase == "before" && d.s.Adjustment.Made
	when := named(phaseNames, phase) + " "
	if !d.s.Adjustment.Made {
		when = "As found, and not adjusted, "
	}
	pieces := []piece{say(answer, when)}
	if len(found) == 1 && found[0].phase.Overall.Verdict == "no-statement" {
		pieces = append(pieces, say(answer.bold(), "no statement"), say(answer, " is made on"))
	} else if len(found) == 1 {
		subject := "the meter "
		if past {
			subject = "it "
		}
		pieces = append(pieces, say(answer, subject), say(answer.bold(), phrase(found[0].phase.Overall.Verdict, 1, past)))
	} else {
		pieces = append(pieces, counted(found, past)...)
	}
	if past && found[0].phase.Overall.Verdict == "no-statement" && len(found) == 1 {
		return append(pieces[:len(pieces)-1], say(answer, " is made."))
	}
	if past {
		return append(pieces, say(answer, "."))
	}
	return append(pieces, say(answer, d.limitsOf(phase, found)+"."))
}

func phrase(verdict string, many int, past bool) string {
	forms := verdictPhrases[verdict]
	switch {
	case past:
		return forms[2]
	case many > 1:
		return forms[1]
	}
	return forms[0]
}

// counted says how many of the indications have which verdict, the best first.
func counted(found []ofPhase, past bool) []piece {
	var pieces []piece
	for _, verdict := range []string{"pass", "conditional-pass", "conditional-fail", "fail", "no-statement"} {
		many := 0
		for _, of := range found {
			many += boolInt(of.phase.Overall.Verdict == verdict)
		}
		if many == 0 {
			continue
		}
		subject := strconv.Itoa(many) + " "
		switch {
		case many == len(found) && many == 2:
			subject = "both indications "
		case many == len(found):
			subject = "all " + strconv.Itoa(many) + " indications "
		case len(pieces) == 0:
			subject = strconv.Itoa(many) + " of " + strconv.Itoa(len(found)) + " indications "
		default:
			subject = ", " + subject
		}
		pieces = append(pieces, say(answer, subject), say(answer.bold(), phrase(verdict, many, past)))
	}
	return pieces
}

// limitsOf says which limits, and between which flows.
func (d *document) limitsOf(phase string, found []ofPhase) string {
	limit := "limits"
	if one := oneLimit(d.s, phase); one != "" {
		limit = "limit of " + one
	}
	o := found[0].phase.Overall
	flows := " between " + o.From.Printed + " and " + o.To.Text()
	if o.From.Printed == o.To.Printed {
		flows = " at " + o.From.Text()
	}
	return " the agreed " + limit + flows
}
