package certificate

import (
	"math"
	"math/big"
	"strconv"
	"strings"
)

// Figure is a number as it stands on the page, beside the number it was rounded from.
type Figure struct {
	Printed string `json:"printed"`         // with a true minus sign, without the unit
	Unit    string `json:"unit,omitempty"`  // of Printed
	Value   string `json:"value,omitempty"` // shortest decimal that reads back as the same float64
	SI      string `json:"si,omitempty"`    // unit of Value; "1": relative
}

// Number returns the number that Value holds, and whether it holds one.
func (f Figure) Number() (float64, bool) {
	x, err := strconv.ParseFloat(f.Value, 64)
	return x, err == nil
}

// Text returns the number as printed, with its unit.
func (f Figure) Text() string {
	switch {
	case f.Unit == "":
		return f.Printed
	case f.Printed == "":
		return ""
	}
	return f.Printed + "\u00a0" + f.Unit
}

// Shortest returns the shortest decimal text that reads back as x, without an exponent.
func Shortest(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// decimal returns x·10^shift exactly as its shortest decimal reads: 0.027 with a shift of
// 2 is 2.7, not the float64 nearest to it.
func decimal(x float64, shift int) *big.Rat {
	r, _ := new(big.Rat).SetString(strconv.FormatFloat(x, 'e', -1, 64))
	return r.Mul(r, power(shift))
}

// power returns 10^n.
func power(n int) *big.Rat {
	size := n
	if size < 0 {
		size = -size
	}
	p := new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(size)), nil))
	if n < 0 {
		p.Inv(p)
	}
	return p
}

// rounded returns r at the place (−2: hundredths), halves away from zero.
func rounded(r *big.Rat, place int) *big.Rat {
	steps := new(big.Rat).Quo(r, power(place))
	half := big.NewRat(1, 2)
	if steps.Sign() < 0 {
		half.Neg(half)
	}
	steps.Add(steps, half)
	whole := new(big.Int).Quo(steps.Num(), steps.Denom())
	return new(big.Rat).Mul(new(big.Rat).SetInt(whole), power(place))
}

// sized returns the place of the last of so many significant digits of r, which is not 0.
// A number that rounding carries into one more digit loses it again: 0.0996 has its second
// digit in the hundredths, 0.10.
func sized(r *big.Rat, digits int) int {
	f, _ := new(big.Rat).Abs(r).Float64()
	place := int(math.Floor(math.Log10(f))) - digits + 1
	for place > -300 && new(big.Rat).Abs(r).Cmp(power(place+digits-1)) < 0 {
		place-- // log10 of a number just below a power of ten may come out as that power
	}
	if new(big.Rat).Abs(rounded(r, place)).Cmp(power(place+digits)) >= 0 {
		place++
	}
	return place
}

// printed writes r at the place, with a true minus sign and, where signed, a plus.
func printed(r *big.Rat, place int, signed bool) string {
	r = rounded(r, place)
	text := strings.Replace(r.FloatString(max(-place, 0)), "-", "−", 1)
	if signed && r.Sign() > 0 {
		text = "+" + text
	}
	return text
}

// ratOf reads a printed number.
func ratOf(text string) (*big.Rat, bool) {
	return new(big.Rat).SetString(strings.NewReplacer("−", "-", "+", "").Replace(text))
}
