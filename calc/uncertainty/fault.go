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
	// CodeFreedomForMonteCarlo: a t distribution without a standard deviation.
	CodeFreedomForMonteCarlo = fault.Define("uncertainty.freedom-for-monte-carlo", fault.T("name"), fault.N("value"))
	// CodeShape: a density's shape, or the mean of an exponential, outside its range.
	CodeShape = fault.Define("uncertainty.shape", fault.T("name"), fault.T("distribution"))
	// CodeCorrelatedDensity: a correlation of quantities that are not normal, for which
	// one number does not say how they go together.
	CodeCorrelatedDensity = fault.Define("uncertainty.correlated-density", fault.T("name"))
	// CodeDigits: the number of significant digits out of range.
	CodeDigits = fault.Define("uncertainty.digits", fault.C("given"), fault.C("least"), fault.C("most"))
	// CodeTolerance: a numerical tolerance that is negative or not finite.
	CodeTolerance = fault.Define("uncertainty.tolerance", fault.N("given"))
	// CodeTrials: the number of trials out of range.
	CodeTrials = fault.Define("uncertainty.trials", fault.C("given"), fault.C("least"), fault.C("most"))
	// CodeModelFailed: trials for which the model has no finite result.
	CodeModelFailed = fault.Define("uncertainty.model-failed", fault.C("failed"), fault.C("trials"))
	// CodeNotConverged: a warning; the results are less stable than was asked.
	CodeNotConverged = fault.Define("uncertainty.not-converged", fault.C("trials"), fault.N("precision"), fault.N("tolerance"))
)
