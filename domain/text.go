package domain

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"rillmark/calc/fault"
)

// Line tidies a text of one line as typed: composed characters (Unicode NFC), no blanks
// around it. What is wrong with it is found by CheckLine, not mended here.
func Line(text string) string { return strings.TrimSpace(norm.NFC.String(text)) }

// Lines tidies a text of several lines: as Line, with line ends as \n and no blanks at
// the ends of lines.
func Lines(text string) string {
	text = strings.ReplaceAll(strings.ReplaceAll(norm.NFC.String(text), "\r\n", "\n"), "\r", "\n")
	lines := strings.Split(text, "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(lines[i], " \t")
	}
	return strings.Trim(strings.Join(lines, "\n"), "\n ")
}

// Check collects what is wrong with the fields of one thing.
type Check struct{ Faults fault.List }

// Add notes a fault.
func (c *Check) Add(f fault.Fault) { c.Faults = append(c.Faults, f) }

// Line checks a text of one line: at most limit characters, no control or invisible
// direction characters, not empty when it is required.
func (c *Check) Line(field, text string, limit int, required bool) {
	c.text(field, text, limit, required, false)
}

// Lines checks a text of several lines in the same way; it may hold \n and tabs.
func (c *Check) Lines(field, text string, limit int, required bool) {
	c.text(field, text, limit, required, true)
}

func (c *Check) text(field, text string, limit int, required, several bool) {
	if plain(text) && len(text) <= limit {
		return
	}
	if !utf8.ValidString(text) {
		c.Add(NotUTF8.At(field))
		return
	}
	if required && strings.TrimSpace(text) == "" {
		c.Add(Required.At(field))
		return
	}
	if n := utf8.RuneCountInString(text); n > limit {
		c.Add(TooLong.At(field, limit, n))
	}
	for _, r := range text {
		if several && (r == '\n' || r == '\t') {
			continue
		}
		if hidden(r) {
			c.Add(ControlChar.At(field, fmt.Sprintf("U+%04X", r)))
			return
		}
		if !Printable(r) {
			c.Add(NotPrintable.At(field, string(r)))
			return
		}
	}
}

// plain reports whether the text is nothing but visible ASCII and single blanks within it:
// nearly all that is typed, and nothing to look at more closely.
func plain(text string) bool {
	for i := range len(text) {
		if c := text[i]; c <= ' ' && !(c == ' ' && i > 0) || c > '~' {
			return false
		}
	}
	return text != ""
}

// hidden reports characters that a person cannot have meant: controls, line separators,
// those drawn as nothing,
// and those that turn the direction of text, which can make one thing look like another.
func hidden(r rune) bool {
	switch {
	case unicode.IsControl(r), r == '\u2028', r == '\u2029', r == '\ufeff', r == utf8.RuneError:
		return true
	case r == '\u00ad', r == '\u200b', r == '\u2060', r == '\u2800', r == '\u3164', r == '\u115f', r == '\u1160':
		return true // drawn as nothing: a name of them alone is no name
	case r >= '\u202a' && r <= '\u202e', r >= '\u2066' && r <= '\u2069':
		return true
	}
	return false
}

// Err returns what was found as an error of kind Invalid, nil when nothing was.
func (c *Check) Err() error {
	if len(c.Faults) == 0 {
		return nil
	}
	return &Error{Kind: Invalid, Faults: c.Faults}
}

// Merge takes over what another check found.
func (c *Check) Merge(err error) { c.Faults = append(c.Faults, fault.AllOf(err)...) }

// New adds a malformed id to what is wrong with a new thing.
func New(idValid bool, problems error) error {
	var check Check
	if !idValid {
		check.Add(NotAnID.At("id"))
	}
	check.Merge(problems)
	return check.Err()
}
