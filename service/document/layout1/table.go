package layout1

import (
	"strings"

	"github.com/johnfercher/maroto/v2/pkg/consts/align"
)

// place says how a column's cells stand. The zero value is words from the left.
type place int

const (
	left    place = iota
	right         // words or figures to the right
	decimal       // figures with their points below each other, to the right
)

// columnOf is one column of a table.
type columnOf struct {
	head  string // lines parted by \n
	width float64
	place place
	style style
}

// cell is one cell: words, or a drawing of its own.
type cell struct {
	pieces []piece
	text   string // in the column's style, where there are no pieces
	draw   func(c *canvas, x, y, width, height float64)
}

func words(text string) cell { return cell{text: text} }

// table is rows under a head that is repeated on each page.
type table struct {
	title   string // printed above, and again with "continued"
	note    string // small, beside the title
	columns []columnOf
	rows    [][]cell
	rule    float64 // extra room above and below the words of a row
}

const (
	cellPad  = 1.15
	cellSide = 1.6 // to the right of words
)

// put sets the table: title, head and the first two rows stay together, and so do the last
// two.
func (t table) put(p *pages, before ...block) {
	if len(t.rows) == 0 {
		return
	}
	rows := make([]block, len(t.rows))
	shared := t.points()
	for i := range t.rows {
		rows[i] = t.row(i, shared)
	}
	first := min(2, len(rows))
	if len(rows) <= 3 {
		first = len(rows)
	}
	p.together(append(append(before, t.titleBlock(false), t.headBlock()), rows[:first]...)...)
	for i := first; i < len(rows); i++ {
		needed := rows[i].height
		if i == len(rows)-2 {
			needed += rows[i+1].height
		}
		if !p.fits(needed) && !p.atTop() {
			p.turn()
			p.put(t.titleBlock(true))
			p.put(t.headBlock())
		}
		p.put(rows[i])
	}
}

func (t table) titleBlock(continued bool) block {
	if t.title == "" {
		return gap(0)
	}
	return block{6.6, func(c *canvas, y float64) {
		c.text(0, y+4.4, align.Left, subhead, t.title)
		note := t.note
		if continued {
			note = joined(", ", note, "continued")
		}
		c.text(subhead.width(t.title)+2, y+4.4, align.Left, small, note)
	}}
}

func (t table) headBlock() block {
	most := 1
	for _, k := range t.columns {
		most = max(most, len(t.headLines(k)))
	}
	lead := cellHead.height()
	height := float64(most)*lead + 1.6
	return block{height, func(c *canvas, y float64) {
		x := 0.0
		for i, k := range t.columns {
			lines := t.headLines(k)
			for n, text := range lines {
				base := y + float64(most-len(lines)+n)*lead + 0.76*lead
				if k.place == left {
					c.text(x+t.gutter(i), base, align.Left, cellHead, text)
				} else {
					c.text(x+k.width-t.side(i), base, align.Right, cellHead, text)
				}
			}
			x += k.width
		}
		c.horizontal(0, column, y+height-0.3, 0.25, &ink)
	}}
}

// headLines breaks a head to its column.
func (t table) headLines(k columnOf) []string {
	var texts []string
	for _, l := range lay(k.width-0.8, say(cellHead, k.head)) {
		parts := make([]string, len(l.runs))
		for i, r := range l.runs {
			parts[i] = r.text
		}
		texts = append(texts, strings.Join(parts, ""))
	}
	return texts
}

// gutter is the room before words that follow a column set to the right.
func (t table) gutter(i int) float64 {
	if i > 0 && t.columns[i].place == left && t.columns[i-1].place != left {
		return 3
	}
	return 0
}

// side is the room to the right of a column's words: none at the table's edge.
func (t table) side(i int) float64 {
	if i == len(t.columns)-1 {
		return 0
	}
	return cellSide
}

// points returns for each decimal column how much room its figures need after the point.
func (t table) points() []float64 {
	after := make([]float64, len(t.columns))
	for i, k := range t.columns {
		if k.place != decimal {
			continue
		}
		for _, r := range t.rows {
			if _, fraction := parted(r[i].text); r[i].pieces == nil {
				after[i] = max(after[i], k.style.width(fraction))
			}
		}
	}
	return after
}

// parted cuts a figure before its decimal point.
func parted(text string) (whole, fraction string) {
	if i := strings.IndexByte(text, '.'); i >= 0 {
		return text[:i], text[i:]
	}
	return text, ""
}

func (t table) row(n int, after []float64) block {
	laid := make([][]line, len(t.columns))
	height := 0.0
	for i, k := range t.columns {
		one := t.rows[n][i]
		pieces := one.pieces
		if pieces == nil {
			pieces = []piece{say(k.style, one.text)}
		}
		laid[i] = lay(k.width-t.side(i)-t.gutter(i), pieces...)
		high := 0.0
		for range laid[i] {
			high += leadOf(pieces)
		}
		height = max(height, high)
	}
	height += 2 * (cellPad + t.rule)
	return block{height, func(c *canvas, y float64) {
		x := 0.0
		for i, k := range t.columns {
			t.cell(c, t.rows[n][i], k, laid[i], x+t.gutter(i), y+cellPad+t.rule, k.width-t.side(i)-t.gutter(i), after[i])
			if one := t.rows[n][i]; one.draw != nil {
				one.draw(c, x+t.gutter(i), y, k.width-t.side(i), 2*(cellPad+t.rule)+cellText.height())
			}
			x += k.width
		}
		c.horizontal(0, column, y+height, 0.12, &rule)
	}}
}

func leadOf(pieces []piece) float64 {
	lead := 0.0
	for _, p := range pieces {
		lead = max(lead, p.style.height())
	}
	return lead
}

func (t table) cell(c *canvas, one cell, k columnOf, lines []line, x, y, width, after float64) {
	pieces := one.pieces
	if pieces == nil {
		pieces = []piece{say(k.style, one.text)}
	}
	lead := leadOf(pieces)
	switch {
	case k.place == decimal && one.pieces == nil && len(lines) == 1 && strings.ContainsAny(one.text, "0123456789"):
		whole, fraction := parted(one.text)
		c.text(x+width-after, y+0.76*lead, align.Right, k.style, whole)
		c.text(x+width-after, y+0.76*lead, align.Left, k.style, fraction)
	case k.place != left:
		for i, l := range lines {
			c.lines(x+width-l.width, y+float64(i)*lead, []line{l}, lead)
		}
	default:
		c.lines(x, y, lines, lead)
	}
}
