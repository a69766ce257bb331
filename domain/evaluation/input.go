package evaluation

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"

	"rillmark/calc/verification"
	"rillmark/domain"
	"rillmark/domain/canonical"
	"rillmark/domain/kit"
	"rillmark/domain/sheet"
)

// Canonical returns the facts as canonical JSON (RFC 8785) with every list in one order,
// so that the same facts give the same bytes: what is kept beside an evaluation.
func (f Facts) Canonical() ([]byte, error) {
	return canonical.Marshal(f.ordered())
}

// InputHash returns the SHA-256, in hexadecimal, of the canonical JSON of the facts, the
// edition of the calculations and the hash of the method's edition: the same input is
// never evaluated twice.
func (f Facts) InputHash() (string, error) {
	facts, err := f.Canonical()
	if err != nil {
		return "", err
	}
	methodHash, err := f.Method.Content.Hash()
	if err != nil {
		return "", err
	}
	// Already canonical: the names are in order, and neither edition nor hash needs escaping.
	whole := sha256.New()
	fmt.Fprintf(whole, `{"calc":%q,"facts":`, verification.Edition)
	whole.Write(facts)
	fmt.Fprintf(whole, `,"method":%q}`, methodHash)
	return hex.EncodeToString(whole.Sum(nil)), nil
}

// ordered returns the facts with every list in the order of ids (limits by number). The
// caller's slices stay as they are.
func (f Facts) ordered() Facts {
	f.Agreement.Limits = sorted(f.Agreement.Limits, func(a, b Limit) int { return cmp.Compare(a.N, b.N) })
	f.Indications = byID(f.Indications, func(i Indication) domain.IndicationID { return i.ID })
	f.Kit = byID(f.Kit, func(i kit.Item) domain.KitID { return i.ID })
	f.Calibrations = byID(f.Calibrations, func(c kit.Calibration) domain.CalibrationID { return c.ID })
	f.Authorisations = sorted(f.Authorisations, func(a, b Authorisation) int {
		return cmp.Or(compareID(a.PersonID, b.PersonID), cmp.Compare(a.Act, b.Act), a.From.Compare(b.From))
	})
	f.Sheet = orderedSheet(f.Sheet)
	return f
}

func orderedSheet(s sheet.Sheet) sheet.Sheet {
	s.Survey = byID(s.Survey, func(v sheet.SurveyValue) domain.SurveyValueID { return v.ID })
	s.Mountings = byID(s.Mountings, func(m sheet.Mounting) domain.MountingID { return m.ID })
	s.SetupChecks = byID(s.SetupChecks, func(c sheet.SetupCheck) domain.SetupCheckID { return c.ID })
	s.ZeroChecks = byID(s.ZeroChecks, func(z sheet.ZeroCheck) domain.ZeroCheckID { return z.ID })
	s.Plans = byID(s.Plans, func(p sheet.RunPlan) domain.RunPlanID { return p.ID })
	s.Runs = byID(s.Runs, func(r sheet.Run) domain.RunID { return r.ID })
	s.Readings = orderedReadings(s.Readings)
	s.SetAsides = byID(s.SetAsides, func(a sheet.SetAside) domain.SetAsideID { return a.ID })
	s.Controls = byID(s.Controls, func(n sheet.ControlNote) domain.ControlNoteID { return n.ID })
	s.Adjustments = byID(s.Adjustments, func(a sheet.Adjustment) domain.AdjustmentID { return a.ID })
	s.Notes = byID(s.Notes, func(n sheet.TaskNote) domain.TaskNoteID { return n.ID })
	return s
}

// orderedReadings puts the readings, and what each indication showed at them, in order.
func orderedReadings(list []sheet.Reading) []sheet.Reading {
	of := func(x sheet.Shown) domain.IndicationID { return x.IndicationID }
	ordered, own := list, false
	for i := 1; i < len(list) && !own; i++ {
		own = compareID(list[i-1].ID, list[i].ID) > 0
	}
	if own || list == nil {
		ordered = byID(list, func(r sheet.Reading) domain.ReadingID { return r.ID })
	}
	for i := range ordered {
		shown := ordered[i].Indications
		inOrder := byID(shown, of)
		if len(shown) > 0 && &inOrder[0] == &shown[0] || len(shown) == 0 && shown != nil {
			continue
		}
		if !own { // the caller's readings stay as they are
			ordered, own = slices.Clone(ordered), true
		}
		ordered[i].Indications = inOrder
	}
	return ordered
}

// sorted returns the list in order, never nil: an absent list is an empty one. It is a
// copy, unless the list already was in order; nothing here writes into it.
func sorted[T any](list []T, compare func(a, b T) int) []T {
	if list != nil && slices.IsSortedFunc(list, compare) {
		return list
	}
	list = append([]T{}, list...)
	slices.SortStableFunc(list, compare)
	return list
}

func byID[T, K any](list []T, id func(T) domain.ID[K]) []T {
	return sorted(list, func(a, b T) int { return compareID(id(a), id(b)) })
}

func compareID[K any](a, b domain.ID[K]) int { return bytes.Compare(a.UUID[:], b.UUID[:]) }
