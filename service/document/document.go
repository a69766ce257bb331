// Package document makes documents from a certificate's snapshot, and from it alone: pages
// as PDF by a frozen edition of the layout. The same snapshot gives the same bytes from the
// same build.
//
// Not here: what a document says (domain/certificate), drawings (service/plot), and
// keeping, attaching or signing what was made. The package follows no standard; what PDF
// holds is ISO 32000-1's.
package document

import (
	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/certificate"
	"rillmark/service/document/layout1"
)

// Faults of making a document.
var (
	UnknownLayout = fault.Define("document.unknown-layout", fault.T("layout"))
	Damaged       = fault.Define("document.damaged")
)

// layouts are the published editions; a later one is added, none is changed.
var layouts = map[string]func(certificate.Snapshot) ([]byte, error){
	layout1.Edition: layout1.Render,
}

// Latest is the edition that new snapshots name.
const Latest = layout1.Edition

// Render returns the snapshot's pages as PDF, in the layout edition that the snapshot
// names.
//
// Errors: UnknownLayout; layout1.NotPrintable and layout1.BadPicture, in kind Invalid;
// Damaged when the page library put its own words in the place of something it could not
// draw.
func Render(s certificate.Snapshot) ([]byte, error) {
	const op = "document.Render"
	layout, known := layouts[s.Editions.Layout]
	if !known {
		return nil, domain.Wrap(op, UnknownLayout.At("layout", s.Editions.Layout))
	}
	pdf, err := layout(s)
	if err != nil {
		return nil, domain.Wrap(op, err)
	}
	damaged, err := holdsComplaint(pdf)
	if err != nil {
		return nil, domain.Wrap(op, err)
	}
	if damaged {
		return nil, domain.Wrap(op, &domain.Error{Kind: domain.Internal, Faults: fault.List{Damaged.At("document")}})
	}
	return pdf, nil
}
