package logfile

import "bytes"

var delimiters = []struct {
	name string
	mark byte
}{{"tab", '\t'}, {"semicolon", ';'}, {"bar", '|'}, {"comma", ','}, {"space", ' '}}

func delimiterOf(name string) byte {
	for _, d := range delimiters {
		if d.name == name {
			return d.mark
		}
	}
	return ','
}

// splitLine appends the fields of a line to into, without spaces and quotes around them.
// Runs of spaces are one delimiter.
func splitLine(into [][]byte, line []byte, delimiter byte) [][]byte {
	if delimiter == ' ' {
		for _, f := range bytes.Fields(line) {
			into = append(into, unquoted(f))
		}
		return into
	}
	if bytes.IndexByte(line, '"') >= 0 {
		return splitQuoted(into, line, delimiter)
	}
	for {
		i := bytes.IndexByte(line, delimiter)
		if i < 0 {
			return append(into, trim(line))
		}
		into = append(into, trim(line[:i]))
		line = line[i+1:]
	}
}

// trim takes off blanks; it is quicker than the library's for what loggers write.
func trim(b []byte) []byte {
	for len(b) > 0 && (b[0] == ' ' || b[0] == '\t' || b[0] == 0xa0) {
		b = b[1:]
	}
	for len(b) > 0 && (b[len(b)-1] == ' ' || b[len(b)-1] == '\t' || b[len(b)-1] == '\r') {
		b = b[:len(b)-1]
	}
	return b
}

func unquoted(b []byte) []byte {
	if len(b) >= 2 && b[0] == '"' && b[len(b)-1] == '"' {
		return trim(bytes.ReplaceAll(b[1:len(b)-1], []byte(`""`), []byte(`"`)))
	}
	return b
}

func splitQuoted(into [][]byte, line []byte, delimiter byte) [][]byte {
	start, inside := 0, false
	for i, c := range line {
		switch {
		case c == '"':
			inside = !inside
		case c == delimiter && !inside:
			into = append(into, unquoted(trim(line[start:i])))
			start = i + 1
		}
	}
	return append(into, unquoted(trim(line[start:])))
}
