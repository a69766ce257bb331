package certificate

import (
	"math"
	"math/big"
)

// The digits of the report.
const (
	uncertaintyDigits = 2 // ILAC-P14:09/2020, 5.3: U to at most two significant digits
	furtherDigits     = 6 // so many more are tried
)

// Report is a value and its expanded uncertainty as printed, in the unit of both times
// 10^Shift.
type Report struct {
	Value    string
	Expanded string
	Place    int // of the last digit of Value: −2 is hundredths
	shift    int
}

// Round prints a value with its expanded uncertainty: U to two significant digits, the
// value to the same place, both rounded once from what came in, halves away from zero.
// With two digits rounding lowers U by less than 5 %, so that it need not be rounded up
// (ILAC-P14:09/2020, 5.3; JCGM 100:2008, 7.2.6).
//
// shift moves the decimal point: 2 prints a relative value as percent. signed puts a plus
// before a value above zero. same says whether the printed numbers, in the unit of value,
// lead to the verdict that the numbers themselves have, with limits that are printed to
// the same place as the value; where they do not, one more digit is printed of the value,
// then of U, until they do. nil asks nothing. Where no further digits help, as for a value
// a billionth beside its limit, one more of each is printed: the document says that the
// decision was made on values that are not rounded.
//
// A U of zero, or none (NaN), gives three significant digits and no text for U.
func Round(value, expanded float64, shift int, signed bool, same func(Page) bool) Report {
	v := decimal(value, shift)
	if !(expanded > 0) || math.IsInf(expanded, 0) {
		place := -2
		if v.Sign() != 0 {
			place = sized(v, 3)
		}
		return Report{Value: printed(v, place, signed), Place: place, shift: shift}
	}
	u := decimal(expanded, shift)
	place := sized(u, uncertaintyDigits)
	for more := 0; more <= 2*furtherDigits; more++ {
		valuePlace, uPlace := place-(more+1)/2, place-more/2
		r := Report{printed(v, valuePlace, signed), printed(u, uPlace, false), valuePlace, shift}
		page := Page{report: r, finest: min(valuePlace, uPlace)}
		page.Value, page.Expanded = page.count(rounded(v, valuePlace)), page.count(rounded(u, uPlace))
		if same == nil || same(page) {
			return r
		}
	}
	return Report{printed(v, place-1, signed), printed(u, place-1, false), place - 1, shift}
}

// Page is what a reader has before him, counted in units of the last digit printed: whole
// numbers, so that comparing them has no rounding of its own.
type Page struct {
	Value, Expanded float64
	report          Report
	finest          int
}

func (p Page) count(r *big.Rat) float64 {
	f, _ := new(big.Rat).Quo(r, power(p.finest)).Float64()
	return f
}

// Whole returns another value, which is printed with all its digits, in the page's units.
func (p Page) Whole(x float64) float64 { return p.count(decimal(x, p.report.shift)) }

// Printed returns another value as printed to the place of Value, in the page's units.
func (p Page) Printed(x float64) float64 {
	return p.count(rounded(decimal(x, p.report.shift), p.report.Place))
}

// At prints another value to the same place as the reported one, as a limit beside it.
func (r Report) At(x float64, signed bool) string {
	return printed(decimal(x, r.shift), r.Place, signed)
}

// Significant prints x·10^shift to so many significant digits; 0 is "0".
func Significant(x float64, digits, shift int, signed bool) string {
	r := decimal(x, shift)
	if r.Sign() == 0 {
		return "0"
	}
	return printed(r, sized(r, digits), signed)
}

// Exact prints x·10^shift with the digits it has: what somebody agreed or entered.
func Exact(x float64, shift int, signed bool) string {
	r := decimal(x, shift)
	place := 0
	for place > -20 && rounded(r, place).Cmp(r) != 0 {
		place--
	}
	return printed(r, place, signed)
}
