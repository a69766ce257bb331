package layout1

import (
	"bytes"
	"os"
	"syscall"
	"testing"
	"time"

	"github.com/johnfercher/maroto/v2/pkg/consts/extension"
	"github.com/johnfercher/maroto/v2/pkg/consts/orientation"
	"github.com/johnfercher/maroto/v2/pkg/core"
	"github.com/johnfercher/maroto/v2/pkg/core/entity"
	"github.com/johnfercher/maroto/v2/pkg/props"
	"github.com/phpdave11/gofpdf"

	"rillmark/domain/certificate"
)

func stored(t testing.TB) certificate.Snapshot {
	t.Helper()
	text, err := os.ReadFile("../../../testdata/certificate/ordinary.json")
	if err != nil {
		t.Fatal(err)
	}
	s, err := certificate.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func BenchmarkLayout(b *testing.B) {
	s := stored(b)
	for b.Loop() {
		if _, err := Render(s); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkBareLibrary draws the same code and the same words, lines and pictures at the same places with
// nothing but the PDF library: the floor that BenchmarkLayout is held against.
func BenchmarkBareLibrary(b *testing.B) {
	d := &document{s: stored(b), number: style{serifFace, 13.5, &ink, 1}}
	if err := d.pictures(); err != nil {
		b.Fatal(err)
	}
	composed := d.compose()
	for b.Loop() {
		if err := d.pictures(); err != nil {
			b.Fatal(err)
		}
		if len(bare(b, composed)) == 0 {
			b.Fatal("no pages")
		}
	}
}

// BenchmarkTimesTheLibrary draws the same pages by turns, with the layout and with the
// library alone, and reports the ratio of the processor time that they take: the clock on
// the wall counts what else the machine does. It must stay below 1.3.
func BenchmarkTimesTheLibrary(b *testing.B) {
	s := stored(b)
	d := &document{s: s, number: style{serifFace, 13.5, &ink, 1}}
	if err := d.pictures(); err != nil {
		b.Fatal(err)
	}
	composed := d.compose()
	var layout, library time.Duration
	for b.Loop() {
		began := processorTime(b)
		if _, err := Render(s); err != nil {
			b.Fatal(err)
		}
		between := processorTime(b)
		if err := d.pictures(); err != nil {
			b.Fatal(err)
		}
		bare(b, composed)
		layout, library = layout+between-began, library+processorTime(b)-between
	}
	b.ReportMetric(float64(layout)/float64(library), "times")
	b.ReportMetric(layout.Seconds()*1e3/float64(b.N), "ms-layout")
	b.ReportMetric(library.Seconds()*1e3/float64(b.N), "ms-library")
}

// processorTime is what this process has taken so far.
func processorTime(b *testing.B) time.Duration {
	var used syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &used); err != nil {
		b.Fatal(err)
	}
	return time.Duration(used.Utime.Nano() + used.Stime.Nano())
}

func bare(b *testing.B, p *pages) []byte {
	pdf := gofpdf.NewCustom(&gofpdf.InitType{UnitStr: "mm", Size: gofpdf.SizeType{Wd: pageWidth, Ht: pageHeight}})
	for _, f := range customFonts() {
		pdf.AddUTF8FontFromBytes(f.Family, string(f.Style), f.Bytes)
	}
	pdf.SetAutoPageBreak(false, 0)
	pen := &pen{pdf: pdf}
	for i, blocks := range p.all {
		pdf.AddPage()
		y := marginTop
		for _, one := range append(append([]block{}, blocks...), p.foot(i+1)) {
			if one.draw != nil {
				c := &canvas{}
				one.draw(c, 0)
				for _, draw := range c.drawn {
					draw(pen, marginSide, y)
				}
			}
			y += one.height
		}
	}
	var out bytes.Buffer
	if err := pdf.Output(&out); err != nil {
		b.Fatal(err)
	}
	return out.Bytes()
}

// pen draws straight with the PDF library what a canvas asks for.
type pen struct {
	core.Provider
	pdf *gofpdf.Fpdf
}

func (p *pen) AddText(text string, cell *entity.Cell, prop *props.Text) {
	p.pdf.SetFont(prop.Family, string(prop.Style), prop.Size)
	p.pdf.SetTextColor(prop.Color.Red, prop.Color.Green, prop.Color.Blue)
	p.pdf.Text(cell.X, cell.Y+prop.Size*mmPerPoint, text)
}

func (p *pen) AddLine(cell *entity.Cell, prop *props.Line) {
	p.pdf.SetDrawColor(prop.Color.Red, prop.Color.Green, prop.Color.Blue)
	p.pdf.SetLineWidth(prop.Thickness)
	if prop.Orientation == orientation.Vertical {
		p.pdf.Line(cell.X, cell.Y, cell.X, cell.Y+cell.Height)
		return
	}
	p.pdf.Line(cell.X, cell.Y, cell.X+cell.Width, cell.Y)
}

func (p *pen) AddImageFromBytes(picture []byte, cell *entity.Cell, _ *props.Rect, _ extension.Type) {
	options := gofpdf.ImageOptions{ImageType: "png"}
	p.pdf.RegisterImageOptionsReader("code", options, bytes.NewReader(picture))
	p.pdf.ImageOptions("code", cell.X, cell.Y, cell.Width, cell.Height, false, options, 0, "")
}
