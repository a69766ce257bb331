package domain

import "rillmark/calc/fault"

// Codes that no single thing owns.
var (
	NoSuchThing     = fault.Define("domain.not-found", fault.T("kind"))
	ChangedSince    = fault.Define("domain.changed-since", fault.T("kind"))
	NotAllowed      = fault.Define("domain.not-allowed")
	NotLoggedIn     = fault.Define("domain.not-logged-in")
	OperationReused = fault.Define("domain.operation-reused")
	TryAgain        = fault.Define("domain.try-again")
	DiskFull        = fault.Define("domain.disk-full")
	DatabaseAway    = fault.Define("domain.database-away")
	Required        = fault.Define("text.required")
	TooLong         = fault.Define("text.too-long", fault.C("limit"), fault.C("length"))
	NotPrintable    = fault.Define("text.not-printable", fault.T("character"))
	ControlChar     = fault.Define("text.control-character", fault.T("character"))
	NotUTF8         = fault.Define("text.not-utf8")
)
