package certificate

import (
	"slices"

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
	element("title", "7.8.2.1 a", func(s Snapshot) bool { return s.Title != "" }),
	element("company", "7.8.2.1 b", func(s Snapshot) bool { return s.Company.Name != "" && len(s.Company.Address) > 0 }),
	element("place", "7.8.2.1 c", func(s Snapshot) bool { return s.Place.Site != "" && s.Place.Tag != "" }),
	late(element("number", "7.8.2.1 d", func(s Snapshot) bool { return s.Number != "" })),
	element("client", "7.8.2.1 e", func(s Snapshot) bool { return s.Client.Name != "" }),
	element("client-contact", "7.8.2.1 e", func(s Snapshot) bool { return s.Client.Contact != "" || len(s.Client.Address) > 0 }),
	element("method", "7.8.2.1 f", func(s Snapshot) bool { return s.Order.Method != "" && s.Order.Edition != "" }),
	element("meter", "7.8.2.1 g", func(s Snapshot) bool { return s.Meter.Principle != "" && s.Meter.Serial != "" }),
	element("work-date", "7.8.2.1 i", func(s Snapshot) bool { return s.Dates.Work != "" }),
	late(element("issue-date", "7.8.2.1 j", func(s Snapshot) bool { return s.Dates.Issued.Printed != "" })),
	element("item-only", "7.8.2.1 l", stated(StateItemOnly)),
	element("results", "7.8.2.1 m", Snapshot.hasResults),
	element("units", "7.8.2.1 m", Snapshot.hasUnits),
	signed(element("approver", "7.8.2.1 o", hasRole(RoleApprover))),
	element("technician", "7.5.1", hasRole(RoleTechnician)),
	element("reproduction", "7.8.2.1, note", stated(StateReproduction)),
	element("survey-sources", "7.8.2.2", Snapshot.hasSources),
	element("uncertainty", "7.8.4.1 a", Snapshot.hasUncertainty),
	element("uncertainty-statement", "7.8.4.1 a", stated(StateUncertainty)),
	element("conditions", "7.8.4.1 b", func(s Snapshot) bool { return len(s.Setup.Survey) > 0 && len(s.Setup.Mountings) > 0 }),
	element("traceability", "7.8.4.1 c", Snapshot.hasTraceability),
	element("before-adjustment", "7.8.4.1 d", Snapshot.hasBefore),
	element("after-adjustment", "7.8.4.1 d", Snapshot.hasAfter),
	element("decision-rule", "7.8.6.1", func(s Snapshot) bool { return !s.Conformity || s.Order.Rule != "" && stated(StateRule)(s) }),
	element("limits", "7.8.6.2 b", func(s Snapshot) bool { return !s.Conformity || len(s.Order.Limits) > 0 }),
	element("no-statement-reason", "7.8.6.2", Snapshot.hasReason),
	element("amended-number", "7.8.8.3", Snapshot.hasAmended),
	element("amendment-reason", "7.8.8.1", func(s Snapshot) bool { return !s.amending() || s.Amends != nil && s.Amends.Reason != "" }),
	element("no-legal-verification", "7.8.1.2", stated(StateNoVerification)),
	element("editions", "7.11.3", func(s Snapshot) bool {
		return s.Editions.Program != "" && s.Editions.Version != "" && s.Editions.Calc != "" && s.Editions.Layout != ""
	}),
}

func element(key, clause string, there func(Snapshot) bool) Element {
	return Element{Key: key, Clause: clause, there: there,
		code: fault.Define("certificate.missing-"+key, fault.T("clause"))}
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
