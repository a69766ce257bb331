package certificate

import (
	"time"

	"rillmark/calc/fault"
	"rillmark/domain"
)

// Paper is what a document shows beside a task's facts and their result: names, addresses,
// what was agreed in words, and editions. Whoever keeps these fills it in.
type Paper struct {
	Kind         Kind
	Title        string // empty: DefaultTitle
	Subtitle     string
	Editions     Editions // Calc, MethodHash and Evaluation are taken from the result
	Company      Party
	Client       Party
	Place        Place
	Meter        Meter // Condition is taken from the notes where it is empty
	OrderNumber  string
	MethodTitle  string
	AgreedBy     string
	AgreedOn     time.Time // a date
	Consent      string
	FlowUnit     string // unit in which flows are printed, as package quantity names it
	Interval     string // recommended; empty where printing it was not agreed
	Opinions     []string
	NotReached   []string
	Traces       []Trace
	Amends       *Amends
	Approver     *Person                    // nil: not authorised
	Names        map[domain.PersonID]string // of everybody the sheet names
	Functions    map[domain.PersonID]string // their functions in the company
	Zone         *time.Location             // of the site
	Say          func(fault.Fault) string   // the sentence of a code, in the document's language
	Reproduction string                     // statements that the method's edition does not hold; empty: the usual ones
	Traceability string
}

// The usual words, in English.
const (
	DefaultTitle     = "Verification certificate"
	ProvisionalTitle = "Results, provisional"
	DefaultSubtitle  = "Flow meter, in place, by comparison with a traceable clamp-on reference"

	usualReproduction   = "This document may be reproduced in full only, unless the company has agreed in writing to an extract."
	usualTraceability   = "The results are traceable to the International System of Units through the calibrations of the equipment listed, by the laboratories and certificates named there."
	usualClientSupplied = "Values marked “client” were supplied by the client and values marked “assumed” were not measured; both can affect the validity of the results."
)
