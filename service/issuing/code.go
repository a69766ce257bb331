package issuing

import "rillmark/calc/fault"

// Codes of this package.
var (
	AlreadyCertified = fault.Define("issuing.already-certified", fault.T("number"))
	NotIssued        = fault.Define("issuing.not-issued", fault.T("state"))
	OtherTask        = fault.Define("issuing.other-task")
	TokenShort       = fault.Define("issuing.token-short")
	TokenWrong       = fault.Define("issuing.token-wrong")
	TokenUsed        = fault.Define("issuing.token-used", fault.T("number"))
	TokenExpired     = fault.Define("issuing.token-expired")
	KindUnknown      = fault.Define("issuing.kind-unknown")
	CodeUnknown      = fault.Define("issuing.code-unknown")
)
