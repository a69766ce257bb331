package evaluation

import "rillmark/calc/fault"

// UnknownFinding stands for a code that this program does not know.
var UnknownFinding = fault.Define("evaluation.unknown-finding", fault.T("code"))
