package canonical

import (
	"strconv"
	"unicode/utf16"
	"unicode/utf8"
)

// text writes a text with the least escaping.
//
// Source: RFC 8785, 3.2.2.2.
func (w *writer) text() error {
	from := w.at
	w.at++
	escaped := false
	for ; w.in[w.at] != '"'; w.at++ {
		if w.in[w.at] == '\\' {
			escaped = true
			w.at++
		}
	}
	w.at++
	whole := w.in[from:w.at]
	if !utf8.Valid(whole) {
		return ErrSyntax
	}
	if !escaped {
		w.out = append(w.out, whole...)
		return nil
	}
	plain, err := unescaped(w.scratch[:0], whole[1:len(whole)-1])
	if err != nil {
		return err
	}
	w.scratch = plain
	w.out = appendText(w.out, plain)
	return nil
}

// unescaped appends the inside of a valid JSON text without its escapes.
func unescaped(out, inside []byte) ([]byte, error) {
	for i := 0; i < len(inside); i++ {
		if inside[i] != '\\' {
			out = append(out, inside[i])
			continue
		}
		i++
		if inside[i] != 'u' {
			out = append(out, short(inside[i]))
			continue
		}
		r := unit(inside[i+1:])
		i += 4
		if utf16.IsSurrogate(r) {
			if len(inside) < i+7 || inside[i+1] != '\\' || inside[i+2] != 'u' {
				return nil, ErrSurrogate
			}
			if r = utf16.DecodeRune(r, unit(inside[i+3:])); r == utf8.RuneError {
				return nil, ErrSurrogate
			}
			i += 6
		}
		out = utf8.AppendRune(out, r)
	}
	return out, nil
}

// unit reads the four hexadecimal digits of a code unit.
func unit(digits []byte) rune {
	u, _ := strconv.ParseUint(string(digits[:4]), 16, 16) // the text is valid JSON
	return rune(u)
}

// short is what a letter behind a backslash stands for.
func short(c byte) byte {
	switch c {
	case 'b':
		return '\b'
	case 'f':
		return '\f'
	case 'n':
		return '\n'
	case 'r':
		return '\r'
	case 't':
		return '\t'
	}
	return c // quotation mark, backslash, slash
}

func appendText(out, plain []byte) []byte {
	const digits = "0123456789abcdef"
	out = append(out, '"')
	for _, c := range plain {
		switch {
		case c == '"' || c == '\\':
			out = append(out, '\\', c)
		case c == '\b':
			out = append(out, '\\', 'b')
		case c == '\f':
			out = append(out, '\\', 'f')
		case c == '\n':
			out = append(out, '\\', 'n')
		case c == '\r':
			out = append(out, '\\', 'r')
		case c == '\t':
			out = append(out, '\\', 't')
		case c < 0x20:
			out = append(out, '\\', 'u', '0', '0', digits[c>>4], digits[c&15])
		default:
			out = append(out, c)
		}
	}
	return append(out, '"')
}
