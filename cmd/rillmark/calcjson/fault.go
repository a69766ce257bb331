package calcjson

import "rillmark/calc/fault"

// The codes of what is wrong with the input as such, before any calculation.
var (
	codeKindUnknown    = fault.Define("calcjson.kind-unknown", fault.T("kind"), fault.T("kinds"))
	codeUnreadable     = fault.Define("calcjson.unreadable", fault.T("cause"))
	codeEmpty          = fault.Define("calcjson.empty")
	codeTooLarge       = fault.Define("calcjson.too-large", fault.C("limit_bytes"))
	codeTooDeep        = fault.Define("calcjson.too-deep", fault.C("limit"))
	codeTooMany        = fault.Define("calcjson.too-many", fault.C("given"), fault.C("limit"))
	codeNotUTF8        = fault.Define("calcjson.not-utf8", fault.C("position"))
	codeSyntax         = fault.Define("calcjson.syntax", fault.C("position"))
	codeNotJSONNumber  = fault.Define("calcjson.not-json-number", fault.C("position"))
	codeTrailing       = fault.Define("calcjson.trailing-data", fault.C("position"))
	codeNotObject      = fault.Define("calcjson.not-object", fault.T("given"))
	codeFieldUnknown   = fault.Define("calcjson.field-unknown", fault.T("name"), fault.T("known"))
	codeFieldTwice     = fault.Define("calcjson.field-twice", fault.T("name"))
	codeFieldMissing   = fault.Define("calcjson.field-missing", fault.T("name"))
	codeFieldsTogether = fault.Define("calcjson.fields-together", fault.T("names"))
	codeWrongType      = fault.Define("calcjson.wrong-type", fault.T("wanted"), fault.T("given"))
	codeNumberRange    = fault.Define("calcjson.number-range", fault.T("number"))
	codeNotWhole       = fault.Define("calcjson.not-whole", fault.N("number"))
	codeUnknownWord    = fault.Define("calcjson.unknown-word", fault.T("word"), fault.T("known"))
	codeNotFinite      = fault.Define("calcjson.result-not-finite")
	codeInternal       = fault.Define("calcjson.internal", fault.T("cause"))
)
