package certificate

import (
	"math"
	"math/big"
)

// The digits of the report.
const (
	uncertaintyDigits = 2 // ILAC-P14:09/2020, 5.3: U to at most two significant digits
	furtherDigits     = 6 // so many more are tried before the verdict's ground is printed whole
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
// then of U, until they do. nil asks nothing.
//
// A U of zero, or none (NaN), gives three significant digits and no text for U.
func Round(value, expanded float64, shift int, signed bool, same func(value, expanded float64, r Report) bool) Report {
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
		if same == nil || same(back(v, valuePlace, shift), back(u, uPlace, shift), r) {
			return r
		}
	}
	return Report{printed(v, place-furtherDigits, signed), printed(u, place-furtherDigits, false), place - furtherDigits, shift}
}

// back returns the number that a reader takes from the page.
func back(r *big.Rat, place, shift int) float64 {
	f, _ := new(big.Rat).Mul(rounded(r, place), power(-shift)).Float64()
	return f
}

// Read returns what a reader takes from another value printed to the same place.
func (r Report) Read(x float64) float64 { return back(decimal(x, r.shift), r.Place, r.shift) }

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
