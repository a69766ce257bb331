package logfile

import (
	"math"

	"rillmark/calc/fault"
)

// times says which columns hold the time of a row, and in which form.
type times struct {
	columns []int // from 0; two where date and time of day stand apart
	form    string
	others  []int // columns that would do as well
}

func (t times) found() bool { return len(t.columns) > 0 }

// The forms of a time.
const (
	formDate    = "date"
	formEpoch   = "epoch-s"
	formEpochMs = "epoch-ms"
	formSerial  = "serial"
)

// findTimes looks for the columns of time: full stamps, else a date and a time of day,
// else dates alone, else seconds or milliseconds since 1970 or days since 1900 that rise.
func (s *sample) findTimes(m Mapping) times {
	var kinds [5][]int // full, date, clock, epoch or serial, by column
	forms := make([]string, s.columns)
	for c := range s.columns {
		var full, date, clock, rows int
		for _, r := range s.rows {
			f := r[c]
			if len(f) == 0 {
				continue
			}
			rows++
			if _, rest, ok := takeDate(f); ok && len(rest) == 0 {
				date++
			} else if _, _, ok := takeStamp(f); ok {
				full++
			} else if _, ok := takeClock(f); ok && clockLike(f) {
				clock++
			}
		}
		most := rows*6/10 + 1
		switch {
		case rows == 0:
		case full+date >= most && full > 0:
			kinds[0] = append(kinds[0], c)
		case date >= most && !plainNumber(s.rows, c):
			kinds[1] = append(kinds[1], c)
		case clock >= most:
			kinds[2] = append(kinds[2], c)
		default:
			if forms[c] = s.counted(c, m); forms[c] != "" {
				kinds[3] = append(kinds[3], c)
			}
		}
	}
	switch {
	case len(kinds[0]) > 0:
		return times{columns: kinds[0][:1], form: formDate, others: kinds[0][1:]}
	case len(kinds[1]) > 0 && len(kinds[2]) > 0:
		return times{columns: []int{kinds[1][0], kinds[2][0]}, form: formDate, others: append(kinds[1][1:], kinds[2][1:]...)}
	case len(kinds[3]) > 0:
		c := kinds[3][0]
		return times{columns: []int{c}, form: forms[c], others: kinds[3][1:]}
	case len(kinds[1]) > 0:
		return times{columns: kinds[1][:1], form: formDate, others: kinds[1][1:]}
	}
	return times{}
}

// clockLike keeps plain digits from being taken for a time of day.
func clockLike(f []byte) bool {
	for _, c := range f {
		if c == ':' {
			return true
		}
	}
	return false
}

// plainNumber reports whether the column holds digits without any mark, which are a date
// like 20260324 only where they can be nothing else.
func plainNumber(rows [][][]byte, c int) bool {
	for _, r := range rows {
		if d, _, ok := takeDate(r[c]); ok {
			if d.orders()[orderYMD] && d.part[0] > 1990 && d.part[0] < 2100 {
				continue
			}
			if v, n := number(r[c]); n == len(r[c]) && v > 0 {
				return true
			}
		}
	}
	return false
}

// counted tells whether the column's numbers are a rising count of time, and of what.
func (s *sample) counted(c int, m Mapping) string {
	low, high, last := math.Inf(1), math.Inf(-1), math.Inf(-1)
	n, rises := 0, 0
	for _, r := range s.rows {
		v, _, ok := numberForm{}.parse(r[c])
		if !ok {
			v, _, ok = numberForm{comma: true}.parse(r[c])
		}
		if !ok {
			continue
		}
		n++
		if v > last {
			rises++
		}
		low, high, last = math.Min(low, v), math.Max(high, v), v
	}
	if n < len(s.rows)*6/10 || n == 0 || rises < n*8/10 {
		return ""
	}
	switch {
	case low > 1e9 && high < 4e9:
		return formEpoch
	case low > 1e12 && high < 4e12:
		return formEpochMs
	case low > 36000 && high < 75000 && high-low < 3700:
		return formSerial
	}
	return ""
}

// reads reports whether the fields hold a time as found.
func (t times) reads(f [][]byte) bool {
	if !t.found() {
		return false
	}
	for _, c := range t.columns {
		if c >= len(f) {
			return false
		}
	}
	b := f[t.columns[0]]
	if t.form != formDate {
		_, _, ok := numberForm{}.parse(b)
		if !ok {
			_, _, ok = numberForm{comma: true}.parse(b)
		}
		return ok
	}
	if len(t.columns) == 2 {
		_, rest, ok := takeDate(b)
		_, okClock := takeClock(f[t.columns[1]])
		return ok && len(rest) == 0 && okClock
	}
	_, _, ok := takeStamp(b)
	return ok
}

// orderOf tells the order of dates from all that can be seen: the one every date can be
// read in. Two that are left are a question; none left takes the one most can be read in.
func (s *sample) orderOf(t times) (dateOrder, *fault.Fault) {
	var can [4]int
	dates, example := 0, ""
	look := func(f []byte) {
		d, _, ok := takeDate(f)
		if !ok {
			return
		}
		dates++
		if example == "" {
			example = brief(shown(f, s.encoding))
		}
		for o, yes := range d.orders() {
			if yes {
				can[o]++
			}
		}
	}
	mark := delimiterOf(s.delimiter)
	for _, lines := range [][][]byte{s.head, s.tail} {
		for _, l := range lines {
			if f := splitLine(nil, l, mark); len(f) == s.columns {
				look(f[t.columns[0]])
			}
		}
	}
	best, equal := orderYMD, false
	for o := orderDMY; o <= orderMDY; o++ {
		if can[o] > can[best] {
			best, equal = o, false
		} else if can[o] == can[best] && can[o] > 0 {
			equal = true
		}
	}
	if equal && can[best] > 0 {
		f := AskDateOrder.At("date_order", example)
		return orderUnknown, &f
	}
	return best, nil
}
