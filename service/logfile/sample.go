package logfile

import (
	"bytes"
	"fmt"
	"io"
	"strings"
)

// sample is the beginning and the end of a file, in lines.
type sample struct {
	encoding   string
	head, tail [][]byte
	delimiter  string
	columns    int
	headings   []string // of each column, as shown
	header     int      // lines before the first row of data
	rows       [][][]byte
}

// sampled decodes the beginning and the end of a file. The end may be empty.
func sampled(head, tail []byte, m Mapping) (s sample, err error) {
	s.encoding = m.Encoding
	if s.encoding == "" {
		if s.encoding, err = encodingOf(head); err != nil {
			return s, err
		}
	}
	if s.head, err = linesOf(head, s.encoding); err != nil {
		return s, err
	}
	if len(tail) > 0 {
		if s.tail, err = linesOf(tail, s.encoding); err != nil {
			return s, err
		}
		s.tail = s.tail[min(1, len(s.tail)):] // its first line is cut
		if len(s.head) > 1 {
			s.head = s.head[:len(s.head)-1] // and so is the last of the beginning
		}
	}
	return s, nil
}

func linesOf(b []byte, encoding string) ([][]byte, error) {
	text, err := io.ReadAll(decoded(bytes.NewReader(b), encoding))
	if err != nil {
		return nil, CodeNotText.At("")
	}
	lines := bytes.Split(bytes.TrimPrefix(text, []byte("\ufeff")), []byte{'\n'})
	for i, l := range lines {
		lines[i] = bytes.TrimRight(l, "\r")
		if len(l) > MaxLine {
			return nil, CodeLongLine.At("", i+1, MaxLine)
		}
	}
	if n := len(lines); n > 0 && len(lines[n-1]) == 0 {
		lines = lines[:n-1]
	}
	return lines, nil
}

// mostRows are looked at to tell what a column holds.
const mostRows = 400

// lay finds the delimiter, the number of columns and the time by trying: the one under
// which most lines have the same number of fields, one of which holds times.
func (s *sample) lay(m Mapping) (times, error) {
	bestScore, best := -1.0, times{}
	for _, d := range delimiters {
		if m.Delimiter != "" && m.Delimiter != d.name {
			continue
		}
		t := *s
		t.delimiter = d.name
		t.cut()
		if t.columns > MaxColumns {
			return times{}, CodeManyColumns.At("", t.columns, MaxColumns)
		}
		found := t.findTimes(m)
		score := float64(len(t.rows))
		if !found.found() {
			score /= 1000
		}
		if t.columns < 2 {
			score /= 10000
		}
		if score > bestScore*1.2 {
			keep := t
			bestScore, best, *s = score, found, sample{encoding: s.encoding, head: s.head, tail: s.tail,
				delimiter: keep.delimiter, columns: keep.columns, rows: keep.rows}
		}
	}
	if bestScore < 0 {
		return times{}, CodeNoTime.At("")
	}
	return best, nil
}

// cut splits the lines of the latter half of the beginning, and of the end, into fields,
// and keeps those that have the number of fields most have.
func (s *sample) cut() {
	s.rows, s.columns = nil, 0
	mark := delimiterOf(s.delimiter)
	lines := s.head[len(s.head)/2:]
	if len(s.head) < 12 {
		lines = s.head
	}
	stride := max(1, len(lines)/mostRows)
	counts := map[int]int{}
	var all [][][]byte
	take := func(lines [][]byte, stride int) {
		for i := 0; i < len(lines); i += stride {
			if f := splitLine(nil, lines[i], mark); len(trim(lines[i])) > 0 {
				all = append(all, f)
				counts[len(f)]++
			}
		}
	}
	take(lines, stride)
	if len(s.tail) > 0 {
		take(s.tail, max(1, len(s.tail)/mostRows))
	}
	for n, c := range counts {
		if c > counts[s.columns] || c == counts[s.columns] && n > s.columns {
			s.columns = n
		}
	}
	for _, f := range all {
		if len(f) == s.columns {
			s.rows = append(s.rows, f)
		}
	}
}

// readHeader finds the first row of data and the headings before it: the last lines of as
// many fields, one below the other, where there are several.
func (s *sample) readHeader(m Mapping, t times) {
	mark := delimiterOf(s.delimiter)
	s.header = len(s.head)
	if m.HeaderLines != nil {
		s.header = min(*m.HeaderLines, len(s.head))
	} else {
		for i, l := range s.head {
			if f := splitLine(nil, l, mark); len(f) == s.columns && t.reads(f) {
				s.header = i
				break
			}
		}
	}
	s.headings = make([]string, s.columns)
	for i := max(0, s.header-3); i < s.header; i++ {
		f := splitLine(nil, s.head[i], mark)
		if s.delimiter == "space" {
			f = spacedHeadings(s.head[i])
		}
		if len(f) != s.columns {
			continue
		}
		for k, text := range f {
			s.headings[k] = strings.TrimSpace(s.headings[k] + " " + shown(text, s.encoding))
		}
	}
}

// spacedHeadings are set apart by two spaces or more, where single ones may be part of them.
func spacedHeadings(line []byte) (out [][]byte) {
	if f := bytes.Fields(line); !bytes.Contains(trim(line), []byte("  ")) {
		return f
	}
	for _, part := range bytes.Split(line, []byte("  ")) {
		if p := trim(part); len(p) > 0 {
			out = append(out, p)
		}
	}
	return out
}

// before are the lines before the data as shown.
func (s *sample) before() (lines []string) {
	for _, l := range s.head[:min(s.header, 60)] {
		lines = append(lines, shown(l, s.encoding))
	}
	return lines
}

// column finds a column by number or heading, from 0.
func (s *sample) column(field string, c Column) (int, error) {
	n := 0
	if _, err := fmt.Sscanf(string(c), "%d", &n); err == nil && fmt.Sprint(n) == string(c) && n >= 1 && n <= s.columns {
		return n - 1, nil
	}
	for i, h := range s.headings {
		if strings.EqualFold(h, strings.TrimSpace(string(c))) {
			return i, nil
		}
	}
	return 0, CodeMapColumn.At(field, brief(string(c)), s.names(nil))
}

// names lists columns for a sentence; all of them where none are given.
func (s *sample) names(of []int) string {
	if of == nil {
		for i := range s.columns {
			of = append(of, i)
		}
	}
	var out []string
	for _, i := range of {
		name := fmt.Sprint(i + 1)
		if s.headings != nil && s.headings[i] != "" {
			name += " “" + brief(s.headings[i]) + "”"
		}
		out = append(out, name)
	}
	return strings.Join(out, ", ")
}
