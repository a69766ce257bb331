package logfile

import (
	"bytes"
	"io"
	"unicode/utf8"

	"golang.org/x/text/encoding/unicode"
	"golang.org/x/text/transform"
)

// encodingOf tells the encoding of a text from its beginning: a byte order mark, zeros in
// every second place, valid UTF-8, and Latin-1 otherwise. A zero elsewhere is no text.
func encodingOf(head []byte) (string, error) {
	switch {
	case len(head) == 0:
		return "", CodeEmpty.At("")
	case bytes.HasPrefix(head, []byte{0xff, 0xfe}):
		return "utf-16le", nil
	case bytes.HasPrefix(head, []byte{0xfe, 0xff}):
		return "utf-16be", nil
	}
	var zeros [2]int
	for i, b := range head {
		if b == 0 {
			zeros[i%2]++
		}
	}
	third := len(head) / 3
	switch {
	case zeros[1] > third && zeros[0] < third/8:
		return "utf-16le", nil
	case zeros[0] > third && zeros[1] < third/8:
		return "utf-16be", nil
	case zeros[0]+zeros[1] > 0:
		return "", CodeNotText.At("")
	case utf8.Valid(wholeRunes(head)):
		return "utf-8", nil
	}
	return "latin-1", nil
}

// wholeRunes leaves out a character that the end of the sample cuts.
func wholeRunes(b []byte) []byte {
	for n := 1; n <= 3 && n <= len(b); n++ {
		if utf8.RuneStart(b[len(b)-n]) {
			if !utf8.FullRune(b[len(b)-n:]) {
				return b[:len(b)-n]
			}
			break
		}
	}
	return b
}

// decoded returns the text as UTF-8 without a byte order mark; Latin-1 stays as it is,
// since all that is read of a row is ASCII, and what is shown is converted then.
func decoded(r io.Reader, encoding string) io.Reader {
	switch encoding {
	case "utf-16le":
		return transform.NewReader(r, unicode.UTF16(unicode.LittleEndian, unicode.UseBOM).NewDecoder())
	case "utf-16be":
		return transform.NewReader(r, unicode.UTF16(unicode.BigEndian, unicode.UseBOM).NewDecoder())
	}
	return r
}

// shown is a piece of the text as it is shown to people.
func shown(b []byte, encoding string) string {
	b = bytes.TrimPrefix(b, []byte("\ufeff"))
	if encoding != "latin-1" {
		return string(bytes.ToValidUTF8(b, []byte("\ufffd")))
	}
	runes := make([]rune, len(b))
	for i, c := range b {
		runes[i] = rune(c)
	}
	return string(runes)
}

// brief is a text short enough for a sentence.
func brief(s string) string {
	runes := []rune(s)
	if len(runes) > 40 {
		return string(runes[:39]) + "…"
	}
	return s
}
