package quantity

import (
	"math/big"
	"regexp"
	"strings"
)

// reading is a number as found at the start of a text: its exact value, or two values
// between which the text does not decide.
type reading struct {
	value  *big.Rat
	second *big.Rat // set: the text can be read in two ways
}

// texts names both readings for a person.
func (r reading) texts() (first, second string) { return decimalText(r.value), decimalText(r.second) }

func decimalText(r *big.Rat) string {
	text := r.FloatString(12)
	return strings.TrimRight(strings.TrimRight(text, "0"), ".")
}

// The shapes of a number, tried in this order at the start of the text. Groups of
// thousands parted by a space have three digits; a fraction follows its whole number
// after a space or a hyphen.
var (
	mixedShape    = regexp.MustCompile(`^(\d{1,3}(?: \d{3})+|\d+)(?: |- ?| - )(\d+) ?/ ?(\d+)`)
	fractionShape = regexp.MustCompile(`^(\d+) ?/ ?(\d+)`)
	spacedShape   = regexp.MustCompile(`^(\d{1,3}(?: \d{3})+)(?:[.,](\d+))?`)
	plainShape    = regexp.MustCompile(`^[\d.,]+(?:[eE][+-]?\d{1,2}\b)?`)
	vastPower     = regexp.MustCompile(`^[eE][+-]?\d{3,}`)
	moreDigits    = regexp.MustCompile(`^[\s.,/-]*\d`)

	commaThousands = regexp.MustCompile(`^[1-9]\d{0,2}(?:,\d{3})+$`)
	pointThousands = regexp.MustCompile(`^[1-9]\d{0,2}(?:\.\d{3})+$`)
	bothMarks      = regexp.MustCompile(`^[1-9]\d{0,2}(?:(?:,\d{3})+\.\d+|(?:\.\d{3})+,\d+)$`)
	oneMark        = regexp.MustCompile(`^(?:\d+[.,]?\d*|[.,]\d+)$`)
)

// scan reads the unsigned number at the start of the text and returns what follows it.
// ok is false when there is none, or digits are left that belong to no reading.
func scan(text string, m Mark) (r reading, rest string, ok bool) {
	var used string
	if g := mixedShape.FindStringSubmatch(text); g != nil {
		used = g[0]
		r, ok = mixed(g[1], g[2], g[3])
	} else if g := fractionShape.FindStringSubmatch(text); g != nil {
		used = g[0]
		r, ok = fraction(g[1], g[2])
	} else if g := spacedShape.FindStringSubmatch(text); g != nil {
		used = g[0]
		r, ok = exactly(strings.ReplaceAll(g[1], " ", "") + "." + g[2] + "0")
	} else {
		used = plainShape.FindString(text)
		r, ok = decimal(used, m)
	}
	rest = text[len(used):]
	return r, rest, ok && !moreDigits.MatchString(rest)
}

// mixed reads a whole number and a proper fraction.
func mixed(whole, over, under string) (reading, bool) {
	r, ok := quotient(over, under)
	if !ok || r.value.Cmp(big.NewRat(1, 1)) >= 0 {
		return reading{}, false
	}
	w, ok := exactly(strings.ReplaceAll(whole, " ", ""))
	if ok {
		r.value.Add(r.value, w.value)
	}
	return r, ok
}

func quotient(over, under string) (reading, bool) {
	a, _ := exactly(over)
	b, _ := exactly(under)
	if b.value.Sign() == 0 {
		return reading{}, false
	}
	return reading{value: a.value.Quo(a.value, b.value)}, true
}

// fraction reads a fraction that stands alone. "11/2" may have lost the space of
// "1 1/2": an improper fraction whose digits fall into a whole number and a proper
// fraction is refused with both readings.
func fraction(over, under string) (reading, bool) {
	r, ok := quotient(over, under)
	if !ok || r.value.Cmp(big.NewRat(1, 1)) < 0 {
		return r, ok
	}
	for i := len(over) - 1; i > 0; i-- {
		if over[i] == '0' {
			continue
		}
		if other, ok := mixed(over[:i], over[i:], under); ok {
			r.second = other.value
			return r, true
		}
	}
	return r, true
}

// decimal reads digits with points and commas. A point is a decimal point, unless there
// are two of them; a comma with exactly three digits after it can be either.
func decimal(text string, m Mark) (reading, bool) {
	digits, exponent := text, ""
	if i := strings.IndexAny(text, "eE"); i >= 0 {
		digits, exponent = text[:i], text[i:]
	}
	points, commas := strings.Count(digits, "."), strings.Count(digits, ",")
	switch {
	case points+commas > 0 && bothMarks.MatchString(digits):
		thousands := ","
		if strings.LastIndex(digits, ",") > strings.LastIndex(digits, ".") {
			thousands = "."
		}
		digits = strings.ReplaceAll(digits, thousands, "")
	case commas > 1 && commaThousands.MatchString(digits), commas == 1 && m == MarkPoint && commaThousands.MatchString(digits):
		digits = strings.ReplaceAll(digits, ",", "")
	case points > 1 && pointThousands.MatchString(digits):
		digits = strings.ReplaceAll(digits, ".", "")
	case points == 1 && m == MarkComma && pointThousands.MatchString(digits),
		commas == 1 && m == MarkAsk && commaThousands.MatchString(digits):
		return either(digits, exponent)
	case !oneMark.MatchString(digits):
		return reading{}, false
	}
	return exactly(pointed(digits) + exponent)
}

// either reads the mark as one of thousands first and as a decimal mark second.
func either(digits, exponent string) (reading, bool) {
	first, ok := exactly(strings.NewReplacer(",", "", ".", "").Replace(digits) + exponent)
	second, also := exactly(pointed(digits) + exponent)
	return reading{first.value, second.value}, ok && also
}

func pointed(digits string) string { return strings.ReplaceAll(digits, ",", ".") }

// exactly takes digits with a decimal point at most, and an exponent; for those a leading
// zero is of no matter.
func exactly(text string) (reading, bool) {
	r, ok := new(big.Rat).SetString(text)
	return reading{value: r}, ok
}
