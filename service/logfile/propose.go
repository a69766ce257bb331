package logfile

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"strconv"

	"rillmark/calc/fault"
	"rillmark/calc/quantity"
)

// Proposal is how a file is to be read, for a person to confirm or change.
type Proposal struct {
	Mapping   Mapping    // complete but for what the questions ask
	Questions fault.List // what can be read in more than one way, in the mapping's fields
	Columns   []ColumnView
	First     [][]string // the first rows of data, as they stand
	// Fingerprint is of delimiter, columns and headings: files that one logger writes, set up
	// alike, share it.
	Fingerprint [sha256.Size]byte

	perRow int // bytes of a row, about
}

// ColumnView is one column as a person is shown it.
type ColumnView struct {
	Number  int // from 1
	Heading string
	Role    string // time, value, status, or empty
	Unit    string // found in the heading
	Numbers bool   // most of its fields are numbers
}

// Complete reports whether the file can be read as proposed.
func (p Proposal) Complete() bool { return len(p.Questions) == 0 }

// firstRows are shown.
const firstRows = 8

// Propose looks at the beginning and the end of a file (the end may be empty, where the
// beginning is the whole) and proposes how to read it. What the given mapping says is
// taken as it is; the rest is found, or asked. zone is the time zone of stamps that do not
// say theirs, where neither mapping nor file does: the site's.
func Propose(head, tail []byte, given Mapping, zone string) (Proposal, error) {
	s, err := sampled(head, tail, given)
	if err != nil {
		return Proposal{}, err
	}
	t, err := s.lay(given)
	if err != nil {
		return Proposal{}, err
	}
	p := Proposal{Mapping: given}
	s.readHeader(given, t)
	if len(given.TimeColumns) > 0 {
		if t, err = s.mappedTimes(given); err != nil {
			return Proposal{}, err
		}
		s.readHeader(given, t)
	}
	if !t.found() {
		return Proposal{}, CodeNoTime.At("time_columns")
	}
	b := builder{s: &s, t: t, p: &p}
	b.layout()
	b.times(zone)
	if err := b.values(); err != nil {
		return Proposal{}, err
	}
	if given.Averaging == nil {
		p.Mapping.Averaging = averagingIn(append(s.before(), s.headings...))
	}
	b.view()
	p.Fingerprint = sha256.Sum256(fmt.Appendf(nil, "%s\n%d\n%q", s.delimiter, s.columns, s.headings))
	p.perRow = len(head)/(len(s.head)+1) + 1
	return p, nil
}

// mappedTimes takes the columns of time that the mapping names.
func (s *sample) mappedTimes(m Mapping) (t times, err error) {
	for _, c := range m.TimeColumns {
		i, err := s.column("time_columns", c)
		if err != nil {
			return t, err
		}
		t.columns = append(t.columns, i)
	}
	t.form = m.TimeForm
	if t.form == "" {
		t.form = formDate
		if f := s.counted(t.columns[0], m); f != "" {
			t.form = f
		}
	}
	return t, nil
}

type builder struct {
	s     *sample
	t     times
	p     *Proposal
	form  numberForm
	value int
	state int // column of status, −1: none
}

func (b *builder) ask(f fault.Fault) { b.p.Questions = append(b.p.Questions, f) }

func (b *builder) layout() {
	m := &b.p.Mapping
	m.Encoding, m.Delimiter = b.s.encoding, b.s.delimiter
	header := b.s.header
	m.HeaderLines = &header
}

// numbered is a column by its number, as mappings hold it when found.
func numbered(c int) Column { return Column(strconv.Itoa(c + 1)) }

