package tracing

import "rillmark/calc/fault"

// Codes of this package: why a command or a query is refused.
var (
	FileEmpty      = fault.Define("tracing.file-empty")
	FileTooLarge   = fault.Define("tracing.file-too-large", fault.C("limit_mib"))
	FileMissing    = fault.Define("tracing.file-missing")
	UnknownRole    = fault.Define("tracing.unknown-role")
	NotItsMeter    = fault.Define("tracing.indication-of-another-meter")
	NotAReference  = fault.Define("tracing.not-a-reference")
	NotAMeter      = fault.Define("tracing.not-a-meter")
	OtherTask      = fault.Define("tracing.of-another-task")
	OtherReference = fault.Define("tracing.of-another-reference")
	TooManyPoints  = fault.Define("tracing.too-many-points", fault.C("points"), fault.C("limit"))
	NoPoints       = fault.Define("tracing.no-points-between")
	UnknownHow     = fault.Define("tracing.unknown-way-of-aligning")
	NotASecond     = fault.Define("tracing.not-seconds", fault.T("text"))
	NotATime       = fault.Define("tracing.not-a-time", fault.T("text"))
	NotBetween     = fault.Define("tracing.stretch-outside", fault.T("from"), fault.T("to"))
)

// What a person should look at beside a stretch.
var (
	NotInVisit = fault.Define("tracing.outside-visit", fault.T("from"), fault.T("to"))
	NoLag      = fault.Define("tracing.stretch-without-lag")
	Overlaps   = fault.Define("tracing.stretch-overlaps-run", fault.C("run"))
)
