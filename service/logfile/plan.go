package logfile

import (
	"math"
	"strconv"

	"rillmark/calc/fault"
)

// plan is a mapping made ready for rows.
type plan struct {
	encoding  string
	delimiter byte
	header    int
	form      numberForm
	columns   []int // of time
	timeForm  string
	order     dateOrder
	zone      zoneClock
	zoneName  string
	value     int
	factor    float64
	counter   bool
	modulus   float64 // in the file's unit
	status    int     // −1: none
	good      map[string]bool
	least     int // fields a row must have
}

// planOf wants a complete mapping with columns by number.
func planOf(m Mapping) (plan, error) {
	faults := m.validate()
	p := plan{encoding: m.Encoding, delimiter: delimiterOf(m.Delimiter), timeForm: m.TimeForm,
		order: orderNames[m.DateOrder], zoneName: m.Zone, counter: m.Counter, modulus: m.Modulus, status: -1,
		form: numberForm{comma: m.DecimalMark == "comma"}}
	if m.HeaderLines != nil {
		p.header = *m.HeaderLines
	}
	column := func(field string, c Column) int {
		n, err := strconv.Atoi(string(c))
		if err != nil || n < 1 || n > MaxColumns {
			faults = append(faults, CodeMapColumn.At(field, brief(string(c)), "1 … 256"))
			return 0
		}
		p.least = max(p.least, n)
		return n - 1
	}
	for _, c := range m.TimeColumns {
		p.columns = append(p.columns, column("time_columns", c))
	}
	if len(p.columns) == 0 {
		faults = append(faults, CodeNoTime.At("time_columns"))
	}
	if m.TimeForm == formDate && p.order == orderUnknown {
		faults = append(faults, AskDateOrder.At("date_order", ""))
	}
	p.value = column("value_column", m.ValueColumn)
	if m.Status != "" {
		p.status = column("status_column", m.Status)
		p.good = map[string]bool{}
		for _, w := range m.Good {
			p.good[w] = true
		}
	}
	loc, err := zoneOf(m.Zone)
	faults = append(faults, fault.AllOf(err)...)
	p.zone.loc = loc
	p.factor, err = factorOf(m.Unit, m.Counter)
	faults = append(faults, fault.AllOf(err)...)
	if len(faults) > 0 {
		return plan{}, faults
	}
	return p, nil
}

// stamp reads the row's time; a row it cannot be read of is counted as dropped.
func (d *reading) stamp() (micro int64, ok bool, err error) {
	p := &d.plan
	b := d.fields[p.columns[0]]
	if p.timeForm != formDate {
		if micro, ok = d.countedStamp(b); !ok {
			d.counts.add(DropStamp, d.word(b), d.line)
		}
		return micro, ok, nil
	}
	var date dateText
	var clock clockText
	if len(p.columns) == 2 {
		var rest []byte
		date, rest, ok = takeDate(b)
		if ok = ok && len(rest) == 0; ok {
			clock, ok = takeClock(d.fields[p.columns[1]])
		}
	} else {
		date, clock, ok = takeStamp(b)
	}
	var year, month, day int
	if ok {
		year, month, day, ok = date.civil(p.order)
	}
	var local int64
	if ok {
		local, ok = localMicro(year, month, day, clock)
	}
	if !ok {
		d.counts.add(DropStamp, d.word(b), d.line)
		return 0, false, nil
	}
	if clock.zoned {
		return local - int64(clock.offset)*1e6, true, nil
	}
	return d.zoned(local, b)
}

func (d *reading) zoned(local int64, text []byte) (micro int64, ok bool, err error) {
	micro, twice, ok := d.plan.zone.utc(local, d.last)
	if !ok {
		d.counts.add(DropNoSuchTime, d.word(text), d.line)
		return 0, false, nil
	}
	if twice && d.last == noStamp {
		return 0, false, AskHour.At("zone", d.word(text), d.plan.zoneName)
	}
	return micro, true, nil
}

// serialEpoch is 1970-01-01 as a spreadsheet counts days, from 1899-12-30.
const serialEpoch = 25569

func (d *reading) countedStamp(b []byte) (int64, bool) {
	v, _, ok := d.plan.form.parse(b)
	if !ok {
		v, _, ok = numberForm{comma: !d.plan.form.comma}.parse(b)
	}
	if !ok || math.Abs(v) > 1e13 {
		return 0, false
	}
	switch d.plan.timeForm {
	case formEpoch:
		return int64(math.Round(v * 1e6)), math.Abs(v) < 1e11
	case formEpochMs:
		return int64(math.Round(v * 1e3)), true
	}
	if v < serialEpoch || v > 110000 {
		return 0, false
	}
	// A serial holds no more than milliseconds.
	local := int64(math.Round((v-serialEpoch)*86400*1e3)) * 1e3
	micro, _, ok := d.plan.zone.utc(local, d.last)
	return micro, ok
}

// unwrapping follows a counter through its end.
type unwrapping struct {
	last, turns float64
	some        bool
}

// next returns the reading as one that runs on, in the file's unit. A fall by more than
// half of what the counter can show is a passage through its end; where the mapping does
// not say its end, that is the next power of ten above the reading before. Any other fall
// is a counter set back, whose row is dropped.
func (u *unwrapping) next(v float64, p plan, r *Report) (float64, bool) {
	if v < 0 || p.modulus > 0 && v >= p.modulus {
		return 0, false
	}
	if u.some && v < u.last {
		end := p.modulus
		if end == 0 {
			end = math.Pow(10, math.Ceil(math.Log10(u.last+1e-9)))
		}
		if u.last-v <= end/2 || p.modulus == 0 && (u.last < 0.9*end || v > 0.1*end) {
			return 0, false
		}
		u.turns += end
		r.Wraps++
		r.Modulus = end * p.factor
	}
	u.last, u.some = v, true
	return v + u.turns, true
}
