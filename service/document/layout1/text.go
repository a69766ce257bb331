package layout1

import (
	"strings"

	"github.com/johnfercher/maroto/v2/pkg/props"
)

// The inks. The document is printed in one; the second is for words beside it.
var (
	ink  = props.Color{Red: 20, Green: 34, Blue: 45}
	ink2 = props.Color{Red: 55, Green: 68, Blue: 78}
	rule = props.Color{Red: 190, Green: 192, Blue: 194}
	tint = props.Color{Red: 232, Green: 233, Blue: 234}
)

const mmPerPoint = 25.4 / 72

// style is how words look.
type style struct {
	face  *face
	size  float64 // points
	color *props.Color
	lead  float64 // distance of lines, in sizes
}

func (s style) mm() float64     { return s.size * mmPerPoint }
func (s style) height() float64 { return s.mm() * s.lead }

func (s style) bold() style {
	switch s.face {
	case sansFace:
		s.face = sansBoldFace
	case serifFace:
		s.face = serifBoldFace
	}
	return s
}

// width returns the width of a text in millimetres.
func (s style) width(text string) float64 {
	total := 0
	for _, r := range text {
		if f := s.face.printable(r); f != nil {
			w, _ := f.advance(r)
			total += w
		}
	}
	return float64(total) / 1000 * s.mm()
}

// The styles.
var (
	title    = style{serifBoldFace, 25, &ink, 1.12}
	lede     = style{sansFace, 11.5, &ink2, 1.3}
	heading  = style{serifBoldFace, 14.5, &ink, 1.2}
	subhead  = style{serifBoldFace, 11, &ink, 1.25}
	answer   = style{sansFace, 13, &ink, 1.32}
	body     = style{sansFace, 9.6, &ink, 1.34}
	small    = style{sansFace, 8.4, &ink2, 1.34}
	label    = style{sansFace, 8.8, &ink2, 1.34}
	cellText = style{sansFace, 9, &ink, 1.28}
	cellHead = style{sansBoldFace, 8, &ink2, 1.28}
	figure   = style{serifFace, 9, &ink, 1.28}
	figSmall = style{serifFace, 8.4, &ink, 1.28}
	runHead  = style{serifBoldFace, 10, &ink, 1.2}
	runFoot  = style{sansFace, 8.2, &ink2, 1.2}
)

// piece is words in one style.
type piece struct {
	text  string
	style style
}

func say(s style, text string) piece { return piece{text, s} }

// run is a stretch of one line in one face, at x.
type run struct {
	x     float64
	text  string
	style style
}

// line is a line of text, broken to a width.
type line struct {
	runs  []run
	width float64
}

// breaker breaks pieces into lines. A word that is wider than the line is broken after a
// hyphen, slash, dot or at sign, else where it must be.
type breaker struct {
	width float64
	lines []line
	x     float64
}

func lay(width float64, pieces ...piece) []line {
	b := &breaker{width: width, lines: []line{{}}}
	for _, p := range pieces {
		for i, paragraph := range strings.Split(p.text, "\n") {
			if i > 0 {
				b.newLine()
			}
			b.words(paragraph, p.style)
		}
	}
	return b.lines
}

func (b *breaker) newLine() {
	b.lines = append(b.lines, line{})
	b.x = 0
}

func (b *breaker) words(text string, s style) {
	for i, word := range strings.Split(text, " ") {
		space := 0.0
		if i > 0 {
			space = s.width(" ")
		}
		b.word(word, space, s)
	}
}

func (b *breaker) word(word string, space float64, s style) {
	w := s.width(word)
	if b.x > 0 && b.x+space+w > b.width {
		b.newLine()
		space = 0
	}
	if b.x == 0 {
		space = 0
	}
	for w > b.width {
		head := cut(word, b.width, s)
		if len(head) == len(word) {
			break // one letter, wider than the line
		}
		b.put(head, 0, s)
		b.newLine()
		word = word[len(head):]
		w = s.width(word)
	}
	if word != "" {
		b.put(word, space, s)
	} else if space > 0 {
		b.x += space
	}
}

// cut returns as much of the word as fits, at the last good place where there is one; at
// least one character.
func cut(word string, width float64, s style) string {
	fits, good := 0, 0
	for i, r := range word {
		end := i + len(string(r))
		if s.width(word[:end]) > width && fits > 0 {
			break
		}
		fits = end
		if strings.ContainsRune("-/.,@_", r) {
			good = end
		}
	}
	if good > fits/2 {
		return word[:good]
	}
	return word[:fits]
}

// put adds a word to the line, in as many runs as it needs faces.
func (b *breaker) put(word string, space float64, s style) {
	current := &b.lines[len(b.lines)-1]
	b.x += space
	for _, part := range byFace(word, s) {
		last := len(current.runs) - 1
		if w := part.style.width(part.text); last >= 0 && joins(current.runs[last], part, space, b.x) {
			current.runs[last].text += strings.Repeat(" ", boolInt(space > 0)) + part.text
			b.x += w
		} else {
			part.x = b.x
			current.runs = append(current.runs, part)
			b.x += w
		}
		space = 0
	}
	current.width = b.x
}

// joins reports whether a part goes on where the last run ends, in its style.
func joins(last, part run, space, x float64) bool {
	end := last.x + last.style.width(last.text) + space
	return last.style == part.style && end-x < 0.001 && x-end < 0.001
}

func boolInt(b bool) int {
	if b {
		return 1
	}
	return 0
}

// byFace parts a text where it needs another face.
func byFace(text string, s style) []run {
	var runs []run
	for _, r := range text {
		f := s.face.printable(r)
		if f == nil {
			continue // refused before anything is laid out
		}
		if n := len(runs); n > 0 && runs[n-1].style.face == f {
			runs[n-1].text += string(r)
			continue
		}
		part := s
		part.face = f
		runs = append(runs, run{text: string(r), style: part})
	}
	return runs
}
