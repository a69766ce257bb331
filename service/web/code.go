package web

import "rillmark/calc/fault"

// Codes of this package: what can be wrong with a request before a service sees it.
var (
	NoSuchPage     = fault.Define("web.no-such-page")
	MethodUnknown  = fault.Define("web.method-unknown", fault.T("method"))
	OtherOrigin    = fault.Define("web.other-origin")
	OtherHost      = fault.Define("web.other-host", fault.T("host"))
	BodyTooLarge   = fault.Define("web.body-too-large", fault.C("limit_kib"))
	BodyUnreadable = fault.Define("web.body-unreadable")
	NotJSON        = fault.Define("web.not-json")
	MediaUnknown   = fault.Define("web.media-unknown", fault.T("media_type"))
	FieldUnknown   = fault.Define("web.field-unknown", fault.T("field"))
	FieldTwice     = fault.Define("web.field-twice")
	FieldMalformed = fault.Define("web.field-malformed", fault.T("wanted"))
	TooManyAtOnce  = fault.Define("web.too-many-at-once")

	LogFileTooLarge = fault.Define("web.log-file-too-large", fault.C("limit_mib"))

	TooManyQuestions = fault.Define("web.too-many-questions")
	Broken           = fault.Define("web.internal", fault.T("request"))
)
