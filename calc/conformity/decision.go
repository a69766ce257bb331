// Package conformity decides whether a measured value meets its limits under a stated
// decision rule, and says how likely the value conforms and how likely the verdict is
// wrong.
//
// Not here: how the limits follow from the agreement (percent of reading or span, flow
// zones), whether the ground for a statement is there (valid kit, authorised person), and
// the overall verdict of several points. The package follows JCGM 106:2012 and
// ILAC-G8:09/2019.
package conformity

import (
	"math"

	"rillmark/calc/fault"
)

// GuardFactorDefault is the usual r of the guard band w = r·U (ILAC-G8:09/2019, 4.2.2 and
// Table 1: w = U, specific risk of a wrong pass below 2.5 %).
const GuardFactorDefault = 1

// Question is a measured value and what it is to be judged by.
type Question struct {
	Value               float64 // measured, in the unit of the limits, not rounded
	ExpandedUncertainty float64 // U in the same unit, not rounded; not negative
	CoverageFactor      float64 // k of U, positive
	Limits              Limits
	Rule                Rule
	// GuardFactor is r in w = r·U, not negative; GuardFactorDefault is usual. The simple
	// rule has no guard band and takes none.
	GuardFactor float64
	// NoStatementAbove is the largest U, in the unit of the limits, for which a statement
	// is agreed; at it there is still one. +Inf: none was agreed.
	NoStatementAbove float64
}

// Decision is the verdict and all that belongs beside it.
type Decision struct {
	Verdict    Verdict
	Reason     fault.Fault // why, as one of the Reason codes
	GuardBand  float64     // w, in the unit of the limits; 0 for the simple rule
	Acceptance Limits      // where the verdict is pass; Lower above Upper when it is empty
	// ProbabilityOfConformity is the probability that the true value is within the limits.
	ProbabilityOfConformity float64
	// SpecificRisk is the probability that this verdict is wrong: of a pass, conditional or
	// not, that the value does not conform; of a fail, conditional or not, that it does.
	// NaN where there is no statement to be wrong.
	SpecificRisk float64
	Warnings     fault.List
}

// Decide judges the value against its limits:
//
//	w = r·U (0 for the simple rule);  acceptance interval [T_L + w, T_U − w]
//	simple, guard band:  pass inside the acceptance interval, fail elsewhere
//	non-binary:          pass inside it; conditional pass up to the limit; conditional
//	                     fail beyond the limit by up to w; fail farther out
//	no statement:        U above what was agreed, or an empty acceptance interval
//
// All ends belong to the better side. Everything is compared as it comes in, not rounded;
// the limits as Limits says. A limit missing on one side makes the rule one-sided.
//
// Errors, all at once: a number that is not finite; U negative; k not positive; no limit;
// limits reversed or equal; an unknown rule; a negative guard factor or threshold.
// Warnings: U of zero; a guard factor given to the simple rule.
//
// Sources: ILAC-G8:09/2019, 4.2.1 to 4.2.3; JCGM 106:2012, 7 (probability of
// conformity), 8.2 (simple acceptance), 8.3 (guard bands), 9.3 (specific risk).
func Decide(q Question) (Decision, error) {
	if faults := q.validate(); len(faults) > 0 {
		return Decision{}, faults
	}
	d := Decision{SpecificRisk: math.NaN(), Warnings: q.warnings()}
	if q.Rule != Simple {
		d.GuardBand = q.GuardFactor * q.ExpandedUncertainty
	}
	d.Acceptance = q.Limits.moved(d.GuardBand)
	u := q.ExpandedUncertainty / q.CoverageFactor
	if !finite(d.GuardBand) || !finite(u) {
		return Decision{}, CodeNotFinite.At("expanded_uncertainty")
	}
	within, without := Probability(q.Value, u, q.Limits)
	d.ProbabilityOfConformity = within
	d.judge(q)
	switch {
	case d.Verdict.Conforms():
		d.SpecificRisk = without
	case d.Verdict != NoStatement:
		d.SpecificRisk = within
	}
	return d, nil
}

// judge sets verdict and reason.
func (d *Decision) judge(q Question) {
	u := q.ExpandedUncertainty
	switch w := d.GuardBand; {
	case u > q.NoStatementAbove:
		d.Verdict, d.Reason = NoStatement, ReasonTooUncertain.At("expanded_uncertainty", u, q.NoStatementAbove)
	case d.Acceptance.Lower > d.Acceptance.Upper:
		d.Verdict, d.Reason = NoStatement, ReasonNoAcceptance.At("expanded_uncertainty", w, q.Limits.Upper-q.Limits.Lower)
	case d.Acceptance.Contains(q.Value):
		d.Verdict, d.Reason = Pass, ReasonAccepted.At("value")
	case q.Rule == NonBinary && q.Limits.Contains(q.Value):
		d.Verdict, d.Reason = ConditionalPass, ReasonGuarded.At("value", w)
	case q.Rule == NonBinary && q.Limits.moved(-w).Contains(q.Value):
		d.Verdict, d.Reason = ConditionalFail, ReasonBeyond.At("value", w)
	case q.Limits.Contains(q.Value):
		d.Verdict, d.Reason = Fail, ReasonGuarded.At("value", w)
	default:
		d.Verdict, d.Reason = Fail, ReasonRejected.At("value")
	}
}

func (q Question) validate() fault.List {
	var faults fault.List
	add := func(f fault.Fault) { faults = append(faults, f) }
	if !finite(q.Value) {
		add(CodeNotFinite.At("value"))
	}
	switch u := q.ExpandedUncertainty; {
	case !finite(u):
		add(CodeNotFinite.At("expanded_uncertainty"))
	case u < 0:
		add(CodeNegativeUncertainty.At("expanded_uncertainty", u))
	}
	if !(q.CoverageFactor > 0) || !finite(q.CoverageFactor) {
		add(CodeCoverageFactor.At("coverage_factor", q.CoverageFactor))
	}
	faults = append(faults, q.Limits.validate()...)
	if !q.Rule.valid() {
		add(CodeRuleUnknown.At("rule", q.Rule.String(), Rules()))
	}
	switch r := q.GuardFactor; {
	case !finite(r):
		add(CodeNotFinite.At("guard_factor"))
	case r < 0:
		add(CodeNegativeGuard.At("guard_factor", r))
	}
	switch limit := q.NoStatementAbove; {
	case math.IsNaN(limit):
		add(CodeNotFinite.At("no_statement_above"))
	case limit < 0:
		add(CodeNegativeThreshold.At("no_statement_above", limit))
	}
	return faults
}

func (q Question) warnings() fault.List {
	var warnings fault.List
	if q.ExpandedUncertainty == 0 {
		warnings = append(warnings, CodeZeroUncertainty.At("expanded_uncertainty"))
	}
	if q.Rule == Simple && q.GuardFactor != 0 {
		warnings = append(warnings, CodeGuardUnused.At("guard_factor", q.GuardFactor))
	}
	return warnings
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
