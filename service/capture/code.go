package capture

import "rillmark/calc/fault"

// Codes of this package: why a capture is refused.
var (
	NotOfCrew        = fault.Define("capture.not-of-crew")
	AlreadyCorrected = fault.Define("capture.already-corrected")
	PlanFixed        = fault.Define("capture.plan-fixed", fault.T("phase"))
	NoPlan           = fault.Define("capture.no-plan", fault.T("phase"))
	NoReading        = fault.Define("capture.no-reading")
	IntervalLong     = fault.Define("capture.interval-longer-than-run")
	NotWhole         = fault.Define("capture.not-whole", fault.T("text"))
	NothingShown     = fault.Define("capture.nothing-shown")
	SignalUnscaled   = fault.Define("capture.signal-unscaled", fault.T("indication"))
	WrongInstrument  = fault.Define("capture.wrong-instrument", fault.T("tag"), fault.T("kind"))
	WrongKit         = fault.Define("capture.wrong-kit", fault.T("tag"), fault.T("kind"), fault.T("asked"))
	FlowPointBeyond  = fault.Define("capture.flow-point-beyond", fault.C("given"), fault.C("planned"))
	NothingMeasured  = fault.Define("capture.nothing-measured")
	ListsDiffer      = fault.Define("capture.lists-differ", fault.C("readings"), fault.C("shown"))
)

// Doubts: what a person should look at beside a value. The field is the value's name.
var (
	OnFileOther     = fault.Define("capture.on-file-other", fault.T("text"))
	WallOutside     = fault.Define("capture.wall-outside-tolerance", fault.N("wall_mm"), fault.N("table_mm"), fault.N("least_mm"))
	WallThick       = fault.Define("capture.wall-thicker-than-standard", fault.N("wall_mm"), fault.N("table_mm"))
	WallScatters    = fault.Define("capture.wall-scatters", fault.N("least_mm"), fault.N("most_mm"))
	WallFew         = fault.Define("capture.wall-few", fault.C("readings"))
	WallTooThin     = fault.Define("capture.wall-below-minimum", fault.N("wall_mm"), fault.N("minimum_mm"))
	LiningAsked     = fault.Define("capture.lining-asked")
	Oval            = fault.Define("capture.pipe-oval", fault.N("difference_mm"), fault.N("percent"))
	MaterialUnknown = fault.Define("capture.material-unknown", fault.T("material"))
	LinerUnknown    = fault.Define("capture.liner-speed-missing")
	FluidElsewhere  = fault.Define("capture.fluid-without-properties", fault.T("fluid"), fault.T("known"))
	PressureAssumed = fault.Define("capture.pressure-assumed", fault.N("bar"))
	NotFull         = fault.Define("capture.pipe-not-full")
	FlowBetween     = fault.Define("capture.flow-between")
	StraightShort   = fault.Define("capture.straight-length-short", fault.N("given_d"), fault.N("asked_d"), fault.T("disturbance"))
	SpacingFar      = fault.Define("capture.spacing-far", fault.N("distance_mm"), fault.N("limit_mm"), fault.N("flow_percent"))
	SpacingGood     = fault.Define("capture.spacing-good", fault.N("distance_mm"), fault.N("flow_percent"))
	SpacingTold     = fault.Define("capture.spacing-told", fault.N("distance_mm"))
)

// What lapses is named before anything is typed; it stops no capture.
var (
	KitLapsed     = fault.Define("capture.kit-lapsed", fault.T("kit"), fault.T("certificate"), fault.T("valid_to"))
	KitUnknown    = fault.Define("capture.kit-without-calibration", fault.T("kit"))
	KitWithdrawn  = fault.Define("capture.kit-out-of-service", fault.T("kit"), fault.T("reason"))
	SetUnknown    = fault.Define("capture.set-without-calibration", fault.T("reference"), fault.T("pair"))
	SetLapsed     = fault.Define("capture.set-lapsed", fault.T("reference"), fault.T("pair"), fault.T("certificate"), fault.T("valid_to"))
	NotAuthorised = fault.Define("capture.not-authorised", fault.T("method"))
)
