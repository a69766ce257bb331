package logfile

import (
	"bytes"
	"time"
)

// dateOrder is the order in which day, month and year stand.
type dateOrder int

// The orders. The zero value is of dates that say themselves, or are not known.
const (
	orderUnknown dateOrder = iota
	orderYMD
	orderDMY
	orderMDY
)

var orderNames = map[string]dateOrder{"ymd": orderYMD, "dmy": orderDMY, "mdy": orderMDY}

func (o dateOrder) String() string {
	return [...]string{"", "ymd", "dmy", "mdy"}[o]
}

// dateText is a date taken apart, not yet understood.
type dateText struct {
	part   [3]int
	digits [3]int // how many digits each part has
	named  int    // which part is a month's name, counted from 1; 0: none
	mark   byte
}

// clockText is a time of day taken apart.
type clockText struct {
	second int // of the day
	micro  int
	offset int // seconds east of UTC
	zoned  bool
	half   bool // AM or PM stood there
}

// number reads digits from the beginning of b.
func number(b []byte) (v, n int) {
	for n < len(b) && n < 9 && b[n] >= '0' && b[n] <= '9' {
		v = v*10 + int(b[n]-'0')
		n++
	}
	return v, n
}

// takeDate reads a date from the beginning of b and returns what follows.
func takeDate(b []byte) (d dateText, rest []byte, ok bool) {
	if v, n := number(b); n == 8 { // 20260324
		d = dateText{part: [3]int{v / 10000, v / 100 % 100, v % 100}, digits: [3]int{4, 2, 2}, mark: '-'}
		return d, b[8:], true
	}
	for i := range 3 {
		v, n := number(b)
		if n == 0 {
			v, n = monthName(b)
			if n == 0 || d.named != 0 {
				return d, b, false
			}
			d.named = i + 1
		}
		if n > 4 && d.named != i+1 {
			return d, b, false
		}
		d.part[i], d.digits[i] = v, n
		b = b[n:]
		if i == 2 {
			break
		}
		if len(b) == 0 || b[0] != '-' && b[0] != '/' && b[0] != '.' && b[0] != ' ' || i == 1 && b[0] != d.mark {
			return d, b, false
		}
		d.mark, b = b[0], b[1:]
	}
	if d.mark == ' ' && d.named == 0 {
		return d, b, false
	}
	return d, b, true
}

const monthNames = "janfebmaraprmayjunjulaugsepoctnovdec"

func monthName(b []byte) (month, n int) {
	if len(b) < 3 {
		return 0, 0
	}
	at := bytes.Index([]byte(monthNames), bytes.ToLower(b[:3]))
	if at < 0 || at%3 != 0 {
		return 0, 0
	}
	return at/3 + 1, 3
}

// orders returns which orders the date can be read in.
func (d dateText) orders() (can [4]bool) {
	year := func(i int) bool { return d.digits[i] == 4 && d.named != i+1 || d.digits[i] == 2 && d.named != i+1 }
	month := func(i int) bool { return d.part[i] >= 1 && d.part[i] <= 12 && d.digits[i] <= 3 }
	day := func(i int) bool { return d.part[i] >= 1 && d.part[i] <= 31 && d.digits[i] <= 2 && d.named != i+1 }
	can[orderYMD] = year(0) && month(1) && day(2)
	can[orderDMY] = day(0) && month(1) && year(2)
	can[orderMDY] = month(0) && day(1) && year(2)
	if d.mark == '.' && d.digits[2] == 4 {
		can[orderMDY] = false // nowhere are dates with points written month first
	}
	if d.named == 1 {
		can[orderDMY], can[orderYMD] = false, false
	} else if d.named == 2 {
		can[orderMDY] = false
	}
	return can
}

// civil puts the parts in order.
func (d dateText) civil(o dateOrder) (year, month, day int, ok bool) {
	if !d.orders()[o] {
		return 0, 0, 0, false
	}
	switch o {
	case orderYMD:
		year, month, day = d.part[0], d.part[1], d.part[2]
	case orderDMY:
		day, month, year = d.part[0], d.part[1], d.part[2]
	default:
		month, day, year = d.part[0], d.part[1], d.part[2]
	}
	if year < 100 {
		year += 2000
	}
	return year, month, day, year >= 1970 && year < 2200
}

