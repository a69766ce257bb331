package certificate

import (
	"slices"

	"rillmark/domain/sheet"
)

// The kinds of statements.
const (
	StateUncertainty    = "uncertainty"
	StateRule           = "decision-rule"
	StateInformation    = "for-information"
	StateItemOnly       = "item-only"
	StateReproduction   = "reproduction"
	StateTraceability   = "traceability"
	StateClientSupplied = "client-supplied"
	StateNoVerification = "no-legal-verification"
)

// The roles of people.
const (
	RoleTechnician = "technician"
	RoleApprover   = "approver"
)

// noStatement is the verdict that states nothing.
const noStatement = "no-statement"

func hasRole(role string) func(Snapshot) bool {
	return func(s Snapshot) bool {
		return slices.ContainsFunc(s.People, func(p Person) bool { return p.Role == role && p.Name != "" })
	}
}

// every reports whether what is asked holds for each flow point, and there is one.
func (s Snapshot) every(holds func(Point) bool) bool {
	some := false
	for _, r := range s.Indications {
		for _, phase := range r.Phases {
			for _, p := range phase.Points {
				if some = true; !holds(p) {
					return false
				}
			}
		}
	}
	return some
}

func (s Snapshot) hasResults() bool {
	return s.every(func(p Point) bool { return p.Error.Printed != "" })
}

func (s Snapshot) hasUnits() bool {
	return s.every(func(p Point) bool { return p.Reference.Unit != "" && p.Indication.Unit != "" && p.Error.Unit != "" })
}

// hasUncertainty asks for U where a verdict is given; without a ground for a U there is
// none, and the reason is said.
func (s Snapshot) hasUncertainty() bool {
	return s.every(func(p Point) bool { return p.U != nil || p.Verdict == noStatement || p.Verdict == "" })
}

func (s Snapshot) hasSources() bool {
	return !slices.ContainsFunc(s.Setup.Survey, func(v Surveyed) bool { return v.Source == "" })
}

func (s Snapshot) hasTraceability() bool {
	return stated(StateTraceability)(s) && slices.ContainsFunc(s.Setup.Kit, func(k KitItem) bool { return k.Certificate != "" }) ||
		!s.Conformity && len(s.Setup.Kit) > 0
}

func (s Snapshot) hasBefore() bool { return s.hasPhase(string(sheet.Before)) }

func (s Snapshot) hasAfter() bool { return !s.Adjustment.Made || s.hasPhase(string(sheet.After)) }

func (s Snapshot) hasPhase(name string) bool {
	return slices.ContainsFunc(s.Indications, func(r Result) bool {
		return slices.ContainsFunc(r.Phases, func(p Phase) bool { return p.Phase == name && len(p.Points) > 0 })
	})
}

// hasReason asks for why no statement is made, where none is.
func (s Snapshot) hasReason() bool {
	if !s.Conformity && len(s.Grounds) == 0 && !stated(StateInformation)(s) {
		return false
	}
	return s.every(func(p Point) bool {
		return p.Verdict != noStatement || p.Reason != nil || !s.Conformity
	}) || len(s.Indications) == 0
}

func (s Snapshot) hasAmended() bool {
	if !s.amending() {
		return true
	}
	if s.Amends == nil {
		return false
	}
	_, err := ParseNumber(s.Amends.Number)
	return err == nil && s.Amends.Number != s.Number
}
