package layout1

import (
	"math"

	"github.com/johnfercher/go-tree/node"
	"github.com/johnfercher/maroto/v2/pkg/consts/align"
	"github.com/johnfercher/maroto/v2/pkg/consts/breakline"
	"github.com/johnfercher/maroto/v2/pkg/consts/extension"
	"github.com/johnfercher/maroto/v2/pkg/consts/linestyle"
	"github.com/johnfercher/maroto/v2/pkg/consts/orientation"
	"github.com/johnfercher/maroto/v2/pkg/core"
	"github.com/johnfercher/maroto/v2/pkg/core/entity"
	"github.com/johnfercher/maroto/v2/pkg/props"
)

// canvas is a component of the library that draws what was put on it: lines, words and
// pictures at places of its own. Words are broken and measured here, since the library
// breaks lines at spaces alone and its tables repeat no head.
type canvas struct {
	high  float64
	drawn []func(core.Provider, float64, float64)
}

// GetHeight implements core.Component.
func (c *canvas) GetHeight(core.Provider, *entity.Cell) float64 { return c.high }

// SetConfig implements core.Node.
func (c *canvas) SetConfig(*entity.Config) {}

// GetStructure implements core.Node.
func (c *canvas) GetStructure() *node.Node[core.Structure] {
	return node.New(core.Structure{Type: "canvas"})
}

// Render implements core.Component.
func (c *canvas) Render(provider core.Provider, cell *entity.Cell) {
	for _, draw := range c.drawn {
		draw(provider, cell.X, cell.Y)
	}
}

func (c *canvas) put(draw func(p core.Provider, x, y float64)) { c.drawn = append(c.drawn, draw) }

// wide is a cell width at which the library breaks no line.
const wide = 2000

// text draws words from x, or ending at x, or about x; y is the baseline.
func (c *canvas) text(x, y float64, at align.Type, s style, text string) {
	width := s.width(text)
	switch at {
	case align.Right:
		x -= width
	case align.Center:
		x -= width / 2
	}
	for _, part := range byFace(text, s) {
		c.run(x, y, part)
		x += part.style.width(part.text)
	}
}

func (c *canvas) run(x, y float64, r run) {
	size := r.style.mm()
	c.put(func(p core.Provider, x0, y0 float64) {
		p.AddText(r.text, &entity.Cell{X: x0 + x, Y: y0 + y - size, Width: wide, Height: size}, &props.Text{
			Family: r.style.face.family, Style: r.style.face.style, Size: r.style.size, Color: r.style.color,
			Align: align.Left, BreakLineStrategy: breakline.EmptySpaceStrategy})
	})
}

// lines draws lines of text from the top y on, and returns where they end.
func (c *canvas) lines(x, y float64, lines []line, lead float64) float64 {
	for _, l := range lines {
		for _, r := range l.runs {
			r.x += x
			c.run(r.x, y+0.76*lead, r)
		}
		y += lead
	}
	return y
}

// horizontal draws a line from x to x2 whose middle is at y.
func (c *canvas) horizontal(x, x2, y, thick float64, color *props.Color) {
	if x2 < x {
		x, x2 = x2, x
	}
	c.put(func(p core.Provider, x0, y0 float64) {
		p.AddLine(&entity.Cell{X: x0 + x, Y: y0 + y, Width: x2 - x, Height: 1},
			&props.Line{Color: color, Style: linestyle.Solid, Thickness: thick, Orientation: orientation.Horizontal, SizePercent: 100})
	})
}

// vertical draws a line from y to y2 whose middle is at x.
func (c *canvas) vertical(x, y, y2, thick float64, color *props.Color) {
	if y2 < y {
		y, y2 = y2, y
	}
	c.put(func(p core.Provider, x0, y0 float64) {
		p.AddLine(&entity.Cell{X: x0 + x, Y: y0 + y, Width: 1, Height: y2 - y},
			&props.Line{Color: color, Style: linestyle.Solid, Thickness: thick, Orientation: orientation.Vertical, SizePercent: 100})
	})
}

// box fills a rectangle: a line as thick as it is high.
func (c *canvas) box(x, y, x2, y2 float64, color *props.Color) {
	c.horizontal(x, x2, (y+y2)/2, math.Abs(y2-y), color)
}

// dot fills a circle with slices that overlap, since the library draws straight lines only.
func (c *canvas) dot(x, y, r float64, color *props.Color) {
	const slices = 28
	step := 2 * r / slices
	for i := 0; i < slices; i++ {
		at := -r + (float64(i)+0.5)*step
		half := math.Sqrt(r*r - at*at)
		c.horizontal(x-half, x+half, y+at, step*1.6, color)
	}
}

// triangle fills a triangle that points left (−1) or right (+1).
func (c *canvas) triangle(x, y, r, way float64, color *props.Color) {
	const slices = 24
	step := 2 * r / slices
	for i := 0; i < slices; i++ {
		at := -r + (float64(i)+0.5)*step
		half := (1 - (float64(i)+0.5)/slices) * r
		c.vertical(x+way*at, y-half, y+half, step*1.6, color)
	}
}

// picture draws a PNG that was decoded and written by this package, as wide as given.
func (c *canvas) picture(x, y, width, height float64, png []byte) {
	c.put(func(p core.Provider, x0, y0 float64) {
		p.AddImageFromBytes(png, &entity.Cell{X: x0 + x, Y: y0 + y, Width: width, Height: height},
			&props.Rect{Percent: 100}, extension.Png)
	})
}
