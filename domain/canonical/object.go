package canonical

import (
	"bytes"
	"fmt"
	"slices"
	"unicode/utf16"
)

// member is where one name and its value stand in what was written.
type member struct {
	name, end int    // of the member: from its name's quotation mark to after its value
	key       []byte // the name without escapes
}

// object writes the members as they come and then puts them in order.
func (w *writer) object() error {
	w.at++
	w.out = append(w.out, '{')
	begin, mine, ordered := len(w.out), len(w.members), true
	for {
		w.blank()
		if c := w.in[w.at]; c == '}' {
			w.at++
			break
		} else if c == ',' {
			w.at++
			w.blank()
		}
		if len(w.members) > mine {
			w.out = append(w.out, ',')
		}
		m := member{name: len(w.out)}
		if err := w.name(&m); err != nil {
			return err
		}
		if err := w.value(); err != nil {
			return err
		}
		m.end = len(w.out)
		if n := len(w.members); n > mine {
			switch c := compareNames(w.members[n-1].key, m.key); {
			case c == 0:
				return fmt.Errorf("%w: %q", ErrDuplicate, m.key)
			case c > 0:
				ordered = false
			}
		}
		w.members = append(w.members, m)
	}
	if !ordered {
		if err := w.order(begin, w.members[mine:]); err != nil {
			return err
		}
	}
	w.members = w.members[:mine]
	w.out = append(w.out, '}')
	return nil
}

// name writes the member's name and its colon.
func (w *writer) name(m *member) error {
	from := w.at
	if err := w.text(); err != nil {
		return err
	}
	// The input does not move, the output does.
	if m.key = w.in[from+1 : w.at-1]; bytes.IndexByte(m.key, '\\') >= 0 {
		key, err := unescaped(nil, m.key)
		if err != nil {
			return err
		}
		m.key = key
	}
	w.blank()
	w.at++ // the colon
	w.out = append(w.out, ':')
	return nil
}

// order rewrites the members, which begin at begin and end the output, by name.
func (w *writer) order(begin int, members []member) error {
	places, err := w.places(members)
	if err != nil {
		return err
	}
	w.scratch = append(w.scratch[:0], w.out[begin:]...)
	w.out = w.out[:begin]
	for i, place := range places {
		if i > 0 {
			w.out = append(w.out, ',')
		}
		w.out = append(w.out, w.scratch[members[place].name-begin:members[place].end-begin]...)
	}
	return nil
}

// shape is the names of an object as they came, and where each in order of name stood.
type shape struct {
	names  [][]byte
	places []int
}

// places returns where the members in order of name stand. Rows of a list have the same
// names in the same order, so the last object with as many names is looked at first.
func (w *writer) places(members []member) ([]int, error) {
	known := w.shapes[len(members)]
	if slices.EqualFunc(known.names, members, func(name []byte, m member) bool { return bytes.Equal(name, m.key) }) {
		return known.places, nil
	}
	found := shape{make([][]byte, len(members)), make([]int, len(members))}
	for i, m := range members {
		found.names[i], found.places[i] = m.key, i
	}
	slices.SortFunc(found.places, func(i, j int) int { return compareNames(members[i].key, members[j].key) })
	for i := 1; i < len(members); i++ {
		if key := members[found.places[i]].key; bytes.Equal(members[found.places[i-1]].key, key) {
			return nil, fmt.Errorf("%w: %q", ErrDuplicate, key)
		}
	}
	if w.shapes == nil {
		w.shapes = map[int]shape{}
	}
	w.shapes[len(members)] = found
	return found.places, nil
}

// compareNames compares by UTF-16 code units: as bytes, unless one name reaches beyond the
// basic plane and the other into its end.
//
// Source: RFC 8785, 3.2.3.
func compareNames(a, b []byte) int {
	n := min(len(a), len(b))
	i := 0
	for i < n && a[i] == b[i] {
		i++
	}
	if i == n || a[i] < 0xee && b[i] < 0xee { // from 0xee on they are first bytes of characters
		return bytes.Compare(a[i:], b[i:])
	}
	return slices.Compare(utf16.Encode([]rune(string(a[i:]))), utf16.Encode([]rune(string(b[i:]))))
}
