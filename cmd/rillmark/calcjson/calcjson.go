// Package calcjson is the calculations as a program outside asks for them: a JSON object,
// or a list of them, in; a JSON object, or a list of the same length, out. One file per
// kind of calculation binds its fields to package calc; nothing is computed here.
//
// Not here: the command line, the sentences (the caller's say gives them), and the
// calculations. Field names carry the unit: SI, except names ending in _C, _deg and
// _percent. JSON is as in RFC 8259, held strictly: unknown and repeated names, anything
// after the value, and numbers that no float64 holds are refused.
package calcjson

import (
	"io"
	"slices"
	"strings"

	"rillmark/calc/fault"
)

// The exit codes of Run.
const (
	exitDone   = 0
	exitBroken = 1 // the result could not be written
	exitBad    = 2 // the input was refused
)

// a calculation answers one object: it reads its fields and returns a value to be
// written as JSON, or an error that holds faults.
type calculation func(o *object, say func(fault.Fault) string) (any, error)

var calculations = map[string]calculation{
	"adjustment":        adjustment,
	"budget":            budget,
	"decision":          decision,
	"drift":             driftOf,
	"error":             errorOfRun,
	"fluid":             fluidAt,
	"fluid-temperature": fluidTemperature,
	"loop-check":        loopCheck,
	"montecarlo":        monteCarlo,
	"pipe":              pipeOf,
	"pipe-search":       pipeSearch,
	"profile":           profileOf,
	"quantity":          quantityOf,
	"series":            seriesOf,
	"setup-check":       setupCheck,
	"solid":             solidOf,
	"spacing":           spacing,
	"total":             totalOf,
	"verification":      verification,
}

// Kinds returns the names of the kinds of calculation, sorted.
func Kinds() []string {
	names := make([]string, 0, len(calculations))
	for name := range calculations {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

// Run answers one kind of calculation. It reads a JSON object, or a list of objects, from
// stdin and writes the result, or a list of results of the same length, to stdout. What is
// wrong is said in the result's place, in the words of say:
//
//	{"error":{"field":…,"code":…,"message":…},"also":[…]}
//
// "also" holds further problems of the same object, where there are any. The exit code is
// 0; 2 when the input as a whole, or a single object, was refused (an object refused in a
// list is told in its place alone); 1 when stdout could not be written.
func Run(kind string, stdin io.Reader, stdout io.Writer, say func(fault.Fault) string) (exitCode int) {
	answers, list, err := answerAll(kind, stdin, say)
	if err != nil {
		answers, list = []answer{refuse(err, say)}, false
	}
	if err := write(stdout, answers, list); err != nil {
		return exitBroken
	}
	if !list && answers[0].refused {
		return exitBad
	}
	return exitDone
}

// answerAll returns one answer per object, and whether they came in a list.
func answerAll(kind string, stdin io.Reader, say func(fault.Fault) string) (answers []answer, list bool, err error) {
	calculate, known := calculations[kind]
	if !known {
		return nil, false, codeKindUnknown.At("", abbreviate(kind), strings.Join(Kinds(), ", "))
	}
	input, err := read(stdin)
	if err != nil {
		return nil, false, err
	}
	if input.shape != isList {
		return []answer{answerOne(calculate, input, say)}, false, nil
	}
	if len(input.list) > maxElements {
		return nil, false, codeTooMany.At("", len(input.list), maxElements)
	}
	answers = make([]answer, len(input.list))
	for i, item := range input.list {
		answers[i] = answerOne(calculate, item, say)
	}
	return answers, true, nil
}

// answerOne answers one object with a result or a refusal.
func answerOne(calculate calculation, input node, say func(fault.Fault) string) answer {
	if input.shape != isObject {
		return refuse(codeNotObject.At("", string(input.shape)), say)
	}
	result, err := calculate(newObject(input), say)
	if err != nil {
		return refuse(err, say)
	}
	text, err := encode(result)
	if err != nil {
		return refuse(codeNotFinite.At(""), say)
	}
	return answer{text: text}
}
