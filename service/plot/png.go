package plot

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"

	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
)

// Ink is the colour that pictures are drawn in, on white.
var Ink = color.RGBA{20, 34, 45, 255}

// bandInk is how much ink a band has, of 255.
const bandInk = 26

// broadInk is how much ink a broad line has, of 255.
const broadInk = 128

// PNG draws the scene as a picture of 8 bits with so many pixels to the scene's unit, in
// shades of one ink: 300/25.4 gives 300 dots per inch of a scene in millimetres. The words
// and figures are set in the TrueType or OpenType fonts given.
//
// Errors: a font that cannot be read.
func (s Scene) PNG(perUnit float64, words, figures []byte) ([]byte, error) {
	p := &press{per: perUnit, scene: s, sheet: image.NewAlpha(image.Rect(0, 0, int(math.Ceil(s.Width*perUnit)), int(math.Ceil(s.Height*perUnit))))}
	var err error
	if p.words, err = p.face(words); err != nil {
		return nil, err
	}
	if p.figures, err = p.face(figures); err != nil {
		return nil, err
	}
	for _, m := range s.Marks {
		p.mark(m)
	}
	var out bytes.Buffer
	err = png.Encode(&out, &image.Paletted{Pix: p.sheet.Pix, Stride: p.sheet.Stride, Rect: p.sheet.Rect, Palette: shades()})
	return out.Bytes(), err
}

// shades are 256 mixtures of paper and ink.
func shades() color.Palette {
	mix := func(ink uint8, part int) uint8 { return uint8(255 - (255-int(ink))*part/255) }
	all := make(color.Palette, 256)
	for i := range all {
		all[i] = color.RGBA{mix(Ink.R, i), mix(Ink.G, i), mix(Ink.B, i), 255}
	}
	return all
}

// press lays ink on a sheet: its pixels say how much ink there is.
type press struct {
	per            float64
	scene          Scene
	sheet          *image.Alpha
	words, figures font.Face
}

func (p *press) face(data []byte) (font.Face, error) {
	parsed, err := opentype.Parse(data)
	if err != nil {
		return nil, err
	}
	return opentype.NewFace(parsed, &opentype.FaceOptions{Size: p.scene.TextSize * p.per, DPI: 72, Hinting: font.HintingNone})
}

func (p *press) mark(m Mark) {
	w := p.scene.width(m.Shape) / 2
	switch m.Shape {
	case Band:
		p.box(m.X, m.Y, m.X2, m.Y2, bandInk)
	case Rule, Limit, Bar, Bracket:
		p.box(math.Min(m.X, m.X2)-w, math.Min(m.Y, m.Y2)-w, math.Max(m.X, m.X2)+w, math.Max(m.Y, m.Y2)+w, 255)
	case Dot:
		p.dot(m)
	case Square:
		w = p.scene.Line / 2
		p.box(m.X-m.R-w, m.Y-m.R-w, m.X+m.R+w, m.Y-m.R+w, 255)
		p.box(m.X-m.R-w, m.Y+m.R-w, m.X+m.R+w, m.Y+m.R+w, 255)
		p.box(m.X-m.R-w, m.Y-m.R, m.X-m.R+w, m.Y+m.R, 255)
		p.box(m.X+m.R-w, m.Y-m.R, m.X+m.R+w, m.Y+m.R, 255)
	case Arrow:
		p.fill(255, [2]float64{m.X - m.X2*m.R, m.Y - m.R}, [2]float64{m.X + m.X2*m.R, m.Y}, [2]float64{m.X - m.X2*m.R, m.Y + m.R})
	case Broad:
		p.stroke(m.Points, m.R, broadInk)
	case Thread:
		p.stroke(m.Points, 2*w, 255)
	case Words, Figures:
		p.text(m)
	}
}

func (p *press) box(x, y, x2, y2 float64, ink uint8) {
	p.fill(ink, [2]float64{x, y}, [2]float64{x2, y}, [2]float64{x2, y2}, [2]float64{x, y2})
}

