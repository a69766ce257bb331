package certificate

import (
	"fmt"
	"strconv"

	"rillmark/calc/fault"
)

// NotANumber says that a text is no certificate number.
var NotANumber = fault.Define("certificate.number-malformed", fault.T("text"))

// Number is a certificate's number: the Serial-th of the Year, in the company's time zone.
// The zero value is none.
type Number struct{ Year, Serial int }

// String returns the number as printed: year, hyphen and at least five digits, as in
// 2026-00412. The zero value gives an empty text.
func (n Number) String() string {
	if n == (Number{}) {
		return ""
	}
	return fmt.Sprintf("%04d-%05d", n.Year, n.Serial)
}

// Next returns the following number of the same year.
func (n Number) Next() Number { return Number{n.Year, n.Serial + 1} }

// ParseNumber reads a number as String prints it, and nothing else: one number has one
// text.
//
// Errors: NotANumber.
func ParseNumber(text string) (Number, error) {
	if len(text) < 10 || len(text) > 14 || text[4] != '-' {
		return Number{}, NotANumber.At("number", clip(text))
	}
	year, errYear := strconv.ParseUint(text[:4], 10, 32)
	serial, errSerial := strconv.ParseUint(text[5:], 10, 32)
	n := Number{int(year), int(serial)}
	if errYear != nil || errSerial != nil || serial == 0 || n.String() != text {
		return Number{}, NotANumber.At("number", clip(text))
	}
	return n, nil
}

// clip keeps a text from outside short enough for a sentence.
func clip(text string) string {
	const most = 40
	if runes := []rune(text); len(runes) > most {
		return string(runes[:most]) + "…"
	}
	return text
}
