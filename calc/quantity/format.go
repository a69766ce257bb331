package quantity

import (
	"math/big"
	"strconv"
	"strings"
)

// The bounds of a resolution, and the digits a printed value may have: no more than a
// float64 tells apart.
const (
	leastResolution = 1e-30
	mostResolution  = 1e30
	mostSteps       = 1 << 53
)

// Format prints a value of the kind, given in its SI unit, as the nearest multiple of
// the resolution in the unit named, with that unit: Format(0.1683, KindLength, "mm",
// 0.1, Options{}) is "168.3 mm". The number has a decimal point, no thousands mark and
// as many decimals as the resolution; halves go away from zero (ISO 80000-1:2009, annex
// B, rule B, from memory). What is printed can be read again by Parse: |Parse(Format(x,
// r)) − x| ≤ r/2 up to the rounding of a float64.
//
// The unit is any text Parse takes for the kind. A pressure is printed with "gauge" or
// "absolute": as the unit says, or else as the options say. The resolution is in that
// unit, from 1e-30 to 1e30.
//
// Errors: UnknownKind, UnknownReference, UnknownOption, BadAtmosphere, NotFinite,
// BelowAbsoluteZero, BelowVacuum, BadResolution, TooFine, NoUnit, UnknownUnit,
// AmbiguousGallon.
func Format(si float64, k Kind, unitText string, resolution float64, o Options) (string, error) {
	if err := o.check(k); err != nil {
		return "", err
	}
	if err := valid(k, si); err != nil {
		return "", err
	}
	if !(resolution >= leastResolution && resolution <= mostResolution) {
		return "", BadResolution.At("resolution", resolution)
	}
	bare, suffix, zero := plain(unitText), "", new(big.Rat)
	if k == KindPressure {
		var r Reference
		bare, r, _ = reference(bare, o)
		suffix = " " + string(r)
		if r == Gauge {
			zero = o.atmosphere()
		}
	}
	u, _, err := find(k, bare, o.Gallon)
	if err != nil {
		return "", err
	}
	if u.inverse && si == 0 {
		return "", NotFinite.At("", k.words())
	}
	number := u.from(si, zero)
	text, ok := multiple(number, resolution)
	if !ok {
		return "", TooFine.At("resolution", resolution, u.name+suffix)
	}
	return text + " " + u.name + suffix, nil
}

// from returns the exact number of units. The SI value is taken as its shortest decimal
// text, so that 0.00025 m is 0.25 mm and a half stays a half.
func (u unit) from(si float64, zero *big.Rat) *big.Rat {
	number := ratio(strconv.FormatFloat(si, 'g', -1, 64))
	number.Sub(number, zero)
	if u.offset != nil {
		number.Sub(number, u.offset)
	}
	number.Quo(number, u.factor)
	if u.inverse {
		number.Inv(number)
	}
	return number
}

// multiple prints the nearest multiple of the resolution, halves away from zero.
func multiple(number *big.Rat, resolution float64) (string, bool) {
	step := ratio(strconv.FormatFloat(resolution, 'g', -1, 64))
	count := new(big.Rat).Quo(number, step)
	half := big.NewRat(1, 2)
	if count.Sign() < 0 {
		half.Neg(half)
	}
	count.Add(count, half)
	whole := new(big.Int).Quo(count.Num(), count.Denom())
	if new(big.Int).Abs(whole).Cmp(big.NewInt(mostSteps)) > 0 {
		return "", false
	}
	decimals := decimalsOf(resolution)
	return new(big.Rat).Mul(new(big.Rat).SetInt(whole), step).FloatString(decimals), true
}

// decimalsOf is how many decimals the shortest text of the resolution has.
func decimalsOf(resolution float64) int {
	text := strconv.FormatFloat(resolution, 'f', -1, 64)
	if _, after, found := strings.Cut(text, "."); found {
		return len(after)
	}
	return 0
}
