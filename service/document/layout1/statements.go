package layout1

import (
	"strings"

	"rillmark/domain/certificate"
)

// statementSection sets what the document states of itself: agreement, statements, the
// earlier document, editions, and where it can be checked.
func (d *document) statementSection(p *pages) {
	before := sectionTitle("Agreement and statements")
	put := func(name string, pieces ...piece) {
		p.together(append(before, fact(name, pieces...))...)
		before = nil
	}
	put("Limits of error", say(body, d.limitsText()))
	put("Agreed rule", say(body, d.ruleSentence()))
	put("Tested range", say(body, d.testedText()))
	for _, t := range d.s.Statements {
		put(named(statementNames, t.Kind), say(body, t.Text))
	}
	if d.s.Conformity {
		put("Risk", say(body, "The probability that the verdict beside it is wrong, from error, uncertainty and limits alone (JCGM 106, no knowledge beforehand)."))
	}
	if a := d.s.Amends; a != nil {
		pieces := []piece{say(body, "Certificate "+a.Number+prefixed(" of ", a.Issued)+". Reason: "+a.Reason)}
		for _, change := range a.Changes {
			pieces = append(pieces, say(body, "\n– "+change))
		}
		name := "Amendment to"
		if d.s.Kind == certificate.Reissue {
			name = "In the place of"
		}
		put(name, pieces...)
	}
	put("Made by", say(body, d.editionText()))
	if d.s.CheckAddress != "" && d.notice == "" {
		put("Check page", say(body, d.s.CheckAddress+"\nIt tells whether this certificate is in force, and whether a copy was changed."))
	}
}

func (d *document) limitsText() string {
	if len(d.s.Order.Limits) == 0 {
		return "None were agreed."
	}
	var lines []string
	for _, l := range d.s.Order.Limits {
		lines = append(lines, joined(", ", named(phaseNames, l.Phase)+": "+limitText(l), zoneText(l)))
	}
	return joined("\n", lines...)
}

func (d *document) ruleSentence() string {
	text := d.ruleText() + "; decided on values that are not rounded. Verdict on the meter by " + named(overallNames, d.s.Order.OverallRule) + "."
	if f := d.s.Order.NoStatement; f != nil {
		text += " No statement where U is more than " + f.Printed + " of half the width between the limits."
	}
	return string(text[0]&^0x20) + text[1:]
}

func (d *document) testedText() string {
	var lines []string
	for _, phase := range []string{"before", "after"} {
		for i, of := range d.ofPhase(phase) {
			if i == 0 {
				lines = append(lines, named(phaseNames, phase)+": "+of.phase.Overall.From.Printed+" to "+of.phase.Overall.To.Text())
			}
		}
	}
	for i := 1; i < len(lines); i++ {
		lines[i] = lowerFirst(lines[i])
	}
	text := joined("; ", lines...) + "."
	if d.s.Conformity {
		text += " The verdicts hold for this range of flow."
	}
	return text
}

func (d *document) editionText() string {
	e := d.s.Editions
	return joined(", ", joined(" ", e.Program, e.Version), prefixed("calculations ", e.Calc), prefixed("tables ", e.Tables),
		prefixed("layout ", strings.TrimPrefix(e.Layout, "layout"))) + prefixed(".\nEvaluation ", e.Evaluation)
}
