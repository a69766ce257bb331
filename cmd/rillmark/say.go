package main

import (
	"fmt"
	"strings"

	"rillmark/calc/fault"
	"rillmark/service/sentence"
	"rillmark/templates"
)

// words opens the catalogue of sentences; it is embedded, so failing is a fault of the build.
func words() (*sentence.Book, error) { return sentence.Open(templates.Files, "en") }

// sayer returns what gives a fault its sentence. A catalogue with a gap must not hide what
// is wrong: the code and its arguments stand in then.
func sayer() func(fault.Fault) string {
	book, err := words()
	if err != nil {
		return func(f fault.Fault) string { return f.Error() }
	}
	return func(f fault.Fault) string {
		whole := true
		book.OnMissing(func(string, error) { whole = false })
		if text := book.Fault(f); whole {
			return text
		}
		return f.Error()
	}
}

// complain writes what is wrong: the sentences of an error's faults, and below them what
// the machine said, where it said more.
func (p *program) complain(err error) {
	faults := fault.AllOf(err)
	if len(faults) == 0 {
		fmt.Fprintln(p.err, "rillmark:", err)
		return
	}
	say, known := sayer(), []string{}
	for _, f := range faults {
		fmt.Fprintln(p.err, "rillmark:", say(f))
		known = append(known, f.Error())
	}
	if detail := detailOf(err, known); detail != "" {
		fmt.Fprintln(p.err, "detail:", strings.ReplaceAll(detail, "\n", "\n        "))
	}
}

// detailOf is the error's text without the parts that the sentences have said.
func detailOf(err error, said []string) string {
	text := err.Error()
	for _, s := range append(said, errUsage.Error()) {
		text = strings.ReplaceAll(text, s, "")
	}
	if strings.Trim(text, ": ;\n") == "" {
		return ""
	}
	return strings.Trim(text, ": ;\n")
}