func (b *builder) times(zone string) {
	m := &b.p.Mapping
	if len(m.TimeColumns) == 0 && len(b.t.others) > 0 && b.t.form == formDate {
		b.ask(AskTime.At("time_columns", b.s.names(append(append([]int(nil), b.t.columns...), b.t.others...))))
	}
	m.TimeColumns = nil
	for _, c := range b.t.columns {
		m.TimeColumns = append(m.TimeColumns, numbered(c))
	}
	if m.TimeForm == "" {
		m.TimeForm = b.t.form
	}
	if m.TimeForm == formDate && m.DateOrder == "" {
		order, question := b.s.orderOf(b.t)
		if question != nil {
			b.ask(*question)
		}
		m.DateOrder = order.String()
	}
	if m.Zone == "" {
		lines := b.s.before()
		for _, c := range b.t.columns {
			lines = append(lines, b.s.headings[c])
		}
		if m.Zone = zoneIn(lines); m.Zone == "" {
			m.Zone = zone
		}
	}
}

func (b *builder) values() error {
	m := &b.p.Mapping
	b.state = -1
	if m.Status != "" {
		c, err := b.s.column("status_column", m.Status)
		if err != nil {
			return err
		}
		b.state = c
	} else {
		b.findStatus()
	}
	b.value = -1
	if m.ValueColumn != "" {
		c, err := b.s.column("value_column", m.ValueColumn)
		if err != nil {
			return err
		}
		b.value = c
	} else if err := b.findValue(); err != nil {
		return err
	}
	b.mark()
	if b.value < 0 {
		return nil
	}
	m.ValueColumn = numbered(b.value)
	b.unit()
	return nil
}

// findStatus takes a column that is headed as a status and in which some rows say that
// they are good; without such a word nothing can be told from it.
func (b *builder) findStatus() {
	m := &b.p.Mapping
	for c, h := range b.s.headings {
		if !statusWords.MatchString(h) || b.isTime(c) {
			continue
		}
		good := map[string]bool{}
		for _, r := range b.s.rows {
			if goodWords.Match(r[c]) && !good[string(r[c])] {
				good[string(r[c])] = true
				m.Good = append(m.Good, string(r[c]))
			}
		}
		if len(good) > 0 {
			b.state, m.Status = c, numbered(c)
			return
		}
	}
}

func (b *builder) isTime(c int) bool {
	for _, t := range b.t.columns {
		if t == c {
			return true
		}
	}
	return false
}

// numeric are the columns that can be the value: at least a third of what is in them are
// numbers, for a logger may have been off for long.
func (b *builder) numeric() (found []int) {
	for c := range b.s.columns {
		if b.isTime(c) || c == b.state {
			continue
		}
		n, some := 0, 0
		for _, r := range b.s.rows {
			if len(r[c]) == 0 {
				continue
			}
			some++
			_, _, point := numberForm{}.parse(r[c])
			_, _, comma := numberForm{comma: true}.parse(r[c])
			if point || comma {
				n++
			}
		}
		if n > 0 && n*3 >= some {
			found = append(found, c)
		}
	}
	return found
}

// findValue takes the one column with a unit of flow, else the one headed as a flow, else
// the one with a unit of volume, else the only one with numbers. More than one is asked.
func (b *builder) findValue() error {
	all := b.numeric()
	if len(all) == 0 {
		return CodeNoValue.At("value_column")
	}
	var flows, worded, volumes []int
	for _, c := range all {
		h := b.s.headings[c]
		switch {
		case unitIn(h, quantity.KindFlow) != "":
			flows = append(flows, c)
		case flowWords.MatchString(h):
			worded = append(worded, c)
		case unitIn(h, quantity.KindVolume) != "":
			volumes = append(volumes, c)
		}
	}
	for _, some := range [][]int{flows, worded, volumes, all} {
		if len(some) == 1 {
			b.value = some[0]
			return nil
		}
		if len(some) > 1 {
			b.ask(AskValue.At("value_column", b.s.names(some)))
			return nil
		}
	}
	return nil
}

func (b *builder) unit() {
	m := &b.p.Mapping
	h := b.s.headings[b.value]
	if m.Unit == "" {
		m.Unit = unitIn(h, quantity.KindFlow)
		if m.Unit == "" {
			if m.Unit = unitIn(h, quantity.KindVolume); m.Unit != "" {
				m.Counter = true
			}
		}
	}
	if m.Unit == "" {
		b.ask(AskUnit.At("unit", b.s.names([]int{b.value})))
		return
	}
	if _, err := factorOf(m.Unit, m.Counter); err != nil {
		b.ask(fault.AllOf(err)[0])
	}
}

