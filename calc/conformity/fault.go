package conformity

import "rillmark/calc/fault"

// The codes of what is wrong with the question. The fields are named as a program
// outside names them: "value", "expanded_uncertainty", "lower_limit", and so on.
var (
	// CodeNotFinite: a number is NaN or infinite.
	CodeNotFinite = fault.Define("conformity.not-finite")
	// CodeNegativeUncertainty: an expanded uncertainty below zero.
	CodeNegativeUncertainty = fault.Define("conformity.negative-uncertainty", fault.N("expanded_uncertainty"))
	// CodeCoverageFactor: a coverage factor that is not positive.
	CodeCoverageFactor = fault.Define("conformity.coverage-factor", fault.N("coverage_factor"))
	// CodeNoLimit: neither a lower nor an upper limit.
	CodeNoLimit = fault.Define("conformity.no-limit")
	// CodeLimitsReversed: the lower limit is not below the upper.
	CodeLimitsReversed = fault.Define("conformity.limits-reversed", fault.N("lower"), fault.N("upper"))
	// CodeRuleUnknown: a decision rule that is not one of the three.
	CodeRuleUnknown = fault.Define("conformity.rule-unknown", fault.T("given"), fault.T("known"))
	// CodeNegativeGuard: a guard factor below zero, which would accept beyond the limits.
	CodeNegativeGuard = fault.Define("conformity.negative-guard-factor", fault.N("guard_factor"))
	// CodeNegativeThreshold: a threshold of "no statement above" below zero.
	CodeNegativeThreshold = fault.Define("conformity.negative-threshold", fault.N("no_statement_above"))
	// CodeNotPositive: a flow, a span or a second term that is not above zero.
	CodeNotPositive = fault.Define("conformity.not-positive", fault.N("given"))
	// CodePart: a limit that is a part of nothing known.
	CodePart = fault.Define("conformity.part-unknown", fault.T("given"), fault.T("known"))
	// CodeSpanUnused: a span with a limit that is no part of one.
	CodeSpanUnused = fault.Define("conformity.span-unused")
	// CodeCombination: a second term without a combination that is known.
	CodeCombination = fault.Define("conformity.combination-unknown", fault.T("given"), fault.T("known"))
	// CodeSamePart: both terms are parts of the same.
	CodeSamePart = fault.Define("conformity.same-part")
	// CodeZeroUncertainty: a warning; no measurement has an uncertainty of zero.
	CodeZeroUncertainty = fault.Define("conformity.zero-uncertainty")
	// CodeGuardUnused: a warning; the simple rule has no guard band.
	CodeGuardUnused = fault.Define("conformity.guard-factor-unused", fault.N("guard_factor"))
)

// The codes of why a verdict is what it is.
var (
	// ReasonAccepted: inside the acceptance limits.
	ReasonAccepted = fault.Define("conformity.accepted")
	// ReasonRejected: beyond a limit, and where the rule has a guard band also beyond it.
	ReasonRejected = fault.Define("conformity.rejected")
	// ReasonGuarded: within the limits but inside the guard band, which the binary rule
	// rejects and the non-binary one passes conditionally.
	ReasonGuarded = fault.Define("conformity.guarded", fault.N("guard_band"))
	// ReasonBeyond: beyond a limit, but by no more than the guard band (non-binary).
	ReasonBeyond = fault.Define("conformity.beyond-within-guard-band", fault.N("guard_band"))
	// ReasonTooUncertain: the expanded uncertainty is above what was agreed.
	ReasonTooUncertain = fault.Define("conformity.too-uncertain", fault.N("expanded_uncertainty"), fault.N("no_statement_above"))
	// ReasonNoAcceptance: the guard bands leave no acceptance interval.
	ReasonNoAcceptance = fault.Define("conformity.no-acceptance-interval", fault.N("guard_band"), fault.N("tolerance"))
)
