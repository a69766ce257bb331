package logfile

import "rillmark/calc/fault"

// What is wrong with a file.
var (
	CodeEmpty       = fault.Define("logfile.empty")
	CodeNotText     = fault.Define("logfile.not-text")
	CodeLongLine    = fault.Define("logfile.long-line", fault.C("row"), fault.C("limit"))
	CodeManyColumns = fault.Define("logfile.many-columns", fault.C("columns"), fault.C("limit"))
	CodeTooLarge    = fault.Define("logfile.too-large", fault.C("limit_mib"))
	CodeSheet       = fault.Define("logfile.bad-sheet")
	CodeSheet1904   = fault.Define("logfile.sheet-1904")
	CodeNoTime      = fault.Define("logfile.no-time")
	CodeNoValue     = fault.Define("logfile.no-value")
	CodeNoRows      = fault.Define("logfile.no-rows", fault.C("rows"))
	CodeBadMap      = fault.Define("logfile.bad-map", fault.T("cause"))
	CodeMapColumn   = fault.Define("logfile.no-such-column", fault.T("column"), fault.T("columns"))
	CodeMapWord     = fault.Define("logfile.bad-word", fault.T("given"), fault.T("words"))
	CodeUnit        = fault.Define("logfile.bad-unit", fault.T("unit"))
	CodeZone        = fault.Define("logfile.bad-zone", fault.T("zone"))
	CodeUnreadable  = fault.Define("logfile.unreadable", fault.T("cause"))
)

// What is to be asked, because the file can be read in more than one way.
var (
	AskDateOrder = fault.Define("logfile.ask-date-order", fault.T("text"))
	AskDecimal   = fault.Define("logfile.ask-decimal-mark", fault.T("text"))
	AskValue     = fault.Define("logfile.ask-value-column", fault.T("columns"))
	AskTime      = fault.Define("logfile.ask-time-column", fault.T("columns"))
	AskUnit      = fault.Define("logfile.ask-unit", fault.T("column"))
	AskHour      = fault.Define("logfile.ask-hour", fault.T("text"), fault.T("zone"))
)

// Why a row was dropped.
var (
	DropFields     = fault.Define("logfile.drop-fields", fault.C("rows"))
	DropStamp      = fault.Define("logfile.drop-stamp", fault.C("rows"), fault.T("text"))
	DropNoSuchTime = fault.Define("logfile.drop-no-such-time", fault.C("rows"), fault.T("text"))
	DropBlank      = fault.Define("logfile.drop-blank", fault.C("rows"))
	DropWord       = fault.Define("logfile.drop-word", fault.C("rows"), fault.T("text"))
	DropStatus     = fault.Define("logfile.drop-status", fault.C("rows"), fault.T("text"))
	DropRepeated   = fault.Define("logfile.drop-repeated", fault.C("rows"))
	DropOrder      = fault.Define("logfile.drop-out-of-order", fault.C("rows"))
	DropCounter    = fault.Define("logfile.drop-counter-set-back", fault.C("rows"))
)
