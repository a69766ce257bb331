// Package approval holds the rules of judgement: who may approve a result, and when what
// was judged is still all there is. The database holds the same rules between rows.
//
// Not here: the result itself (domain/evaluation), and what is stated (domain/certificate).
// The rules follow ISO/IEC 17025:2017, 6.2.6 and 7.8.1.1.
package approval

import (
	"slices"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/access"
)

// Codes of this package.
var (
	OwnWork       = fault.Define("approval.own-work")
	NotAuthorised = fault.Define("approval.not-authorised", fault.T("method"))
	FactsNewer    = fault.Define("approval.facts-newer")
	Done          = fault.Define("approval.done")
	NotApproved   = fault.Define("approval.missing")
	OtherResult   = fault.Define("approval.other-result")
	NotAPerson    = fault.Define("approval.not-a-person")
)

// Ground is what an approval stands on.
type Ground struct {
	Contributors []domain.PersonID // who took readings, adjusted, checked, mounted or evaluated
	Method       string            // number of the method
	Authorised   bool              // the approver, for the method, at this moment
	Judged       string            // hash of the input of the evaluation that is judged
	Now          string            // hash of the facts as they stand
	Approved     bool              // somebody approved it already
}

// May reports why the actor may not approve: all four eyes, the authorisation, and that no
// fact is newer.
//
// Errors: Forbidden with OwnWork, NotAuthorised or NotAPerson; Stale with FactsNewer; Taken
// with Done.
func May(a access.Actor, g Ground) error {
	switch {
	case !a.Person.Valid():
		return domain.Refuse(domain.Forbidden, NotAPerson.At(""))
	case g.Approved:
		return domain.Refuse(domain.Taken, Done.At(""))
	case slices.Contains(g.Contributors, a.Person):
		return domain.Refuse(domain.Forbidden, OwnWork.At(""))
	case !g.Authorised:
		return domain.Refuse(domain.Forbidden, NotAuthorised.At("", g.Method))
	case g.Judged != g.Now:
		return domain.Refuse(domain.Stale, FactsNewer.At(""))
	}
	return nil
}
