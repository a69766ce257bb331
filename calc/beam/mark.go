package beam

import (
	"math"
	"strconv"
	"strings"
)

const (
	inch             = 0.0254 // m, exact: NIST SP 811, B.8
	finestInch       = 128    // the finest division of an inch taken for an inch tape
	graduationSlack  = 1e-9   // relative: how exactly a graduation must be a multiple
	mostMarkDecimals = 6      // of a millimetre
)

// SettingMark returns the mark on the tape nearest to the spacing, in metres, and its text
// as read on the tape. A graduation that is a multiple of an inch divided by a power of
// two (down to 1/128 in) is an inch tape and reads in whole inches and a reduced fraction,
// "5 9/16 in"; any other reads in millimetres with the decimals the mark needs, at most
// six, "141 mm". A spacing just half way goes away from zero.
//
// spacing is in metres and may be negative, graduation in metres and positive; both
// finite, which the caller has checked.
func SettingMark(spacing, graduation float64) (mark float64, text string) {
	steps := math.Round(spacing / graduation)
	if steps == 0 {
		steps = 0 // a spacing just below zero rounds to minus zero, which no tape shows
	}
	if multiple, den, ok := inchGraduation(graduation); ok {
		return steps * multiple * inch / den, inchText(steps*multiple, den)
	}
	decimals := markDecimals(graduation)
	scale := math.Pow10(decimals)
	// Rounded in units of the last decimal, so that 141 steps of 0.001 give 0.141 and not its neighbour.
	units := math.Round(steps * graduation * 1e3 * scale)
	text = strconv.FormatFloat(units/scale, 'f', decimals, 64)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return units / (scale * 1e3), text + " mm"
}

// inchGraduation returns the graduation as multiple/den inches with den a power of two.
func inchGraduation(graduation float64) (multiple, den float64, ok bool) {
	for den := 1.0; den <= finestInch; den *= 2 {
		x := graduation * den / inch
		multiple := math.Round(x)
		if multiple >= 1 && math.Abs(x-multiple) <= graduationSlack*x {
			return multiple, den, true
		}
	}
	return 0, 0, false
}

// inchText writes count/den inches.
func inchText(count, den float64) string {
	sign := ""
	if count < 0 {
		sign, count = "-", -count
	}
	whole, rest := math.Floor(count/den), math.Mod(count, den)
	for rest != 0 && math.Mod(rest, 2) == 0 {
		rest, den = rest/2, den/2
	}
	plain := func(x float64) string { return strconv.FormatFloat(x, 'f', 0, 64) }
	switch {
	case rest == 0:
		return sign + plain(whole) + " in"
	case whole == 0:
		return sign + plain(rest) + "/" + plain(den) + " in"
	}
	return sign + plain(whole) + " " + plain(rest) + "/" + plain(den) + " in"
}

// markDecimals is how many decimals of a millimetre the graduation has.
func markDecimals(graduation float64) int {
	for decimals := range mostMarkDecimals {
		x := graduation * 1e3 * math.Pow10(decimals)
		if math.Abs(x-math.Round(x)) <= graduationSlack*x {
			return decimals
		}
	}
	return mostMarkDecimals
}
