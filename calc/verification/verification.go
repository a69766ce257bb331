// Package verification is the numeric model of a comparison of a meter with a reference
// clamped to the same pipe: the reference corrected by its calibration and by what is now
// known of the pipe, the error of runs and flow points, and the uncertainty of each and of
// any combination of them, with what they share fully correlated.
//
// Everything that makes a result uncertain is a Part: a signed contribution under a name
// and a scope. Two results that hold a part of one name and scope were made wrong by it
// together, so the parts are added with their signs before they are squared; parts of
// different scopes are independent.
//
// Not here: where the numbers come from (the work sheet, the method's template), which
// grounds a statement needs, and the decision (package conformity). The package follows
// JCGM 100:2008.
package verification

import "rillmark/calc/fault"

// Edition names this edition of the calculations in every result. It is raised whenever
// a number that a task's facts lead to could come out differently.
const Edition = "2026.1"

// The codes of this package.
var (
	// OutsideCalibration: the calibration has no points around the velocity.
	OutsideCalibration = fault.Define("verification.outside-calibration", fault.N("velocity"), fault.N("lower"), fault.N("upper"))
	// CalibrationPoints: a calibration has too few points to read between.
	CalibrationPoints = fault.Define("verification.calibration-points", fault.C("points"), fault.C("least"))
	// ReferenceZero: the reference's mean flow is zero, so an error relative to it has no meaning.
	ReferenceZero = fault.Define("verification.reference-zero")
	// ErrorTotal: an error of −100 % or less, which no factor takes away.
	ErrorTotal = fault.Define("verification.error-total", fault.N("error_percent"))
	// NotFinite: a number is NaN or infinite.
	NotFinite = fault.Define("verification.not-finite")
	// NoRuns: a flow point without a run.
	NoRuns = fault.Define("verification.no-runs")
	// NoSuchInput: an input acts on nothing that the model has.
	NoSuchInput = fault.Define("verification.no-such-input", fault.T("acts_on"))
)
