package plot

import (
	"encoding/xml"
	"math"
	"strconv"
	"strings"
)

// SVG writes the scene for a page, to be put into its HTML. Nothing is styled inline: ink
// is currentColor, so that dark pages turn it; each kind of mark has a class ("plot-band",
// "plot-rule", "plot-limit", "plot-bar", "plot-bracket", "plot-dot", "plot-square",
// "plot-arrow", "plot-words", "plot-figures", "plot-broad", "plot-thread") for the page's own style. Each point says its
// figures in a title.
func (s Scene) SVG() string {
	var b strings.Builder
	b.WriteString(`<svg class="plot" role="img" viewBox="0 0 ` + num(s.Width) + ` ` + num(s.Height) + `" xmlns="http://www.w3.org/2000/svg" aria-label="`)
	b.WriteString(escape(s.Label))
	b.WriteString(`">`)
	for _, m := range s.Marks {
		s.svgMark(&b, m)
	}
	b.WriteString("</svg>")
	return b.String()
}

var classes = map[Shape]string{Band: "band", Rule: "rule", Limit: "limit", Bar: "bar", Bracket: "bracket",
	Dot: "dot", Square: "square", Arrow: "arrow", Words: "words", Figures: "figures", Broad: "broad", Thread: "thread"}

var anchors = map[Anchor]string{Start: "start", Middle: "middle", End: "end"}

func (s Scene) svgMark(b *strings.Builder, m Mark) {
	class := `class="plot-` + classes[m.Shape] + `"`
	switch m.Shape {
	case Band:
		open(b, "rect", class, "x", num(math.Min(m.X, m.X2)), "y", num(math.Min(m.Y, m.Y2)), "width", num(math.Abs(m.X2-m.X)),
			"height", num(math.Abs(m.Y2-m.Y)), "fill", "currentColor", "fill-opacity", "0.1")
	case Rule, Limit, Bar, Bracket:
		open(b, "path", class, "d", "M"+num(m.X)+" "+num(m.Y)+"L"+num(m.X2)+" "+num(m.Y2), "fill", "none",
			"stroke", "currentColor", "stroke-width", num(s.width(m.Shape)))
	case Dot:
		open(b, "circle", class, "cx", num(m.X), "cy", num(m.Y), "r", num(m.R), "fill", "currentColor")
	case Square:
		open(b, "rect", class, "x", num(m.X-m.R), "y", num(m.Y-m.R), "width", num(2*m.R), "height", num(2*m.R), "fill", "none",
			"stroke", "currentColor", "stroke-width", num(s.Line), "pointer-events", "all")
	case Arrow:
		open(b, "path", class, "d", "M"+num(m.X-m.X2*m.R)+" "+num(m.Y-m.R)+"L"+num(m.X+m.X2*m.R)+" "+num(m.Y)+
			"L"+num(m.X-m.X2*m.R)+" "+num(m.Y+m.R)+"Z", "fill", "currentColor")
	case Broad:
		open(b, "path", class, "d", through(m.Points), "fill", "none", "stroke", "currentColor", "stroke-opacity", "0.5", "stroke-width", num(m.R),
			"stroke-linejoin", "round")
	case Thread:
		open(b, "path", class, "d", through(m.Points), "fill", "none", "stroke", "currentColor", "stroke-width", num(s.width(m.Shape)), "stroke-linejoin", "round")
	case Words, Figures:
		open(b, "text", class, "x", num(m.X), "y", num(m.Y), "text-anchor", anchors[m.Anchor], "font-size", num(s.TextSize), "fill", "currentColor")
		b.WriteString(escape(m.Text) + "</text>")
		return
	}
	closeWith(b, m)
}

// through writes a line through points.
func through(points [][2]float64) string {
	var b strings.Builder
	for i, p := range points {
		command := "L"
		if i == 0 {
			command = "M"
		}
		b.WriteString(command + num(p[0]) + " " + num(p[1]))
	}
	return b.String()
}

// width is the width of a line of the shape.
func (s Scene) width(shape Shape) float64 {
	if shape == Rule {
		return s.Line / 2
	}
	return s.Line
}

func open(b *strings.Builder, name, class string, attributes ...string) {
	b.WriteString("<" + name + " " + class)
	for i := 0; i < len(attributes); i += 2 {
		b.WriteString(" " + attributes[i] + `="` + attributes[i+1] + `"`)
	}
	b.WriteString(">")
}

func closeWith(b *strings.Builder, m Mark) {
	if m.Title != "" {
		b.WriteString("<title>" + escape(m.Title) + "</title>")
	}
	name := map[Shape]string{Band: "rect", Square: "rect", Dot: "circle"}[m.Shape]
	if name == "" {
		name = "path"
	}
	b.WriteString("</" + name + ">")
}

func escape(text string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(text)) // a strings.Builder takes everything
	return b.String()
}

func num(x float64) string { return strconv.FormatFloat(math.Round(x*100)/100, 'f', -1, 64) }
