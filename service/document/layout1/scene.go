package layout1

import (
	"github.com/johnfercher/maroto/v2/pkg/consts/align"

	"rillmark/service/plot"
)

var anchored = map[plot.Anchor]align.Type{plot.Start: align.Left, plot.Middle: align.Center, plot.End: align.Right}

// scene draws a plot's scene in millimetres, as lines: sharp at every size, and its figures
// can be searched for.
func (c *canvas) scene(x, y float64, s plot.Scene) {
	words := style{sansFace, s.TextSize / mmPerPoint, &ink2, 1}
	figures := style{serifFace, s.TextSize / mmPerPoint, &ink2, 1}
	for _, m := range s.Marks {
		left, top, right, bottom := x+m.X, y+m.Y, x+m.X2, y+m.Y2
		switch m.Shape {
		case plot.Band:
			c.box(left, top, right, bottom, &tint)
		case plot.Rule:
			c.stroke(left, top, right, bottom, s.Line/2)
		case plot.Limit, plot.Bar, plot.Bracket:
			c.stroke(left, top, right, bottom, s.Line)
		case plot.Dot:
			c.dot(left, top, m.R, &ink)
		case plot.Square:
			c.square(left, top, m.R, s.Line)
		case plot.Arrow:
			c.triangle(left, top, m.R, m.X2, &ink)
		case plot.Words:
			c.text(left, top, anchored[m.Anchor], words, m.Text)
		case plot.Figures:
			c.text(left, top, anchored[m.Anchor], figures, m.Text)
		}
	}
}

// stroke draws a line that is level or upright, as all of a scene's are, with ends that
// close a corner.
func (c *canvas) stroke(x, y, x2, y2, thick float64) {
	if y == y2 {
		c.horizontal(min(x, x2)-thick/2, max(x, x2)+thick/2, y, thick, &ink)
		return
	}
	c.vertical(x, y, y2, thick, &ink)
}

func (c *canvas) square(x, y, r, thick float64) {
	c.stroke(x-r, y-r, x+r, y-r, thick)
	c.stroke(x-r, y+r, x+r, y+r, thick)
	c.vertical(x-r, y-r, y+r, thick, &ink)
	c.vertical(x+r, y-r, y+r, thick, &ink)
}
