package certificate

import (
	"slices"
	"strings"

	"rillmark/calc/fault"
)

// Element is one thing a document must show.
type Element struct {
	Key    string // part of the code's name
	Clause string // of ISO/IEC 17025:2017
	Late   bool   // added at issue
	Signed bool   // not asked of a provisional sheet
	code   *fault.Code
	there  func(Snapshot) bool
}

// Code is the code that says that the element is missing; its argument is the clause.
func (e Element) Code() *fault.Code { return e.code }

// Elements returns what a document must show, in the order of the standard.
func Elements() []Element { return slices.Clone(elements) }

// Missing names every element that ISO/IEC 17025:2017, 7.8.2 and 7.8.4, ask for and the
// snapshot does not show, one fault each, in the order of the standard. A provisional sheet
// needs neither number nor approver.
func (s Snapshot) Missing() fault.List { return s.missing(true) }

func (s Snapshot) missing(late bool) fault.List {
	var l fault.List
	for _, e := range elements {
		switch {
		case e.Late && !late, (e.Late || e.Signed) && s.Kind == Provisional:
		case !e.there(s):
			l = append(l, e.code.At(e.Key, e.Clause))
		}
	}
	return l
}

// Of these clauses 7.8.2.2 and 7.8.4.1 b to f are from memory.
var elements = []Element{
	element(fault.Define("certificate.missing-title", fault.T("clause")), "7.8.2.1 a", func(s Snapshot) bool { return s.Title != "" }),
	element(fault.Define("certificate.missing-company", fault.T("clause")), "7.8.2.1 b", func(s Snapshot) bool { return s.Company.Name != "" && len(s.Company.Address) > 0 }),
	element(fault.Define("certificate.missing-place", fault.T("clause")), "7.8.2.1 c", func(s Snapshot) bool { return s.Place.Site != "" && s.Place.Tag != "" }),
	late(element(fault.Define("certificate.missing-number", fault.T("clause")), "7.8.2.1 d", func(s Snapshot) bool { return s.Number != "" })),
	element(fault.Define("certificate.missing-client", fault.T("clause")), "7.8.2.1 e", func(s Snapshot) bool { return s.Client.Name != "" }),
	element(fault.Define("certificate.missing-client-contact", fault.T("clause")), "7.8.2.1 e", func(s Snapshot) bool { return s.Client.Contact != "" || len(s.Client.Address) > 0 }),
	element(fault.Define("certificate.missing-method", fault.T("clause")), "7.8.2.1 f", func(s Snapshot) bool { return s.Order.Method != "" && s.Order.Edition != "" }),
	element(fault.Define("certificate.missing-meter", fault.T("clause")), "7.8.2.1 g", func(s Snapshot) bool { return s.Meter.Principle != "" && s.Meter.Serial != "" }),
	element(fault.Define("certificate.missing-work-date", fault.T("clause")), "7.8.2.1 i", func(s Snapshot) bool { return s.Dates.Work != "" }),
	late(element(fault.Define("certificate.missing-issue-date", fault.T("clause")), "7.8.2.1 j", func(s Snapshot) bool { return s.Dates.Issued.Printed != "" })),
	element(fault.Define("certificate.missing-item-only", fault.T("clause")), "7.8.2.1 l", stated(StateItemOnly)),
	element(fault.Define("certificate.missing-results", fault.T("clause")), "7.8.2.1 m", Snapshot.hasResults),
	element(fault.Define("certificate.missing-units", fault.T("clause")), "7.8.2.1 m", Snapshot.hasUnits),
	signed(element(fault.Define("certificate.missing-approver", fault.T("clause")), "7.8.2.1 o", hasRole(RoleApprover))),
	element(fault.Define("certificate.missing-technician", fault.T("clause")), "7.5.1", hasRole(RoleTechnician)),
	element(fault.Define("certificate.missing-reproduction", fault.T("clause")), "7.8.2.1, note", stated(StateReproduction)),
	element(fault.Define("certificate.missing-survey-sources", fault.T("clause")), "7.8.2.2", Snapshot.hasSources),
	element(fault.Define("certificate.missing-uncertainty", fault.T("clause")), "7.8.4.1 a", Snapshot.hasUncertainty),
	element(fault.Define("certificate.missing-uncertainty-statement", fault.T("clause")), "7.8.4.1 a", stated(StateUncertainty)),
	element(fault.Define("certificate.missing-conditions", fault.T("clause")), "7.8.4.1 b", func(s Snapshot) bool { return len(s.Setup.Survey) > 0 && len(s.Setup.Mountings) > 0 }),
	element(fault.Define("certificate.missing-traceability", fault.T("clause")), "7.8.4.1 c", Snapshot.hasTraceability),
	element(fault.Define("certificate.missing-before-adjustment", fault.T("clause")), "7.8.4.1 d", Snapshot.hasBefore),
	element(fault.Define("certificate.missing-after-adjustment", fault.T("clause")), "7.8.4.1 d", Snapshot.hasAfter),
	element(fault.Define("certificate.missing-decision-rule", fault.T("clause")), "7.8.6.1", func(s Snapshot) bool { return !s.Conformity || s.Order.Rule != "" && stated(StateRule)(s) }),
	element(fault.Define("certificate.missing-limits", fault.T("clause")), "7.8.6.2 b", func(s Snapshot) bool { return !s.Conformity || len(s.Order.Limits) > 0 }),
	element(fault.Define("certificate.missing-no-statement-reason", fault.T("clause")), "7.8.6.2", Snapshot.hasReason),
	element(fault.Define("certificate.missing-amended-number", fault.T("clause")), "7.8.8.3", Snapshot.hasAmended),
	element(fault.Define("certificate.missing-amendment-reason", fault.T("clause")), "7.8.8.1", func(s Snapshot) bool { return !s.amending() || s.Amends != nil && s.Amends.Reason != "" }),
	element(fault.Define("certificate.missing-no-legal-verification", fault.T("clause")), "7.8.1.2", stated(StateNoVerification)),
	element(fault.Define("certificate.missing-editions", fault.T("clause")), "7.11.3", func(s Snapshot) bool {
		return s.Editions.Program != "" && s.Editions.Version != "" && s.Editions.Calc != "" && s.Editions.Layout != ""
	}),
}

func element(code *fault.Code, of string, there func(Snapshot) bool) Element {
	return Element{Key: strings.TrimPrefix(code.Name(), "certificate.missing-"), Clause: of, there: there, code: code}
}

func late(e Element) Element {
	e.Late = true
	return e
}

func signed(e Element) Element {
	e.Signed = true
	return e
}

func stated(kind string) func(Snapshot) bool {
	return func(s Snapshot) bool {
		return slices.ContainsFunc(s.Statements, func(t Stated) bool { return t.Kind == kind && t.Text != "" })
	}
}

func (s Snapshot) amending() bool { return s.Kind == Amendment || s.Kind == Reissue }
