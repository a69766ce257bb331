package uncertainty

import "rillmark/calc/fault"

// The codes of this package. The fields are named as a program outside names them:
// "components", "components[0].value", "correlations[1].r", "coverage".
var (
	// CodeEmpty: a budget without components.
	CodeEmpty = fault.Define("uncertainty.empty")
	// CodeNameMissing: a component without a name.
	CodeNameMissing = fault.Define("uncertainty.name-missing")
	// CodeNameTaken: two components of one name, which a correlation could not tell apart.
	CodeNameTaken = fault.Define("uncertainty.name-taken", fault.T("name"))
	// CodeNotFinite: a number is NaN or infinite.
	CodeNotFinite = fault.Define("uncertainty.not-finite", fault.T("name"))
	// CodeNegative: an uncertainty or half-width below zero.
	CodeNegative = fault.Define("uncertainty.negative", fault.T("name"), fault.N("value"))
	// CodeDistributionUnknown: a distribution that is not one of the five.
	CodeDistributionUnknown = fault.Define("uncertainty.distribution-unknown", fault.T("given"), fault.T("known"))
	// CodeCoverageFactorMissing: a normal component, whose value is an expanded
	// uncertainty, without a positive coverage factor.
	CodeCoverageFactorMissing = fault.Define("uncertainty.coverage-factor-missing", fault.T("name"))
	// CodeCoverageFactorUnused: a warning; k is given for a component that takes none.
	CodeCoverageFactorUnused = fault.Define("uncertainty.coverage-factor-unused", fault.T("name"), fault.T("distribution"), fault.N("k"))
	// CodeFreedomTooSmall: degrees of freedom below 1.
	CodeFreedomTooSmall = fault.Define("uncertainty.degrees-of-freedom-too-small", fault.T("name"), fault.N("value"))
	// CodeCorrelationUnknown: a correlation names a component that is not in the budget.
	CodeCorrelationUnknown = fault.Define("uncertainty.correlation-unknown", fault.T("name"))
	// CodeCorrelationSelf: a correlation of a component with itself.
	CodeCorrelationSelf = fault.Define("uncertainty.correlation-self", fault.T("name"))
	// CodeCorrelationTwice: a pair of components is given more than one correlation.
	CodeCorrelationTwice = fault.Define("uncertainty.correlation-twice", fault.T("a"), fault.T("b"))
	// CodeCorrelationRange: a correlation coefficient outside −1 to 1.
	CodeCorrelationRange = fault.Define("uncertainty.correlation-range", fault.N("r"))
	// CodeCorrelationImpossible: coefficients that no set of quantities can have together.
	CodeCorrelationImpossible = fault.Define("uncertainty.correlation-impossible", fault.T("names"))
	// CodeCoverageRange: a coverage probability outside CoverageLeast ≤ p < 1.
	CodeCoverageRange = fault.Define("uncertainty.coverage-range", fault.N("coverage"), fault.N("least"))
	// CodeTooLarge: finite components whose combination is not finite.
	CodeTooLarge = fault.Define("uncertainty.too-large")
	// CodeZero: a warning; no component contributes anything.
	CodeZero = fault.Define("uncertainty.zero")
)
