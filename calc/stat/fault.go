package stat

import "rillmark/calc/fault"

// The codes of this package. The fields are named as a program outside names them:
// "pairs", "pairs[2].reference", "averaging_s", "interval_s".
var (
	// CodeEmpty: a statistic of no readings was asked for.
	CodeEmpty = fault.Define("stat.empty")
	// CodeNotFinite: a reading or a time is NaN or infinite.
	CodeNotFinite = fault.Define("stat.not-finite")
	// CodeTooLarge: the readings are finite but a sum over them is not.
	CodeTooLarge = fault.Define("stat.too-large")
	// CodeReferenceZero: the mean of the reference is zero, so a ratio to it has no meaning.
	CodeReferenceZero = fault.Define("stat.reference-zero")
	// CodeNegativeTime: an averaging time or an interval below zero.
	CodeNegativeTime = fault.Define("stat.negative-time", fault.N("seconds"))
	// CodeIntervalMissing: an averaging time is stated but the interval between readings is not.
	CodeIntervalMissing = fault.Define("stat.interval-missing", fault.N("averaging_s"))
	// CodeNotEstimable: fewer than EffectiveMinimum effective readings, so a run tells
	// no type A uncertainty of its own.
	CodeNotEstimable = fault.Define("stat.not-estimable", fault.N("effective"), fault.C("readings"), fault.C("minimum"))
	// CodeNoScatter: every reading of the ratio is the same; the resolution speaks, not the scatter.
	CodeNoScatter = fault.Define("stat.no-scatter", fault.C("readings"))
	// CodeTooFew: fewer readings, or pairs, than the act needs.
	CodeTooFew = fault.Define("stat.too-few", fault.C("given"), fault.C("least"))
	// CodeSignificance: a significance that is not between 0 and 1.
	CodeSignificance = fault.Define("stat.significance", fault.N("significance"))
	// CodeLengthsDiffer: not as many y as x.
	CodeLengthsDiffer = fault.Define("stat.lengths-differ", fault.C("x"), fault.C("y"))
	// CodeOneAbscissa: no line, as every x is the same (or, through the origin, zero).
	CodeOneAbscissa = fault.Define("stat.one-abscissa")
)
