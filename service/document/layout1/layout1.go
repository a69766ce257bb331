// Package layout1 is the first edition of the document's layout: it sets a snapshot on A4
// pages. It takes everything that a document says of its own from the snapshot, and the
// words that all documents share from words.go; once certificates were issued with it, it
// is frozen: the same snapshot must give the same bytes for ever.
//
// Not here: storing, signing and attaching. The layout follows no standard; what must be
// shown is domain/certificate's.
package layout1

import (
	"cmp"
	"encoding/json"
	"strings"
	"time"

	maroto "github.com/johnfercher/maroto/v2"
	"github.com/johnfercher/maroto/v2/pkg/config"
	"github.com/johnfercher/maroto/v2/pkg/core/entity"
	"github.com/johnfercher/maroto/v2/pkg/props"
	"github.com/phpdave11/gofpdf"

	"rillmark/calc/fault"
	"rillmark/domain/certificate"
)

// Edition is what a snapshot names this layout by.
const Edition = "layout1"

// NotPrintable says that a text holds a character that the fonts have not got.
var NotPrintable = fault.Define("document.not-printable", fault.T("character"), fault.T("text"))

// The library keeps maps; sorted, the same document has the same bytes. The date of change
// is process-wide there, so it is one fixed instant.
func init() {
	gofpdf.SetDefaultCatalogSort(true)
	gofpdf.SetDefaultModificationDate(fixedInstant)
}

var fixedInstant = time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)

// document is a snapshot on its way to pages.
type document struct {
	s      certificate.Snapshot
	notice string
	number style
	logo   *picture
	qr     []byte
	traced [][]byte // the pictures of logged records
	// charted: the only chart stands on the first page already
	charted bool
}

// Render returns the snapshot's pages as PDF.
//
// Errors: NotPrintable; BadPicture.
func Render(s certificate.Snapshot) ([]byte, error) {
	if err := printable(s); err != nil {
		return nil, err
	}
	d := &document{s: s, number: style{serifFace, 13.5, &ink, 1}}
	if s.Kind == certificate.Provisional {
		d.notice = provisionalNotice
	}
	if err := d.pictures(); err != nil {
		return nil, err
	}
	if err := d.pressTraces(); err != nil {
		return nil, err
	}
	p := d.compose()
	m := maroto.New(d.config())
	p.rendered(m)
	made, err := m.Generate()
	if err != nil {
		return nil, err
	}
	return made.GetBytes(), nil
}

// heading is what stands where the number stands.
func (d *document) heading() string {
	if d.notice != "" {
		return "no number"
	}
	return cmp.Or(d.s.Number, "not issued")
}

func (d *document) pages0() *pages { return &pages{notice: d.notice} }

func (d *document) config() *entity.Config {
	created := fixedInstant
	if at, err := time.Parse(time.RFC3339, d.s.Dates.Issued.At); err == nil {
		created = at.UTC()
	}
	b := config.NewBuilder().
		WithDimensions(pageWidth, pageHeight).
		WithLeftMargin(marginSide).WithRightMargin(marginSide).WithTopMargin(marginTop).WithBottomMargin(marginEnd).
		WithCustomFonts(customFonts()).
		WithDefaultFont(&props.Font{Family: sans, Size: body.size}).
		WithCompression(true).
		WithCreationDate(created).
		WithTitle(joined(" ", d.s.Title, d.s.Number), true).
		WithAuthor(d.s.Company.Name, true).
		WithSubject(joined(", ", d.s.Client.Name, d.s.Place.Site, d.s.Place.Tag), true).
		WithCreator(joined(" ", d.s.Editions.Program, d.s.Editions.Version), true)
	return b.Build()
}

// printable refuses a text that would lose a character on the page.
func printable(s certificate.Snapshot) error {
	text, err := json.Marshal(s)
	if err != nil {
		return err
	}
	for _, r := range string(text) {
		if r < ' ' || sansFace.printable(r) != nil {
			continue
		}
		return NotPrintable.At("snapshot", string(r), around(string(text), r))
	}
	return nil
}

// around is some of the text that a character stands in.
func around(text string, r rune) string {
	before, after, _ := strings.Cut(text, string(r))
	head := []rune(before[max(0, strings.LastIndexByte(before, '"')+1):])
	tail, _, _ := strings.Cut(after, `"`)
	const most = 20
	return string(head[max(0, len(head)-most):]) + string(r) + string([]rune(tail)[:min(most, len([]rune(tail)))])
}
