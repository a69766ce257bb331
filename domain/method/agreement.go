package method

import (
	"time"

	"rillmark/calc/conformity"
	"rillmark/calc/fault"
	"rillmark/calc/quantity"
	"rillmark/domain"
	"rillmark/domain/sheet"
)

// Codes of agreements.
var (
	ConsentMissing      = fault.Define("agreement.consent-missing")
	ConsentUnused       = fault.Define("agreement.consent-unused")
	NewerAgreement      = fault.Define("agreement.newer-one")
	GuardUnused         = fault.Define("agreement.guard-factor-unused")
	IntervalMissing     = fault.Define("agreement.interval-missing")
	NoLimits            = fault.Define("agreement.no-limits")
	TooManyLimits       = fault.Define("agreement.too-many-limits", fault.C("most"))
	LimitMissing        = fault.Define("agreement.limit-missing")
	LimitsReversed      = fault.Define("agreement.limits-reversed")
	LimitsExcludeNought = fault.Define("agreement.limits-exclude-nought", fault.T("limit"))
	ZoneReversed        = fault.Define("agreement.zone-reversed")
	ZonesOverlap        = fault.Define("agreement.zones-overlap", fault.C("row"))
	SpanUnused          = fault.Define("agreement.span-unused")
	CombineMissing      = fault.Define("agreement.combine-missing")
	SymmetricAndMore    = fault.Define("agreement.symmetric-and-more")
)

// The words of an agreement, in the order in which they are shown.
var (
	DecisionRules = []string{conformity.Simple.String(), conformity.GuardBand.String(), conformity.NonBinary.String()}
	OverallRules  = []string{"worst-point", "mean-error"}
	PublicShows   = []string{"status", "client-and-point", "verdict"}
	LimitPhases   = []string{string(sheet.Before), string(sheet.After), "adjust-if"}
	LimitKinds    = []string{"reading", "span", "flow"}
	Combinations  = []string{string(conformity.Sum), string(conformity.Greater)}
)

// MostMonths bounds the interval between verifications, in months.
const MostMonths = 240

// MostLimits bounds the limits of one agreement.
const MostLimits = 60

// Agreement is what is agreed with the client for a measuring point before measuring. It
// is immutable: a later change is another agreement that names this one and the client's
// dated consent.
type Agreement struct {
	ID               domain.AgreementID     `db:"id"`
	ClientID         domain.ClientID        `db:"client_id"`
	PointID          domain.PointID         `db:"point_id"`
	EditionID        domain.MethodEditionID `db:"method_edition_id" audit:"text"`
	OrderNumber      string                 `db:"order_number" audit:"text"`
	Rule             string                 `db:"rule" audit:"text"`
	GuardFactor      float64                `db:"guard_factor" audit:"text"`       // r in w = r·U; 0 with the simple rule
	NoStatementRatio *float64               `db:"no_statement_ratio" audit:"text"` // of the limits' half-width
	OverallRule      string                 `db:"overall_rule" audit:"text"`
	AdjustingAllowed bool                   `db:"adjusting_allowed" audit:"text"`
	IntervalMonths   *int                   `db:"interval_months" audit:"text"`
	IntervalPrinted  bool                   `db:"interval_printed" audit:"text"`
	PublicShows      string                 `db:"public_shows" audit:"text"`
	AgreedBy         string                 `db:"agreed_by" audit:"private"`
	AgreedOn         time.Time              `db:"agreed_on" audit:"text"` // a date: midnight UTC
	Replaces         *domain.AgreementID    `db:"replaces" audit:"text"`
	Consent          *string                `db:"consent" audit:"private"`
	Note             string                 `db:"note" audit:"text"`
	By               string                 `db:"by"`
	ReceivedAt       time.Time              `db:"received_at"`
	Limits           []Limit                `db:"-"`
}

