package calcjson

import (
	"io"

	"rillmark/calc/fault"
)

// Refuse writes what is wrong as Run does, for a calculation that reads files rather than
// its standard input, and returns the exit code.
func Refuse(w io.Writer, err error, say func(fault.Fault) string) (exitCode int) {
	if write(w, []answer{refuse(err, say)}, false) != nil {
		return exitBroken
	}
	return exitBad
}

// Answer writes a result as Run does, and returns the exit code.
func Answer(w io.Writer, result any, say func(fault.Fault) string) (exitCode int) {
	text, err := encode(result)
	if err != nil {
		return Refuse(w, codeNotFinite.At(""), say)
	}
	if write(w, []answer{{text: text}}, false) != nil {
		return exitBroken
	}
	return exitDone
}
