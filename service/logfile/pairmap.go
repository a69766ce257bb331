package logfile

import (
	"bytes"
	"encoding/json"
	"math"

	"rillmark/calc/fault"
	"rillmark/calc/trace"
)

// PairMap says how a reference's and a meter's file are to be read and compared. The zero
// value leaves everything to the proposals.
type PairMap struct {
	Reference Mapping    `json:"reference"`
	Meter     Mapping    `json:"meter"`
	Zone      string     `json:"zone,omitempty"`            // of stamps that do not say theirs; UTC where empty
	Search    float64    `json:"search_s,omitempty"`        // how far apart the clocks may be
	Least     float64    `json:"least_stretch_s,omitempty"` // least length of a steady stretch
	Note      *ClockNote `json:"clock_note,omitempty"`
}

// ClockNote is what reading both loggers against one clock told; it serves where the
// signals tell no lag.
type ClockNote struct {
	Lag         float64 `json:"lag_s"`
	Uncertainty float64 `json:"uncertainty_s"` // 95 %
}

// pairNames are what tells a map of two files from the column map of one.
var pairNames = []string{"reference", "meter", "search_s", "least_stretch_s", "clock_note"}

// ParsePairMap reads a map of two files, or one column map, which then serves for both.
func ParsePairMap(text []byte) (PairMap, error) {
	var keys map[string]json.RawMessage
	if err := json.Unmarshal(text, &keys); err != nil {
		return PairMap{}, CodeBadMap.At("", err.Error())
	}
	isPair := false
	for _, n := range pairNames {
		_, has := keys[n]
		isPair = isPair || has
	}
	if !isPair {
		m, err := ParseMapping(text)
		return PairMap{Reference: m, Meter: m}, err
	}
	var p PairMap
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	if err := d.Decode(&p); err != nil {
		return PairMap{}, CodeBadMap.At("", err.Error())
	}
	if faults := p.validate(); len(faults) > 0 {
		return PairMap{}, faults
	}
	return p, nil
}

func (p PairMap) validate() (faults fault.List) {
	for _, f := range p.Reference.validate() {
		faults = append(faults, f.In("reference."+f.Field))
	}
	for _, f := range p.Meter.validate() {
		faults = append(faults, f.In("meter."+f.Field))
	}
	if p.Zone != "" {
		_, err := zoneOf(p.Zone)
		faults = append(faults, fault.AllOf(err)...)
	}
	if p.Search < 0 || p.Search > 86400 {
		faults = append(faults, trace.CodeBadSearch.At("search_s", p.Search))
	}
	if p.Least < 0 || math.IsInf(p.Least, 0) {
		faults = append(faults, trace.CodeBadSearch.At("least_stretch_s", p.Least))
	}
	if n := p.Note; n != nil && n.Uncertainty <= 0 {
		faults = append(faults, trace.CodeBadSearch.At("clock_note.uncertainty_s", n.Uncertainty))
	}
	return faults
}

// Comparison is what two files say of each other.
type Comparison struct {
	Reference, Meter Channel
	Origin           int64 // microseconds since 1970 from which the alignment's and the stretches' seconds count
	Alignment        trace.Alignment
	Noted            bool // the lag is that of the clock note
	Stretches        []trace.Stretch
}

// Compare reads both files, finds the lag between their clocks, the steady stretches and
// the error in each.
func Compare(reference, meter Source, m PairMap) (Comparison, error) {
	zone := m.Zone
	if zone == "" {
		zone = "UTC"
	}
	var c Comparison
	var faults fault.List
	var err error
	c.Reference, err = Load(reference, m.Reference, zone)
	faults = append(faults, fieldsOf("reference", err)...)
	c.Meter, err = Load(meter, m.Meter, zone)
	faults = append(faults, fieldsOf("meter", err)...)
	if len(faults) > 0 {
		return c, faults
	}
	c.Origin = c.Reference.Points.Micro[0]
	r, err := c.Reference.Series(c.Origin)
	faults = append(faults, fieldsOf("reference", err)...)
	s, err := c.Meter.Series(c.Origin)
	faults = append(faults, fieldsOf("meter", err)...)
	if len(faults) > 0 {
		return c, faults
	}
	return c, c.align(r, s, m)
}

func (c *Comparison) align(reference, meter trace.Series, m PairMap) (err error) {
	search := m.Search
	if search == 0 {
		search = trace.DefaultSearch
	}
	if c.Alignment, err = trace.Align(reference, meter, search); err != nil {
		return err
	}
	used := c.Alignment
	if !used.Found {
		used.Lag, used.Drift = 0, 0
		if m.Note != nil {
			c.Noted = true
			used = trace.Alignment{Found: true, Lag: m.Note.Lag, Uncertainty: m.Note.Uncertainty}
			c.Alignment.Lag, c.Alignment.Uncertainty = used.Lag, used.Uncertainty
		}
	}
	c.Stretches, err = trace.Stretches(reference, meter, used, trace.SteadyOptions{Search: search, Least: m.Least})
	return err
}

// fieldsOf puts the file's name before the fields of an error's faults. An error that has
// none is of reading, and told as such.
func fieldsOf(file string, err error) (out fault.List) {
	if err == nil {
		return nil
	}
	faults := fault.AllOf(err)
	if len(faults) == 0 {
		return fault.List{CodeUnreadable.At(file, err.Error())}
	}
	for _, f := range faults {
		field := file
		if f.Field != "" {
			field += "." + f.Field
		}
		out = append(out, f.In(field))
	}
	return out
}
