package logfile

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"time"

	"rillmark/calc/fault"
	"rillmark/calc/quantity"
	"rillmark/calc/trace"
)

// Mapping says how a file is to be read: a column map. As JSON it is what a company keeps
// and what a program outside gives. What is empty is proposed from the file. Columns are
// given by their number, counted from 1, or by their heading.
type Mapping struct {
	Encoding    string     `json:"encoding,omitempty"`      // utf-8, utf-16le, utf-16be, latin-1
	Delimiter   string     `json:"delimiter,omitempty"`     // comma, semicolon, tab, bar, space
	HeaderLines *int       `json:"header_lines,omitempty"`  // lines before the first row of data
	DecimalMark string     `json:"decimal_mark,omitempty"`  // point, comma
	Sheet       string     `json:"sheet,omitempty"`         // of an XLSX; the first where empty
	TimeColumns []Column   `json:"time_columns,omitempty"`  // one, or date and time apart
	TimeForm    string     `json:"time_form,omitempty"`     // date, epoch-s, epoch-ms, serial
	DateOrder   string     `json:"date_order,omitempty"`    // ymd, dmy, mdy
	Zone        string     `json:"zone,omitempty"`          // IANA name, UTC, or an offset like +01:00
	ValueColumn Column     `json:"value_column,omitempty"`  //
	Unit        string     `json:"unit,omitempty"`          // of flow, or of volume for a counter
	Counter     bool       `json:"counter,omitempty"`       // the value is a counter of volume
	Modulus     float64    `json:"modulus,omitempty"`       // at which the counter begins again, in its unit
	Status      Column     `json:"status_column,omitempty"` //
	Good        []string   `json:"good_status,omitempty"`   // words of rows to keep; the others are dropped
	Averaging   *Averaging `json:"averaging,omitempty"`
}

// Averaging is how the channel was averaged before it was logged.
type Averaging struct {
	Kind    string  `json:"kind"` // none, trailing, centred, exponential, unknown
	Seconds float64 `json:"seconds,omitempty"`
}

// Column is a column's number, counted from 1, or its heading.
type Column string

// UnmarshalJSON takes a number as well as a text.
func (c *Column) UnmarshalJSON(b []byte) error {
	if len(b) > 0 && b[0] != '"' {
		*c = Column(b)
		return nil
	}
	var s string
	err := json.Unmarshal(b, &s)
	*c = Column(s)
	return err
}

// ParseMapping reads a column map from JSON. Unknown names are refused.
func ParseMapping(text []byte) (Mapping, error) {
	var m Mapping
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	if err := d.Decode(&m); err != nil {
		return Mapping{}, CodeBadMap.At("", err.Error())
	}
	if faults := m.validate(); len(faults) > 0 {
		return Mapping{}, faults
	}
	return m, nil
}

func (m Mapping) validate() (faults fault.List) {
	word := func(field, given string, of ...string) {
		for _, w := range append(of, "") {
			if given == w {
				return
			}
		}
		faults = append(faults, CodeMapWord.At(field, given, strings.Join(of, ", ")))
	}
	word("encoding", m.Encoding, "utf-8", "utf-16le", "utf-16be", "latin-1")
	word("delimiter", m.Delimiter, "comma", "semicolon", "tab", "bar", "space")
	word("decimal_mark", m.DecimalMark, "point", "comma")
	word("time_form", m.TimeForm, "date", "epoch-s", "epoch-ms", "serial")
	word("date_order", m.DateOrder, "ymd", "dmy", "mdy")
	if m.HeaderLines != nil && (*m.HeaderLines < 0 || *m.HeaderLines > 10000) {
		faults = append(faults, CodeMapWord.At("header_lines", "", "0 … 10000"))
	}
	if m.Modulus < 0 || math.IsInf(m.Modulus, 0) {
		faults = append(faults, CodeMapWord.At("modulus", "", "> 0"))
	}
	if len(m.TimeColumns) > 2 {
		faults = append(faults, CodeMapWord.At("time_columns", "", "1, 2"))
	}
	if m.Zone != "" {
		if _, err := zoneOf(m.Zone); err != nil {
			faults = append(faults, fault.AllOf(err)...)
		}
	}
	if m.Averaging != nil {
		word("averaging.kind", m.Averaging.Kind, "none", "trailing", "centred", "exponential", "unknown")
	}
	return faults
}

// Channel returns the averaging as package trace takes it.
func (m Mapping) Channel() trace.Averaging {
	if m.Averaging == nil {
		return trace.Averaging{}
	}
	kind, _ := trace.KindOf(m.Averaging.Kind)
	return trace.Averaging{Kind: kind, Seconds: m.Averaging.Seconds}
}

// zoneOf reads an IANA name, UTC, or an offset.
func zoneOf(name string) (*time.Location, error) {
	if t, err := time.Parse("-07:00", name); err == nil {
		_, offset := t.Zone()
		return time.FixedZone(name, offset), nil
	}
	loc, err := time.LoadLocation(name)
	if err != nil || name == "Local" || name == "" {
		return nil, CodeZone.At("zone", name)
	}
	return loc, nil
}

// factorOf returns what one of the unit is in m³/s, or m³ for a counter.
func factorOf(unit string, counter bool) (float64, error) {
	kind := quantity.KindFlow
	if counter {
		kind = quantity.KindVolume
	}
	e, err := quantity.Parse("1 "+unit, kind, quantity.Options{})
	if err != nil {
		return 0, CodeUnit.At("unit", unit)
	}
	return e.SI, nil
}
