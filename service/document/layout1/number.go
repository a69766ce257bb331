package layout1

import (
	"strconv"
	"strings"
)

// numberOf reads a printed number.
func numberOf(text string) (float64, error) {
	return strconv.ParseFloat(strings.NewReplacer("−", "-", "+", "").Replace(text), 64)
}