// mark tells the decimal mark from how numbers are written, in the value's column where
// that is known. A comma before three digits alone may group thousands: that is asked. A
// point before three digits is taken as decimal, for loggers do not group thousands,
// unless the file's dates and delimiter say that it was written where commas are decimal.
func (b *builder) mark() {
	m := &b.p.Mapping
	if m.DecimalMark != "" {
		b.form.comma = m.DecimalMark == "comma"
		return
	}
	columns := b.numeric()
	if b.value >= 0 {
		columns = []int{b.value}
	}
	var e evidence
	for _, r := range b.s.rows {
		for _, c := range columns {
			e.see(r[c])
		}
	}
	m.DecimalMark = "point"
	switch {
	case e.comma > 0 && e.point == 0:
		m.DecimalMark = "comma"
	case e.comma > 0 && e.point > 0:
		b.ask(AskDecimal.At("decimal_mark", e.example))
	case e.point > 0:
	case e.openComma > 0:
		b.ask(AskDecimal.At("decimal_mark", e.example))
		m.DecimalMark = ""
	case e.openPoint > 0 && m.Delimiter == "semicolon" && b.pointedDates():
		b.ask(AskDecimal.At("decimal_mark", e.example))
		m.DecimalMark = ""
	}
	b.form.comma = m.DecimalMark == "comma"
}

func (b *builder) pointedDates() bool {
	return b.t.form == formDate && len(b.s.rows) > 0 && bytes.Count(b.s.rows[0][b.t.columns[0]], []byte{'.'}) >= 2
}

// evidence counts how numbers are written.
type evidence struct {
	comma, point         int // can only be a decimal comma, a decimal point
	openComma, openPoint int // can be a decimal mark or group thousands
	example              string
}

func (e *evidence) see(b []byte) {
	b = bytes.TrimLeft(b, "+-")
	commas, points := bytes.Count(b, []byte{','}), bytes.Count(b, []byte{'.'})
	if commas+points == 0 || len(b) > 40 || bytes.Trim(b, "0123456789.,eE+-") != nil && len(bytes.Trim(b, "0123456789.,eE+-")) > 0 {
		return
	}
	comma, point := bytes.LastIndexByte(b, ','), bytes.LastIndexByte(b, '.')
	switch {
	case commas > 0 && points > 0:
		if comma > point {
			e.comma++
		} else {
			e.point++
		}
	case commas > 1:
		e.point++ // the commas group
	case points > 1:
		e.comma++
	case commas == 1:
		if grouped(b, ',') && b[0] != '0' {
			e.openComma++
			e.example = string(b)
		} else {
			e.comma++
		}
	default:
		if grouped(b, '.') && b[0] != '0' {
			e.openPoint++
			e.example = string(b)
		} else {
			e.point++
		}
	}
}

// view is what a person is shown.
func (b *builder) view() {
	numeric := map[int]bool{}
	for _, c := range b.numeric() {
		numeric[c] = true
	}
	for c, h := range b.s.headings {
		v := ColumnView{Number: c + 1, Heading: h, Numbers: numeric[c]}
		switch {
		case b.isTime(c):
			v.Role = "time"
		case c == b.value:
			v.Role, v.Unit = "value", b.p.Mapping.Unit
		case c == b.state:
			v.Role = "status"
		default:
			v.Unit = unitIn(h, quantity.KindFlow)
		}
		b.p.Columns = append(b.p.Columns, v)
	}
	mark := delimiterOf(b.s.delimiter)
	for _, l := range b.s.head[b.s.header:] {
		if len(b.p.First) == firstRows {
			break
		}
		var row []string
		for _, f := range splitLine(nil, l, mark) {
			row = append(row, brief(shown(f, b.s.encoding)))
		}
		b.p.First = append(b.p.First, row)
	}
}