// AgreementTexts is an agreement as typed, with one text of each list per limit. The lower
// limit may hold "± 2 %" for both.
type AgreementTexts struct {
	EditionID        domain.MethodEditionID `json:"method_edition_id" form:"method_edition_id"`
	OrderNumber      string                 `json:"order_number" form:"order_number"`
	Rule             string                 `json:"rule" form:"rule"`
	GuardFactor      string                 `json:"guard_factor" form:"guard_factor"`             // empty: 1, where the rule has one
	NoStatementRatio string                 `json:"no_statement_ratio" form:"no_statement_ratio"` // percent of the half-width; empty: not agreed
	OverallRule      string                 `json:"overall_rule" form:"overall_rule"`
	AdjustingAllowed bool                   `json:"adjusting_allowed" form:"adjusting_allowed"`
	IntervalMonths   string                 `json:"interval_months" form:"interval_months"`
	IntervalPrinted  bool                   `json:"interval_printed" form:"interval_printed"`
	PublicShows      string                 `json:"public_shows" form:"public_shows"`
	AgreedBy         string                 `json:"agreed_by" form:"agreed_by"`
	AgreedOn         string                 `json:"agreed_on" form:"agreed_on"`
	Consent          string                 `json:"consent" form:"consent"`
	Note             string                 `json:"note" form:"note"`
	Phase            []string               `json:"phase" form:"phase"`
	From             []string               `json:"from" form:"from"`
	To               []string               `json:"to" form:"to"`
	Kind             []string               `json:"kind" form:"kind"`
	Lower            []string               `json:"lower" form:"lower"`
	Upper            []string               `json:"upper" form:"upper"`
	Span             []string               `json:"span" form:"span"`
	Combine          []string               `json:"combine" form:"combine"` // empty: the limit has one term
	OtherKind        []string               `json:"other_kind" form:"other_kind"`
	Other            []string               `json:"other" form:"other"`
	OtherSpan        []string               `json:"other_span" form:"other_span"`
}

// Read puts what was typed into the agreement and returns every problem, keyed by field;
// those of limits as "limits[1].upper", counted from 0. Replaces must be set already:
// whether there is an earlier agreement is not known here.
func (a Agreement) Read(t AgreementTexts) (Agreement, error) {
	var check domain.Check
	a.EditionID, a.OrderNumber, a.AgreedBy, a.Note = t.EditionID, domain.Line(t.OrderNumber), domain.Line(t.AgreedBy), domain.Lines(t.Note)
	a.Rule, a.OverallRule, a.PublicShows = t.Rule, t.OverallRule, t.PublicShows
	a.AdjustingAllowed, a.IntervalPrinted = t.AdjustingAllowed, t.IntervalPrinted
	if !a.EditionID.Valid() {
		check.Add(domain.Required.At("method_edition_id"))
	}
	check.Line("order_number", a.OrderNumber, 60, true)
	check.Line("agreed_by", a.AgreedBy, 200, true)
	check.Lines("note", a.Note, 4000, false)
	domain.OneOf(&check, "rule", a.Rule, DecisionRules)
	domain.OneOf(&check, "overall_rule", a.OverallRule, OverallRules)
	domain.OneOf(&check, "public_shows", a.PublicShows, PublicShows)
	a.readNumbers(&check, t)
	a.AgreedOn = check.Day("agreed_on", t.AgreedOn, true)
	a.readConsent(&check, t.Consent)
	a.Limits = readLimits(&check, t)
	return a, check.Err()
}

func (a *Agreement) readNumbers(check *domain.Check, t AgreementTexts) {
	factor := check.Number("guard_factor", t.GuardFactor, domain.NotNegative)
	switch {
	case a.Rule == conformity.Simple.String():
		if factor != nil && *factor > 0 {
			check.Add(GuardUnused.At("guard_factor"))
		}
		a.GuardFactor = 0
	case factor == nil:
		a.GuardFactor = conformity.GuardFactorDefault
	default:
		a.GuardFactor = *factor
	}
	a.NoStatementRatio, _ = check.Measure("no_statement_ratio", t.NoStatementRatio, quantity.KindRatio, domain.Positive)
	a.IntervalMonths = check.Whole("interval_months", t.IntervalMonths, 1, MostMonths)
	if a.IntervalPrinted && domain.Line(t.IntervalMonths) == "" {
		check.Add(IntervalMissing.At("interval_months"))
	}
}

func (a *Agreement) readConsent(check *domain.Check, text string) {
	consent := domain.Lines(text)
	check.Lines("consent", consent, 1000, false)
	switch {
	case a.Replaces != nil && consent == "":
		check.Add(ConsentMissing.At("consent"))
	case a.Replaces == nil && consent != "":
		check.Add(ConsentUnused.At("consent"))
	}
	a.Consent = domain.OrNil(consent)
}
