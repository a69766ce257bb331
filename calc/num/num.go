// Package num holds the numerical tools the calculations share: bracketed root
// finding and the scan for every root of an interval, tables with linear or
// shape-preserving interpolation, sensitivities of a model of named inputs, and the
// normal and Student t distributions.
//
// Not here: physics, statistics of readings (package stat) and the propagation of
// uncertainty (package uncertainty). Nothing here extrapolates: outside a bracket or a
// table is an error, and so is a search that does not converge. The package follows no
// standard; each function names the method it uses.
package num

import (
	"math"

	"rillmark/calc/fault"
)

// The codes of this package. A field names the argument of the function that refused.
var (
	// NotFinite: a number given to, or computed inside, a numerical method is not finite.
	NotFinite = fault.Define("num.not-finite", fault.N("at"))
	// BadInterval: the lower end of an interval is not below the upper one.
	BadInterval = fault.Define("num.bad-interval", fault.N("lower"), fault.N("upper"))
	// NotBracketed: the function has the same sign at both ends of the interval.
	NotBracketed = fault.Define("num.not-bracketed", fault.N("lower"), fault.N("upper"))
	// NotConverged: the limit of iterations was reached before the tolerance.
	NotConverged = fault.Define("num.not-converged", fault.C("iterations"), fault.N("tolerance"))
	// BadCount: a number of cells or iterations is too small or too large.
	BadCount = fault.Define("num.bad-count", fault.C("given"), fault.C("least"), fault.C("most"))
	// LengthsDiffer: two lists that belong together have different lengths.
	LengthsDiffer = fault.Define("num.lengths-differ", fault.C("first"), fault.C("second"))
	// TooFewPoints: a table has fewer points than it needs.
	TooFewPoints = fault.Define("num.too-few-points", fault.C("given"), fault.C("least"))
	// NotIncreasing: a table's abscissae do not increase strictly at a row (from 1).
	NotIncreasing = fault.Define("num.not-increasing", fault.C("row"), fault.N("value"))
	// OutsideTable: a value is asked for outside the table.
	OutsideTable = fault.Define("num.outside-table", fault.N("value"), fault.N("lower"), fault.N("upper"))
	// BadStep: the typical size of an input is not a positive number.
	BadStep = fault.Define("num.bad-step", fault.T("input"), fault.N("step"))
	// NoSensitivity: the model has no trustworthy derivative with respect to an input.
	NoSensitivity = fault.Define("num.no-sensitivity", fault.T("input"))
	// BadProbability: a probability is not between 0 and 1.
	BadProbability = fault.Define("num.bad-probability", fault.N("probability"))
	// BadFreedom: degrees of freedom are not a positive number.
	BadFreedom = fault.Define("num.bad-degrees-of-freedom", fault.N("degrees_of_freedom"))
)

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
