package logfile

import (
	"bufio"
	"bytes"
	"errors"
	"io"
	"math"

	"rillmark/calc/fault"
)

// Points are rows kept, in order of time: microseconds since 1970 in UTC, and values in
// m³/s, or m³ of a counter that runs on.
type Points struct {
	Micro []int64
	Value []float64
}

// blockRows are handed on at a time.
const blockRows = 8192

// Read reads a file under a complete mapping, as Propose gives one, and hands the rows
// kept on in blocks of at most 8192; the block is used again after sink returns. Memory
// does not grow with the file. A row whose time is not after the row before it is
// dropped; where a single stamp runs ahead of the rows on both sides of it, that one is.
// Errors: those of the mapping, the limits, no row kept, and sink's own.
func Read(r io.Reader, m Mapping, sink func(Points) error) (Report, error) {
	p, err := planOf(m)
	if err != nil {
		return Report{}, err
	}
	d := &reading{plan: p, sink: sink, counts: counts{}, last: noStamp, before: noStamp}
	d.report.Factor = p.factor
	limited := &limit{r: r, left: MaxBytes}
	lines := bufio.NewReaderSize(decoded(limited, m.Encoding), MaxLine)
	if err := d.all(lines); err != nil {
		return Report{}, err
	}
	if err := d.flush(true); err != nil {
		return Report{}, err
	}
	d.report.Dropped = d.counts.list()
	if d.report.Kept == 0 {
		return d.report, CodeNoRows.At("", d.report.Rows)
	}
	return d.report, nil
}

// noStamp lies before every time.
const noStamp = math.MinInt64 / 4

// limit refuses what is too large rather than cutting it short.
type limit struct {
	r    io.Reader
	left int64
}

func (l *limit) Read(b []byte) (int, error) {
	n, err := l.r.Read(b)
	if l.left -= int64(n); l.left < 0 {
		return 0, CodeTooLarge.At("", MaxBytes>>20)
	}
	return n, err
}

type reading struct {
	plan   plan
	sink   func(Points) error
	counts counts
	report Report

	line         int
	fields       [][]byte
	block        Points
	last, before int64 // the last time kept and the one before it
	usual        int64 // a usual step between rows
	counter      unwrapping
}

func (d *reading) all(lines *bufio.Reader) error {
	for {
		line, err := lines.ReadSlice('\n')
		d.line++
		switch {
		case errors.Is(err, bufio.ErrBufferFull):
			return CodeLongLine.At("", d.line, MaxLine)
		case err != nil && !errors.Is(err, io.EOF):
			if len(fault.AllOf(err)) > 0 {
				return err
			}
			return CodeUnreadable.At("", err.Error())
		}
		if d.line == 1 {
			line = bytes.TrimPrefix(line, []byte("\ufeff"))
		}
		if d.line > d.plan.header {
			if err := d.row(line); err != nil {
				return err
			}
		}
		if err != nil {
			return nil
		}
	}
}

func (d *reading) row(line []byte) error {
	line = bytes.TrimRight(line, "\r\n")
	if len(trim(line)) == 0 {
		return nil
	}
	d.report.Rows++
	d.fields = splitLine(d.fields[:0], line, d.plan.delimiter)
	if len(d.fields) > MaxColumns {
		return CodeManyColumns.At("", len(d.fields), MaxColumns)
	}
	if len(d.fields) < d.plan.least {
		d.counts.add(DropFields, "", d.line)
		return nil
	}
	micro, ok, err := d.stamp()
	if !ok || err != nil {
		return err
	}
	value, ok := d.value()
	if !ok {
		return nil
	}
	return d.keep(micro, value)
}

// value reads the row's value, its status first.
func (d *reading) value() (float64, bool) {
	p := &d.plan
	if p.status >= 0 {
		if s := d.fields[p.status]; !p.good[string(s)] {
			d.counts.add(DropStatus, d.word(s), d.line)
			return 0, false
		}
	}
	f := d.fields[p.value]
	if len(f) == 0 {
		d.counts.add(DropBlank, "", d.line)
		return 0, false
	}
	v, decimals, ok := p.form.parse(f)
	if !ok {
		d.counts.add(DropWord, d.word(f), d.line)
		return 0, false
	}
	if decimals > d.report.Decimals {
		d.report.Decimals = decimals
	}
	return v, true
}

func (d *reading) word(b []byte) string {
	if len(b) > 160 {
		b = b[:160]
	}
	return brief(shown(b, d.plan.encoding))
}

// keep puts a row behind those kept, if its time lies there.
func (d *reading) keep(micro int64, value float64) error {
	if micro <= d.last {
		if micro == d.last {
			d.counts.add(DropRepeated, "", d.line)
			return nil
		}
		n := len(d.block.Micro)
		ranAhead := d.usual > 0 && d.last-d.before > 20*d.usual && micro > d.before && micro-d.before <= 5*d.usual
		d.counts.add(DropOrder, "", d.line)
		if !ranAhead || n == 0 || d.plan.counter {
			return nil
		}
		d.block.Micro, d.block.Value = d.block.Micro[:n-1], d.block.Value[:n-1]
		d.report.Kept--
		d.last = d.before
	}
	if d.plan.counter {
		var ok bool
		if value, ok = d.counter.next(value, d.plan, &d.report); !ok {
			d.counts.add(DropCounter, "", d.line)
			return nil
		}
	}
	if d.last != noStamp {
		if step := micro - d.last; d.usual == 0 || step < d.usual {
			d.usual = step
		}
	}
	d.before, d.last = d.last, micro
	d.block.Micro = append(d.block.Micro, micro)
	d.block.Value = append(d.block.Value, value*d.plan.factor)
	d.report.Kept++
	if len(d.block.Micro) > blockRows {
		return d.flush(false)
	}
	return nil
}

// flush hands the block on; the last row stays behind until it is sure, save at the end.
func (d *reading) flush(end bool) error {
	n := len(d.block.Micro)
	if !end {
		n--
	}
	if n <= 0 {
		return nil
	}
	if err := d.sink(Points{d.block.Micro[:n], d.block.Value[:n]}); err != nil {
		return err
	}
	rest := copy(d.block.Micro, d.block.Micro[n:])
	copy(d.block.Value, d.block.Value[n:])
	d.block.Micro, d.block.Value = d.block.Micro[:rest], d.block.Value[:rest]
	return nil
}
