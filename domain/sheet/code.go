package sheet

import (
	"rillmark/calc/fault"
	"rillmark/domain"
)

// The codes of what is wrong with a row.
var (
	UnknownName      = fault.Define("sheet.unknown-name", fault.T("name"))
	UnknownSource    = fault.Define("sheet.unknown-source", fault.T("source"))
	UnknownChoice    = fault.Define("sheet.unknown-choice", fault.T("choice"))
	UnknownPhase     = fault.Define("sheet.unknown-phase", fault.T("phase"))
	NumberOfText     = fault.Define("sheet.number-of-text", fault.T("name"))
	NotFinite        = fault.Define("sheet.not-finite")
	OutOfRange       = fault.Define("sheet.out-of-range", fault.T("entered"))
	NotPositive      = fault.Define("sheet.not-positive")
	Negative         = fault.Define("sheet.negative")
	CountRange       = fault.Define("sheet.count-range", fault.C("given"), fault.C("least"), fault.C("most"))
	TransitBoth      = fault.Define("sheet.transit-both")
	IndicationTwice  = fault.Define("sheet.indication-twice")
	InstrumentUnused = fault.Define("sheet.instrument-unused")
)

// countMost bounds the numbers that rows carry.
const countMost = 100_000

func atLeastOne(check *domain.Check, field string, n int) { between(check, field, n, 1, countMost) }

func between(check *domain.Check, field string, n, least, most int) {
	if n < least || n > most {
		check.Add(CountRange.At(field, n, least, most))
	}
}

func phase(check *domain.Check, field string, p Phase) {
	if !p.Known() {
		check.Add(UnknownPhase.At(field, string(p)))
	}
}

func required(check *domain.Check, field string, x *float64) {
	if x == nil {
		check.Add(domain.Required.At(field))
	}
}

// number, positive and notNegative accept a number that is not there.
func number(check *domain.Check, field string, x *float64) bool {
	if x != nil && !finite(*x) {
		check.Add(NotFinite.At(field))
		return false
	}
	return x != nil
}

func positive(check *domain.Check, field string, x *float64) {
	if number(check, field, x) && *x <= 0 {
		check.Add(NotPositive.At(field))
	}
}

func notNegative(check *domain.Check, field string, x *float64) {
	if number(check, field, x) && *x < 0 {
		check.Add(Negative.At(field))
	}
}