// takeClock reads a time of day, with an offset from UTC if there is one; the whole of b.
func takeClock(b []byte) (c clockText, ok bool) {
	hour, n := number(b)
	if n == 6 && len(b) >= 6 { // 100000
		c.second, b = hour/10000*3600+hour/100%100*60+hour%100, b[6:]
		if hour/10000 > 23 || hour/100%100 > 59 || hour%100 > 59 {
			return c, false
		}
		return c.finish(b)
	}
	if n == 0 || n > 2 || len(b) <= n || b[n] != ':' && b[n] != '.' {
		return c, false
	}
	mark := b[n]
	minute, k := number(b[n+1:])
	if k != 2 || minute > 59 {
		return c, false
	}
	b = b[n+1+k:]
	second := 0
	if len(b) > 0 && b[0] == mark {
		if second, k = number(b[1:]); k != 2 || second > 59 {
			return c, false
		}
		b = b[1+k:]
		if len(b) > 1 && (b[0] == '.' || b[0] == ',' || b[0] == ':') {
			v, k := number(b[1:])
			if k == 0 {
				return c, false
			}
			b = b[1+k:]
			for ; k < 6; k++ {
				v *= 10
			}
			for ; k > 6; k-- {
				v /= 10
			}
			for len(b) > 0 && b[0] >= '0' && b[0] <= '9' {
				b = b[1:]
			}
			c.micro = v
		}
	}
	b = bytes.TrimLeft(b, " ")
	if len(b) >= 2 && (b[0]|0x20 == 'a' || b[0]|0x20 == 'p') {
		pm := b[0]|0x20 == 'p'
		switch {
		case b[1]|0x20 == 'm':
			b = b[2:]
		case len(b) >= 4 && b[1] == '.' && b[2]|0x20 == 'm':
			b = bytes.TrimLeft(b[3:], ".")
		default:
			return c, false
		}
		if hour < 1 || hour > 12 {
			return c, false
		}
		hour %= 12
		if pm {
			hour += 12
		}
		c.half = true
	}
	if hour > 23 {
		return c, false
	}
	c.second = hour*3600 + minute*60 + second
	return c.finish(b)
}

// finish reads what may follow a time of day: Z, UTC, or an offset.
func (c clockText) finish(b []byte) (clockText, bool) {
	b = bytes.TrimLeft(b, " ")
	switch {
	case len(b) == 0:
		return c, true
	case string(b) == "Z", string(b) == "z", string(b) == "UTC", string(b) == "GMT":
		c.zoned = true
		return c, true
	case b[0] == '+' || b[0] == '-':
		hour, n := number(b[1:])
		minute := 0
		rest := b[1+n:]
		if n == 4 {
			hour, minute = hour/100, hour%100
		} else if n != 2 {
			return c, false
		}
		if n == 2 && len(rest) > 0 {
			if rest[0] == ':' {
				rest = rest[1:]
			}
			var k int
			if minute, k = number(rest); k != 2 {
				return c, false
			}
			rest = rest[k:]
		}
		c.zoned, c.offset = true, hour*3600+minute*60
		if b[0] == '-' {
			c.offset = -c.offset
		}
		return c, len(rest) == 0 && hour < 15 && minute < 60
	}
	return c, false
}

// takeStamp reads a date and a time of day from one field. A date alone is its midnight.
func takeStamp(b []byte) (d dateText, c clockText, ok bool) {
	d, rest, ok := takeDate(b)
	if !ok {
		return d, c, false
	}
	if len(rest) == 0 {
		return d, c, true
	}
	if rest[0] != ' ' && rest[0] != 'T' && rest[0] != 't' && rest[0] != ',' && rest[0] != '_' {
		return d, c, false
	}
	c, ok = takeClock(bytes.TrimLeft(rest[1:], " "))
	return d, c, ok
}

// localMicro returns the microseconds since 1970 of the reading of a clock, as if it were UTC.
func localMicro(year, month, day int, c clockText) (int64, bool) {
	t := time.Date(year, time.Month(month), day, 0, 0, 0, 0, time.UTC)
	if t.Day() != day {
		return 0, false
	}
	return (t.Unix()+int64(c.second))*1e6 + int64(c.micro), true
}
