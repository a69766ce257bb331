package capture

import (
	"strconv"
	"strings"

	"rillmark/calc/fault"
	"rillmark/calc/quantity"
	"rillmark/domain"
)

// options settle what a text of the work sheet leaves open: a gauge on site shows gauge
// pressure, which the unit at the end of the line says.
var options = quantity.Options{Pressure: quantity.Gauge}

// typed reads a quantity as typed. A number without a unit has the one that stood at the
// end of its line, and is kept with it.
func typed(text string, kind quantity.Kind, unit string) (si float64, entered string, err error) {
	text = domain.Line(text)
	entry, err := quantity.Parse(text, kind, options)
	if fault.Has(err, quantity.NoUnit) && unit != "" {
		text += " " + unit
		entry, err = quantity.Parse(text, kind, options)
	}
	if err != nil {
		return 0, text, err
	}
	if entry.ReferenceAssumed && !strings.HasSuffix(text, " gauge") {
		text += " gauge"
	}
	return entry.SI, text, nil
}

// reader reads the fields of one command and collects what cannot be read.
type reader struct{ domain.Check }

// quantity reads a quantity that must be there.
func (r *reader) quantity(field, text string, kind quantity.Kind, unit string) (float64, string) {
	si, entered, err := typed(text, kind, unit)
	for _, f := range fault.AllOf(err) {
		if f.Code == quantity.Empty {
			f = domain.Required.At(field)
		}
		r.Add(f.In(field))
	}
	return si, entered
}

// maybe reads a quantity that may be missing: value and text, both or neither.
func (r *reader) maybe(field, text string, kind quantity.Kind, unit string) (*float64, *string) {
	if domain.Line(text) == "" {
		return nil, nil
	}
	si, entered := r.quantity(field, text, kind, unit)
	return &si, &entered
}

// count reads a whole number.
func (r *reader) count(field, text string) int {
	text = domain.Line(text)
	if text == "" {
		r.Add(domain.Required.At(field))
		return 0
	}
	n, err := strconv.Atoi(text)
	if err != nil {
		r.Add(NotWhole.At(field, clipped(text)))
	}
	return n
}

func clipped(text string) string {
	if r := []rune(text); len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return text
}

// plainNumber reads the number that a parameter's text begins with, as far as it is one
// without a doubt: "1,0234", "0.998", "12.5 pulses/L".
func plainNumber(text string) *float64 {
	first, _, _ := strings.Cut(domain.Line(text), " ")
	if strings.Count(first, ",") == 1 && !strings.Contains(first, ".") {
		first = strings.Replace(first, ",", ".", 1)
	}
	x, err := strconv.ParseFloat(first, 64)
	if err != nil || strings.ContainsAny(first, "nNxXpP_") { // "NaN", "Inf" and hexadecimal are no parameters
		return nil
	}
	return &x
}

// orNil makes an id that was not chosen one that is not there.
func orNil[K any](id domain.ID[K]) *domain.ID[K] {
	if !id.Valid() {
		return nil
	}
	return &id
}
