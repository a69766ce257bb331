package registry

import "rillmark/calc/fault"

// MarkMalformed says that a list was asked to go on after something that is no place in it.
var MarkMalformed = fault.Define("registry.page-mark-malformed")
