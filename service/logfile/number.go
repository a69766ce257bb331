package logfile

import (
	"bytes"
	"math"
	"strconv"
)

// numberForm says how the file writes numbers.
type numberForm struct {
	comma bool // decimal comma; a point then groups thousands, and the other way about
}

// powers of ten that a float64 holds exactly.
var powers = [...]float64{1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// parse reads a number and how many decimals it is written with. The plain way is exact:
// up to 15 digits over a power of ten is one correctly rounded division.
func (f numberForm) parse(b []byte) (v float64, decimals int, ok bool) {
	mark := byte('.')
	if f.comma {
		mark = ','
	}
	i, negative := 0, false
	if len(b) > 0 && (b[0] == '-' || b[0] == '+') {
		negative, i = b[0] == '-', 1
	}
	mantissa, digits, point := uint64(0), 0, -1
	for ; i < len(b); i++ {
		switch c := b[i]; {
		case c >= '0' && c <= '9':
			mantissa = mantissa*10 + uint64(c-'0')
			digits++
		case c == mark && point < 0:
			point = i
		default:
			return f.slowly(b)
		}
		if digits > 15 {
			return f.slowly(b)
		}
	}
	if digits == 0 {
		return 0, 0, false
	}
	if point >= 0 {
		decimals = len(b) - point - 1
	}
	v = float64(mantissa) / powers[decimals]
	if negative {
		v = -v
	}
	return v, decimals, true
}

// slowly reads what the plain way leaves: exponents, grouped thousands, many digits.
func (f numberForm) slowly(b []byte) (v float64, decimals int, ok bool) {
	mark, group := byte('.'), byte(',')
	if f.comma {
		mark, group = ',', '.'
	}
	whole, fraction, _ := bytes.Cut(b, []byte{mark})
	plain := whole
	if bytes.IndexByte(whole, group) >= 0 {
		if !grouped(whole, group) {
			return 0, 0, false
		}
		plain = bytes.ReplaceAll(whole, []byte{group}, nil)
	}
	text := append([]byte(nil), plain...)
	if len(whole) < len(b) {
		text = append(append(text, '.'), fraction...)
	}
	if len(text) > 40 || bytes.ContainsAny(text, "xXpP_nNiI") {
		return 0, 0, false
	}
	v, err := strconv.ParseFloat(string(text), 64)
	if err != nil || math.IsInf(v, 0) {
		return 0, 0, false
	}
	for _, c := range fraction {
		if c < '0' || c > '9' {
			break
		}
		decimals++
	}
	if e := bytes.IndexAny(text, "eE"); e >= 0 {
		power, _ := strconv.Atoi(string(text[e+1:]))
		decimals = max(decimals-power, 0)
	}
	return v, min(decimals, 20), true
}

// grouped reports whether the digits stand in groups of three: 1,234,567.
func grouped(whole []byte, group byte) bool {
	parts := bytes.Split(bytes.TrimLeft(whole, "+-"), []byte{group})
	for i, p := range parts {
		if i > 0 && len(p) != 3 || i == 0 && (len(p) == 0 || len(p) > 3) {
			return false
		}
	}
	return true
}
