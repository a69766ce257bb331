// Package canonical writes JSON in the one form that RFC 8785 (JSON Canonicalization
// Scheme) gives it, so that the same content always has the same bytes and the same hash.
//
// Not here: which values are written, and how (encoding/json). Hashing the facts of an
// evaluation took several times as long as all its metrology; this passes over the text
// once. What it writes is held byte for byte against another implementation in the tests.
package canonical

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strconv"
)

// Marshal returns the canonical JSON of a value as encoding/json writes it.
//
// Errors: those of json.Marshal; ErrNumber for a number beyond float64.
func Marshal(v any) ([]byte, error) {
	text, err := json.Marshal(v)
	if err != nil {
		return nil, err
	}
	return transformed(text)
}

// What a text can be refused for.
var (
	ErrSyntax    = errors.New("canonical: not one JSON value in UTF-8")
	ErrDuplicate = errors.New("canonical: a name twice in one object")
	ErrNumber    = errors.New("canonical: a number that no float64 holds")
	ErrSurrogate = errors.New("canonical: half of a surrogate pair in a text")
)

// Transform returns the canonical form of a JSON text:
//
//	no white space; the names of an object in the order of their UTF-16 code units;
//	numbers as ECMAScript writes the float64 they stand for; texts with the least escaping
//
// Errors: ErrSyntax, ErrDuplicate, ErrNumber, ErrSurrogate.
//
// Source: RFC 8785, 3.2.
func Transform(text []byte) ([]byte, error) {
	if !json.Valid(text) {
		return nil, ErrSyntax
	}
	return transformed(text)
}

// transformed is Transform of a text that is known to be JSON.
func transformed(text []byte) ([]byte, error) {
	w := writer{in: text, out: make([]byte, 0, len(text))}
	if err := w.value(); err != nil {
		return nil, err
	}
	return w.out, nil
}

// writer passes over a valid JSON text and appends its canonical form.
type writer struct {
	in      []byte
	at      int // of the next byte of in
	out     []byte
	members []member // of the objects that are open
	scratch []byte
	shapes  map[int]shape // by the number of names
}

func (w *writer) blank() {
	for w.at < len(w.in) && (w.in[w.at] == ' ' || w.in[w.at] == '\n' || w.in[w.at] == '\t' || w.in[w.at] == '\r') {
		w.at++
	}
}

func (w *writer) value() error {
	w.blank()
	switch w.in[w.at] {
	case '{':
		return w.object()
	case '[':
		return w.array()
	case '"':
		return w.text()
	case 't', 'n':
		w.literal(4)
	case 'f':
		w.literal(5)
	default:
		return w.number()
	}
	return nil
}

func (w *writer) literal(length int) {
	w.out = append(w.out, w.in[w.at:w.at+length]...)
	w.at += length
}

func (w *writer) array() error {
	w.at++
	w.out = append(w.out, '[')
	for first := true; ; first = false {
		w.blank()
		switch c := w.in[w.at]; {
		case c == ']':
			w.at++
			w.out = append(w.out, ']')
			return nil
		case c == ',':
			w.at++
		}
		if !first {
			w.out = append(w.out, ',')
		}
		if err := w.value(); err != nil {
			return err
		}
	}
}

// number writes what a JSON number stands for as ECMAScript does.
//
// Source: RFC 8785, 3.2.2.3.
func (w *writer) number() error {
	from, whole := w.at, true
	for ; w.at < len(w.in); w.at++ {
		c := w.in[w.at]
		if c == '.' || c == 'e' || c == 'E' || c == '+' || c == '-' {
			whole = false
		} else if c < '0' || c > '9' {
			break
		}
	}
	word := w.in[from:w.at]
	if whole && len(word) <= 15 { // exact as it stands
		w.out = append(w.out, word...)
		return nil
	}
	x, err := strconv.ParseFloat(string(word), 64)
	if err != nil {
		return fmt.Errorf("%w: %s", ErrNumber, word)
	}
	w.out = appendNumber(w.out, x)
	return nil
}

// appendNumber writes a finite number as ECMAScript does.
func appendNumber(out []byte, x float64) []byte {
	size := max(x, -x)
	switch {
	case x == 0: // also −0
		return append(out, '0')
	case size >= 1e-6 && size < 1e21:
		return strconv.AppendFloat(out, x, 'f', -1, 64)
	}
	from := len(out)
	out = strconv.AppendFloat(out, x, 'e', -1, 64)
	// Go writes 1e-09 where ECMAScript writes 1e-9.
	if e := from + bytes.IndexByte(out[from:], 'e'); out[e+2] == '0' {
		out = slices.Delete(out, e+2, e+3)
	}
	return out
}
