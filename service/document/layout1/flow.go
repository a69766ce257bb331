package layout1

import (
	"cmp"
	"fmt"

	"github.com/johnfercher/maroto/v2/pkg/components/col"
	"github.com/johnfercher/maroto/v2/pkg/components/page"
	"github.com/johnfercher/maroto/v2/pkg/components/row"
	"github.com/johnfercher/maroto/v2/pkg/consts/align"
	"github.com/johnfercher/maroto/v2/pkg/core"
)

// The page, in millimetres: A4.
const (
	pageWidth  = 210.0
	pageHeight = 297.0
	marginSide = 18.0
	marginTop  = 13.0
	marginEnd  = 11.0
	column     = pageWidth - 2*marginSide
	usable     = pageHeight - marginTop - marginEnd - 0.02 // the library adds its rows up and compares
	footHeight = 8.0
	headHeight = 13.0 // from the second page on
)

// block is something of known height that stands on one page.
type block struct {
	height float64
	draw   func(c *canvas, y float64)
}

// gap is empty room; it vanishes at the top of a page.
func gap(height float64) block { return block{height: height} }

// pages fills pages with blocks.
type pages struct {
	number string // or what stands in its place
	name   string // of the company, in the running head
	notice string // printed large on every page; empty on a certificate
	all    [][]block
	y      float64
}

func newPages(name, number, notice string, head block) *pages {
	p := &pages{name: name, number: number, notice: notice}
	p.all = [][]block{{head}}
	p.y = head.height
	return p
}

func (p *pages) room() float64 { return usable - footHeight - p.y }

// fits allows for the rounding of sums; the library's own check has that room too.
func (p *pages) fits(height float64) bool { return height <= p.room()+1e-6 }

// atTop reports whether nothing but the head is on the page.
func (p *pages) atTop() bool { return len(p.all) > 1 && len(p.all[len(p.all)-1]) == 1 }

func (p *pages) turn() {
	head := p.runningHead()
	p.all = append(p.all, []block{head})
	p.y = head.height
}

func (p *pages) put(b block) {
	if b.draw == nil && p.atTop() {
		return
	}
	if !p.fits(b.height) {
		p.turn()
		if b.draw == nil {
			return
		}
	}
	last := len(p.all) - 1
	p.all[last] = append(p.all[last], b)
	p.y += b.height
}

// together puts blocks on one page where one page can hold them.
func (p *pages) together(blocks ...block) {
	total := heights(blocks)
	if !p.fits(total) && total <= usable-footHeight-headHeight {
		p.turn()
	}
	for _, b := range blocks {
		p.put(b)
	}
}

func heights(blocks []block) float64 {
	total := 0.0
	for _, b := range blocks {
		total += b.height
	}
	return total
}

func (p *pages) runningHead() block {
	return block{headHeight + p.noticeHeight(), func(c *canvas, y float64) {
		y = p.drawNotice(c, y)
		c.text(0, y+4, align.Left, runHead, fitted(p.name, runHead, column-50))
		c.text(column, y+4, align.Right, runHead, p.number)
		tape(c, y+5.2, 2.2)
	}}
}

func (p *pages) noticeHeight() float64 {
	if p.notice == "" {
		return 0
	}
	return 13.5
}

// drawNotice prints the notice over the whole width of the head.
func (p *pages) drawNotice(c *canvas, y float64) float64 {
	if p.notice == "" {
		return y
	}
	big := style{sansBoldFace, 15, &ink, 1}
	c.horizontal(0, column, y+0.4, 0.5, &ink)
	c.text(column/2, y+6.1, align.Center, big, p.notice)
	c.horizontal(0, column, y+8.6, 0.5, &ink)
	return y + p.noticeHeight()
}

// foot is the last line of a page.
func (p *pages) foot(n int) block {
	return block{footHeight, func(c *canvas, y float64) {
		c.horizontal(0, column, y+3, 0.15, &rule)
		c.text(0, y+7, align.Left, runFoot, cmp.Or(p.notice, p.number))
		c.text(column, y+7, align.Right, runFoot, fmt.Sprintf("page %d of %d", n, len(p.all)))
	}}
}

// rendered gives the pages to the library: a row for each block, and the foot at the end.
func (p *pages) rendered(m core.Maroto) {
	for i, blocks := range p.all {
		sheet := page.New()
		y := 0.0
		for _, b := range blocks {
			sheet.Add(rowOf(b))
			y += b.height
		}
		sheet.Add(rowOf(gap(usable-footHeight-y)), rowOf(p.foot(i+1)))
		m.AddPages(sheet)
	}
}

func rowOf(b block) core.Row {
	c := &canvas{high: b.height}
	if b.draw != nil {
		b.draw(c, 0)
	}
	return row.New(b.height).Add(col.New().Add(c))
}

// fitted shortens a text that is too wide for the running head.
func fitted(text string, s style, width float64) string {
	if s.width(text) <= width {
		return text
	}
	runes := []rune(text)
	for len(runes) > 1 && s.width(string(runes)+"…") > width {
		runes = runes[:len(runes)-1]
	}
	return string(runes) + "…"
}
