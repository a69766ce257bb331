package kit

import "rillmark/calc/fault"

// Codes of this package.
var (
	TagTaken        = fault.Define("kit.tag-taken")
	NotOfKind       = fault.Define("kit.not-of-this-kind")
	ServiceHalf     = fault.Define("kit.out-of-service-half-told")
	NotCalibrated   = fault.Define("kit.calibrated-with-its-reference")
	PairKind        = fault.Define("kit.no-transducer-pair")
	CableKind       = fault.Define("kit.no-cable")
	PairUnused      = fault.Define("kit.pair-unused")
	NoPoints        = fault.Define("kit.no-calibration-points")
	TooManyPoints   = fault.Define("kit.too-many-points", fault.C("most"))
	PointTwice      = fault.Define("kit.point-twice", fault.C("row"))
	FactorBelowOne  = fault.Define("kit.coverage-factor-below-one")
	RangeReversed   = fault.Define("kit.range-reversed")
	RangeHalf       = fault.Define("kit.range-half-open")
	BeyondPoints    = fault.Define("kit.range-beyond-points")
	TraversesAbsent = fault.Define("kit.no-traverses")
	SetNameTaken    = fault.Define("kit.set-name-taken")
	InOtherSet      = fault.Define("kit.in-other-set", fault.T("item"), fault.T("set"))
	InSomeOtherSet  = fault.Define("kit.in-some-other-set")

	OutOfService   = fault.Define("kit.out-of-service", fault.T("item"), fault.T("since"), fault.T("why"))
	NoPair         = fault.Define("kit.reference-without-pair", fault.T("item"))
	NotAsSet       = fault.Define("kit.not-calibrated-as-set", fault.T("item"), fault.T("with"))
	NoneOnRecord   = fault.Define("kit.no-calibration-on-record", fault.T("item"))
	Lapsed         = fault.Define("kit.calibration-lapses", fault.T("item"), fault.T("last"))
	NotYetValid    = fault.Define("kit.calibration-begins-later", fault.T("item"), fault.T("first"))
	GapInTheMiddle = fault.Define("kit.calibration-does-not-cover", fault.T("item"))
)
