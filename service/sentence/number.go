package sentence

import (
	"math"
	"strconv"
	"strings"
)

// significant is the number of significant digits a number in a sentence keeps at most:
// enough to tell any two readings of a field instrument apart, few enough to hide the
// noise of binary fractions (0.1+0.2 reads 0.3).
const significant = 6

// Number prints x for a sentence: at most six significant digits but never fewer than
// its whole part has, no trailing zeros, a true minus sign, and a power of ten only below
// 1e-5 or from 1e12. NaN and the infinities are named in words.
func Number(x float64) string {
	switch {
	case math.IsNaN(x):
		return "not a number"
	case math.IsInf(x, 1):
		return "infinity"
	case math.IsInf(x, -1):
		return "−infinity"
	case x == 0:
		return "0"
	}
	size := math.Abs(x)
	if size < 1e-5 || size >= 1e12 {
		return powered(x)
	}
	decimals := significant - 1 - int(math.Floor(math.Log10(size)))
	return minus(trimmed(strconv.FormatFloat(x, 'f', max(decimals, 0), 64)))
}

func powered(x float64) string {
	mantissa, exponent, _ := strings.Cut(strconv.FormatFloat(x, 'e', significant-1, 64), "e")
	power, _ := strconv.Atoi(exponent)
	return minus(trimmed(mantissa)) + " × 10" + raised(power)
}

func trimmed(digits string) string {
	if !strings.Contains(digits, ".") {
		return digits
	}
	return strings.TrimRight(strings.TrimRight(digits, "0"), ".")
}

func minus(digits string) string { return strings.Replace(digits, "-", "−", 1) }

func raised(power int) string {
	return strings.NewReplacer("-", "⁻", "0", "⁰", "1", "¹", "2", "²", "3", "³", "4", "⁴",
		"5", "⁵", "6", "⁶", "7", "⁷", "8", "⁸", "9", "⁹").Replace(strconv.Itoa(power))
}