func (p *press) dot(m Mark) {
	const corners = 96
	around := make([][2]float64, corners)
	for i := range around {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / corners)
		around[i] = [2]float64{m.X + m.R*cos, m.Y + m.R*sin}
	}
	p.fill(255, around...)
}

// stroke inks a line through points, so wide, with square ends that overlap at its corners.
func (p *press) stroke(points [][2]float64, wide float64, ink uint8) {
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		dx, dy := b[0]-a[0], b[1]-a[1]
		length := math.Hypot(dx, dy)
		if length == 0 {
			continue
		}
		dx, dy = dx/length*wide/2, dy/length*wide/2
		p.fill(ink, [2]float64{a[0] - dx - dy, a[1] - dy + dx}, [2]float64{b[0] + dx - dy, b[1] + dy + dx},
			[2]float64{b[0] + dx + dy, b[1] + dy - dx}, [2]float64{a[0] - dx + dy, a[1] - dy - dx})
	}
}

// fill inks a polygon; where it lies on other ink the darker stays.
func (p *press) fill(ink uint8, corners ...[2]float64) {
	least, most := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for _, c := range corners {
		for i := range c {
			least[i], most[i] = math.Min(least[i], c[i]*p.per), math.Max(most[i], c[i]*p.per)
		}
	}
	frame := image.Rect(int(math.Floor(least[0])), int(math.Floor(least[1])), int(math.Ceil(most[0])), int(math.Ceil(most[1]))).Intersect(p.sheet.Rect)
	if frame.Empty() {
		return
	}
	raster := vector.NewRasterizer(frame.Dx(), frame.Dy())
	for i, c := range corners {
		x, y := float32(c[0]*p.per-float64(frame.Min.X)), float32(c[1]*p.per-float64(frame.Min.Y))
		if i == 0 {
			raster.MoveTo(x, y)
		} else {
			raster.LineTo(x, y)
		}
	}
	raster.ClosePath()
	cover := image.NewAlpha(image.Rect(0, 0, frame.Dx(), frame.Dy()))
	raster.Draw(cover, cover.Rect, image.Opaque, image.Point{})
	p.lay(cover, frame.Min, ink)
}

func (p *press) lay(cover *image.Alpha, at image.Point, ink uint8) {
	for y := range cover.Rect.Dy() {
		for x := range cover.Rect.Dx() {
			to := image.Pt(at.X+x, at.Y+y)
			if !to.In(p.sheet.Rect) {
				continue
			}
			i := p.sheet.PixOffset(to.X, to.Y)
			p.sheet.Pix[i] = max(p.sheet.Pix[i], uint8(int(cover.AlphaAt(x, y).A)*int(ink)/255))
		}
	}
}

func (p *press) text(m Mark) {
	face := p.words
	if m.Shape == Figures {
		face = p.figures
	}
	width := font.MeasureString(face, m.Text)
	x := fixed.Int26_6(m.X * p.per * 64)
	switch m.Anchor {
	case Middle:
		x -= width / 2
	case End:
		x -= width
	}
	cover := image.NewAlpha(p.sheet.Rect)
	drawer := font.Drawer{Dst: cover, Src: image.Opaque, Face: face, Dot: fixed.Point26_6{X: x, Y: fixed.Int26_6(m.Y * p.per * 64)}}
	frame, _ := drawer.BoundString(m.Text)
	drawer.DrawString(m.Text)
	part := image.Rect(frame.Min.X.Floor(), frame.Min.Y.Floor(), frame.Max.X.Ceil(), frame.Max.Y.Ceil()).Intersect(cover.Rect)
	for y := part.Min.Y; y < part.Max.Y; y++ {
		for x := part.Min.X; x < part.Max.X; x++ {
			i := p.sheet.PixOffset(x, y)
			p.sheet.Pix[i] = max(p.sheet.Pix[i], cover.AlphaAt(x, y).A)
		}
	}
}
