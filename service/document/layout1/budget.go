package layout1

import (
	"strconv"
	"strings"

	"rillmark/domain/certificate"
)

const budgetPoints = 6 // flow points beside each other in one table

// budgetSection sets the components of uncertainty of the last results of each indication.
func (d *document) budgetSection(p *pages) {
	before := append(sectionTitle("Where the uncertainty comes from"), paragraph(say(small,
		"Contributions of the components to the standard uncertainty of the error, in %, at each flow point. Shared by: what a component is the same for, and so does not average out over.")), gap(2))
	for _, r := range d.s.Indications {
		for i := len(r.Phases) - 1; i >= 0; i-- {
			if hasBudget(r.Phases[i].Points) {
				d.budget(p, r, r.Phases[i], before)
				before = []block{gap(4.5)}
				break
			}
		}
	}
}

func hasBudget(points []certificate.Point) bool {
	for _, p := range points {
		if len(p.Components) > 0 {
			return true
		}
	}
	return false
}

func (d *document) budget(p *pages, r certificate.Result, phase certificate.Phase, before []block) {
	for from := 0; from < len(phase.Points); from += budgetPoints {
		points := phase.Points[from:min(from+budgetPoints, len(phase.Points))]
		t := d.budgetTable(points)
		t.title = "“" + r.Name + "”, " + lowerFirst(d.phaseName(phase.Phase))
		if len(phase.Points) > budgetPoints {
			t.title += ", points " + strconv.Itoa(points[0].N) + " to " + strconv.Itoa(points[len(points)-1].N)
		}
		t.put(p, before...)
		before = []block{gap(3)}
	}
}

func lowerFirst(text string) string {
	if text == "" {
		return text
	}
	return string(text[0]|0x20) + text[1:]
}

func (d *document) budgetTable(points []certificate.Point) table {
	const name, scope, standard = 56.0, 24.0, 24.0
	each := min((column-name-scope-standard)/float64(len(points)), 20)
	t := table{columns: []columnOf{{"Component", name + (column - name - scope - standard - each*float64(len(points))), left, cellText},
		{"Shared by", scope, left, cellText}, {"Standard unc.\nat point " + strconv.Itoa(points[0].N), standard, right, figSmall}}}
	for _, p := range points {
		t.columns = append(t.columns, columnOf{"Point " + strconv.Itoa(p.N) + "\n%", each, decimal, figSmall})
	}
	for _, c := range componentNames(points) {
		row := []cell{{pieces: []piece{say(cellText, c.Name), say(small, prefixed("  ", sourceOf(c)))}}, words(named(scopeNames, c.Scope)), words(c.Standard.Text())}
		for _, p := range points {
			row = append(row, words(contribution(p, c)))
		}
		t.rows = append(t.rows, row)
	}
	t.rows = append(t.rows, d.budgetSums(points)...)
	return t
}

func sourceOf(c certificate.Component) string {
	if c.Source == "" || c.Source == "method" {
		return ""
	}
	if words, known := sourceNames[c.Source]; known {
		return words
	}
	return strings.ReplaceAll(c.Source, " ", "\u00a0")
}

// componentNames are the components of all points, in order of their first appearance.
func componentNames(points []certificate.Point) []certificate.Component {
	var all []certificate.Component
	seen := map[[2]string]bool{}
	for _, p := range points {
		for _, c := range p.Components {
			if key := [2]string{c.Name, c.Scope}; !seen[key] {
				seen[key] = true
				all = append(all, c)
			}
		}
	}
	return all
}

func contribution(p certificate.Point, like certificate.Component) string {
	for _, c := range p.Components {
		if c.Name == like.Name && c.Scope == like.Scope {
			return c.Contribution.Printed
		}
	}
	return "–"
}

// budgetSums are degrees of freedom, k and U under the components.
func (d *document) budgetSums(points []certificate.Point) [][]cell {
	line := func(name string, of func(certificate.Point) string) []cell {
		row := []cell{{pieces: []piece{say(cellText.bold(), name)}}, words(""), words("")}
		for _, p := range points {
			row = append(row, words(of(p)))
		}
		return row
	}
	return [][]cell{
		line("Combined standard uncertainty, %", func(p certificate.Point) string { return printedOf(p.Standard) }),
		line("Effective degrees of freedom", func(p certificate.Point) string {
			if p.U != nil && p.Freedom == nil {
				return "large"
			}
			return printedOf(p.Freedom)
		}),
		line("Coverage factor k", func(p certificate.Point) string { return printedOf(p.K) }),
		line("Expanded uncertainty U of the error, %", func(p certificate.Point) string { return printedOf(p.U) }),
	}
}
