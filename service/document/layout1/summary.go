package layout1

import (
	"math"

	"rillmark/domain/certificate"
	"rillmark/service/plot"
)

// ofPhase is an indication in one phase.
type ofPhase struct {
	result certificate.Result
	phase  certificate.Phase
}

func (d *document) ofPhase(phase string) []ofPhase {
	var found []ofPhase
	for _, r := range d.s.Indications {
		for _, p := range r.Phases {
			if p.Phase == phase && len(p.Points) > 0 {
				found = append(found, ofPhase{r, p})
			}
		}
	}
	return found
}

// summary is the table of the first page: each indication's worst flow point and verdict.
func (d *document) summary() table {
	t := table{rule: 0.2, columns: []columnOf{
		{"Indication", 33, left, cellText}, {"", 35, left, cellText}, {"Flow range\n" + d.unit(), 24, right, figure},
		{"Worst error\n%", 18, decimal, figure}, {"U\n%", 13, decimal, figure}, {"", 27, left, cellText}, {"Verdict", 24, left, cellText.bold()}}}
	for _, r := range d.s.Indications {
		for i, p := range r.Phases {
			if len(p.Points) == 0 {
				continue
			}
			worst := worstPoint(p.Points)
			name := r.Name
			if i > 0 {
				name = ""
			}
			when := d.phaseName(p.Phase)
			flows := p.Overall.From.Printed + " to " + p.Overall.To.Printed
			if p.Overall.From.Printed == p.Overall.To.Printed {
				flows = p.Overall.From.Printed
			}
			t.rows = append(t.rows, []cell{words(name), words(when), words(flows), words(worst.Error.Printed),
				words(printedOf(worst.U)), d.mark(worst, p.Phase), words(verdictWord(d.s, p.Overall.Verdict))})
		}
	}
	return t
}

// phaseName says of a meter that was not adjusted how it was found, not what came before.
func (d *document) phaseName(phase string) string {
	if phase == "before" && !d.s.Adjustment.Made {
		return "As found, not adjusted"
	}
	return named(phaseNames, phase)
}

func verdictWord(s certificate.Snapshot, verdict string) string {
	if !s.Conformity {
		return "for information"
	}
	return named(verdictNames, verdict)
}

// worstPoint is the one whose error lies farthest towards or beyond its limits.
func worstPoint(points []certificate.Point) certificate.Point {
	worst, most := points[0], math.Inf(-1)
	for _, p := range points {
		e, _ := p.Error.Number()
		by := math.Abs(e)
		limit := p.Upper
		if e < 0 {
			limit = p.Lower
		}
		if limit != nil {
			if l, ok := limit.Number(); ok && l != 0 {
				by = e / l
			}
		}
		if by > most {
			worst, most = p, by
		}
	}
	return worst
}

func printedOf(f *certificate.Figure) string {
	if f == nil {
		return "–"
	}
	return f.Printed
}

func numberOr(f *certificate.Figure, none float64) float64 {
	if f == nil {
		return none
	}
	x, ok := f.Number()
	if !ok {
		return none
	}
	return x
}

const (
	markWidth  = 22.0
	markHeight = 4.6
	hairline   = 0.3
)

// mark is the drawing of a result between its limits.
func (d *document) mark(p certificate.Point, phase string) cell {
	e := numberOr(&p.Error, math.NaN())
	v := plot.Verdict{Error: e, U: numberOr(p.U, math.NaN()), Before: phase == "before" && d.s.Adjustment.Made,
		Lower: numberOr(p.Lower, math.Inf(-1)), Upper: numberOr(p.Upper, math.Inf(1))}
	if math.IsInf(v.Lower, 0) && math.IsInf(v.Upper, 0) {
		return words("no limits")
	}
	return cell{draw: func(c *canvas, x, y, _, height float64) {
		c.scene(x, y+(height-markHeight)/2, v.Draw(markWidth, markHeight, hairline))
	}}
}

// unit is the unit in which flows are printed.
func (d *document) unit() string {
	for _, r := range d.s.Indications {
		for _, p := range r.Phases {
			if len(p.Points) > 0 {
				return p.Points[0].Reference.Unit
			}
		}
	}
	return ""
}
