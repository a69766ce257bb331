package evaluation

import (
	"time"

	"rillmark/calc/conformity"
	"rillmark/domain"
	"rillmark/domain/kit"
	"rillmark/domain/method"
	"rillmark/domain/sheet"
)

// Facts is everything an evaluation rests on. It is read and written as JSON: ids as
// strings, times as RFC 3339, numbers in SI units, relative values as fractions (0.01 is
// 1 %). Two sets of facts that say the same have the same canonical JSON, in whatever
// order their rows came.
type Facts struct {
	Task           Task              `json:"task"`
	Method         Method            `json:"method"`
	Agreement      Agreement         `json:"agreement"`
	Indications    []Indication      `json:"indications"` // of the meter, those that are to be judged
	Kit            []kit.Item        `json:"kit"`         // every item that the sheet names
	Calibrations   []kit.Calibration `json:"calibrations"`
	Authorisations []Authorisation   `json:"authorisations"` // of every person that the sheet names, for the method
	Sheet          sheet.Sheet       `json:"sheet"`
}

// Task is the work on one meter at one measuring point in one visit.
type Task struct {
	ID       domain.TaskID  `json:"id"`
	VisitID  domain.VisitID `json:"visit_id"`
	PointID  domain.PointID `json:"point_id"`
	MeterID  domain.MeterID `json:"meter_id"`
	TimeZone string         `json:"time_zone"` // IANA name of the site's
	// Measurand is what the meter measures: "volume". Others are refused until their
	// fluids' densities are here.
	Measurand string `json:"measurand"`
}

// Method is the edition in force for the task.
type Method struct {
	ID        domain.MethodID        `json:"id"`
	EditionID domain.MethodEditionID `json:"edition_id"`
	Number    string                 `json:"number"`
	Edition   int                    `json:"edition"`
	Content   method.Content         `json:"content"`
}

// OverallRule says how the verdict on the meter follows from its flow points. The zero
// value is none.
type OverallRule string

// The overall rules.
const (
	WorstPoint OverallRule = "worst-point"
	MeanError  OverallRule = "mean-error"
)

// Agreement is what was agreed with the client for the point.
type Agreement struct {
	ID               domain.AgreementID `json:"id"`
	Rule             string             `json:"rule"`                         // as in package conformity
	GuardFactor      float64            `json:"guard_factor"`                 // r in w = r·U; not looked at by the simple rule
	NoStatementRatio *float64           `json:"no_statement_ratio,omitempty"` // no statement where U is more than this part of the limits' half-width
	OverallRule      OverallRule        `json:"overall_rule"`
	AdjustingAllowed bool               `json:"adjusting_allowed"`
	Limits           []Limit            `json:"limits"`
}

// LimitPhase says what a limit is for. The zero value is nothing.
type LimitPhase string

// What limits are for.
const (
	LimitBefore              = LimitPhase(sheet.Before)
	LimitAfter               = LimitPhase(sheet.After)
	LimitAdjustIf LimitPhase = "adjust-if" // adjusting is advised outside it
)

// LimitKind says what a limit is a part of. The zero value is none.
type LimitKind string

// The kinds of limits.
const (
	OfReading LimitKind = "reading" // relative to the reference flow
	OfSpan    LimitKind = "span"    // relative to the span
	OfFlow    LimitKind = "flow"    // m³/s
	// Combined is of a limit of two terms, at a flow: relative to it. No agreement has it.
	Combined LimitKind = "combined"
)

// Limit is the limits of error in one zone of flow, from FromFlow up to but not at ToFlow.
type Limit struct {
	N        int        `json:"n"`
	Phase    LimitPhase `json:"phase"`
	FromFlow float64    `json:"from_flow"`         // m³/s
	ToFlow   *float64   `json:"to_flow,omitempty"` // m³/s; nil: no end
	Kind     LimitKind  `json:"kind"`
	Lower    *float64   `json:"lower,omitempty"`
	Upper    *float64   `json:"upper,omitempty"`
	Span     *float64   `json:"span,omitempty"` // m³/s, of kind span
	// Combine says how a second term goes with the first; empty: there is none. See
	// conformity.Agreed.
	Combine   conformity.Combination `json:"combine,omitempty"`
	OtherKind LimitKind              `json:"other_kind,omitempty"`
	Other     *float64               `json:"other,omitempty"`      // its size, on every side that the first has
	OtherSpan *float64               `json:"other_span,omitempty"` // m³/s, of other_kind span
}

// Indication is one way in which the meter shows its flow.
type Indication struct {
	ID         domain.IndicationID `json:"id"`
	Name       string              `json:"name"`
	Way        string              `json:"way"`
	Resolution *float64            `json:"resolution,omitempty"` // m³/s
}

// Act is what a person may be authorised for. The zero value is nothing.
type Act string

// Perform is to do the work by a method; the others are not looked at here.
const Perform Act = "perform"

// Authorisation says that a person may act by the method from From until before To.
type Authorisation struct {
	PersonID domain.PersonID `json:"person_id"`
	MethodID domain.MethodID `json:"method_id"`
	Act      Act             `json:"act"`
	From     time.Time       `json:"from"`
	To       *time.Time      `json:"to,omitempty"` // nil: no end
}

// item returns the kit item of the id, and whether the facts hold it.
func (f Facts) item(id domain.KitID) (kit.Item, bool) {
	for _, i := range f.Kit {
		if i.ID == id {
			return i, true
		}
	}
	return kit.Item{}, false
}
