package calcjson

import (
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"rillmark/calc/uncertainty"
)

// budgetTable writes a budget as EA-4/02 M:2022 lays one out (its section 6 and the tables
// of its supplements): one line a quantity with its standard uncertainty, distribution,
// sensitivity and contribution, and the combined ones below. Columns are aligned by blanks.
func budgetTable(b uncertainty.Budget, r uncertainty.Result) string {
	rows := [][]string{{"quantity", "value", "distribution", "divisor", "standard uncertainty", "sensitivity", "contribution", "degrees of freedom", "share"}}
	for i, c := range b.Components {
		one := r.Contributions[i]
		divisor := 1.0
		if one.StandardUncertainty > 0 {
			divisor = c.Value / one.StandardUncertainty
		}
		rows = append(rows, []string{c.Name, digits(c.Value), c.Distribution.String(), digits(divisor), digits(one.StandardUncertainty),
			digits(c.Sensitivity), digits(one.Contribution), freedomText(c.DegreesOfFreedom), digits(100*one.Share) + " %"})
	}
	var text strings.Builder
	writeAligned(&text, rows)
	for _, x := range b.Correlations {
		text.WriteString("correlation of " + x.A + " and " + x.B + ": " + digits(x.R) + "\n")
	}
	text.WriteString("combined standard uncertainty: " + digits(r.StandardUncertainty) + ", effective degrees of freedom: " + freedomText(r.DegreesOfFreedomUsed) + "\n")
	text.WriteString("expanded uncertainty: " + uncertaintyText(r.ExpandedUncertainty) + " (k = " + strconv.FormatFloat(r.CoverageFactor, 'f', 2, 64) +
		", coverage probability " + digits(100*r.Coverage) + " %)\n")
	return text.String()
}

// digits writes a number to four significant digits.
func digits(x float64) string { return strconv.FormatFloat(x, 'g', 4, 64) }

// uncertaintyText writes an expanded uncertainty to two significant digits, as it is stated.
func uncertaintyText(x float64) string {
	if x == 0 || math.IsInf(x, 0) {
		return digits(x)
	}
	exponent := int(math.Floor(math.Log10(math.Abs(x))))
	if exponent < -5 || exponent > 15 {
		return strconv.FormatFloat(x, 'e', 1, 64)
	}
	rounded, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'e', 1, 64), 64)
	return strconv.FormatFloat(rounded, 'f', max(1-int(math.Floor(math.Log10(math.Abs(rounded)))), 0), 64)
}

func freedomText(freedom float64) string {
	if math.IsInf(freedom, 1) {
		return "∞"
	}
	return digits(freedom)
}

// writeAligned writes rows in columns two blanks apart, numbers to the right.
func writeAligned(text *strings.Builder, rows [][]string) {
	widths := make([]int, len(rows[0]))
	for _, row := range rows {
		for i, cell := range row {
			widths[i] = max(widths[i], utf8.RuneCountInString(cell))
		}
	}
	const quantity, distribution = 0, 2 // the columns of words
	for _, row := range rows {
		line := ""
		for i, cell := range row {
			blanks := strings.Repeat(" ", widths[i]-utf8.RuneCountInString(cell))
			if i == quantity || i == distribution {
				line += cell + blanks + "  "
			} else {
				line += blanks + cell + "  "
			}
		}
		text.WriteString(strings.TrimRight(line, " ") + "\n")
	}
}
