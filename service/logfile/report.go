package logfile

import (
	"sort"

	"rillmark/calc/fault"
)

// Dropped is how many rows were dropped for one reason.
type Dropped struct {
	Reason fault.Fault
	Rows   int
	First  int // the first such row, counted from 1 as lines of the file
}

// Report is what became of a file's rows. Kept and the dropped ones add up to Rows.
type Report struct {
	Rows     int // rows of data, empty lines apart
	Kept     int
	Dropped  []Dropped
	Decimals int     // most decimals a kept value was written with
	Factor   float64 // from the file's unit to SI
	Wraps    int     // passages of a counter through its end
	Modulus  float64 // SI, at which the counter was taken to begin again; 0: it did not
}

// Resolution is the smallest step in which the values are written, in SI.
func (r Report) Resolution() float64 { return r.Factor / powers[min(r.Decimals, 22)] }

// counts of dropped rows by reason and word, while reading.
type counts map[countKey]*Dropped

type countKey struct {
	code *fault.Code
	word string
}

// mostWords keeps a file of nothing but different words from filling the report.
const mostWords = 12

func (c counts) add(code *fault.Code, word string, line int) {
	k := countKey{code, word}
	d := c[k]
	if d == nil {
		if len(c) > mostWords && word != "" {
			k.word = "…"
			d = c[k]
		}
		if d == nil {
			d = &Dropped{First: line}
			c[k] = d
		}
	}
	d.Rows++
}

// list puts the reasons in the order of the first row of each.
func (c counts) list() (out []Dropped) {
	for k, d := range c {
		if len(k.code.Args()) == 2 {
			d.Reason = k.code.At("", d.Rows, k.word)
		} else {
			d.Reason = k.code.At("", d.Rows)
		}
		out = append(out, *d)
	}
	sort.Slice(out, func(i, j int) bool {
		if out[i].First != out[j].First {
			return out[i].First < out[j].First
		}
		return out[i].Reason.Code.Name() < out[j].Reason.Code.Name()
	})
	return out
}
