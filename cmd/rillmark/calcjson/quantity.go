package calcjson

import (
	"rillmark/calc/fault"
	"rillmark/calc/quantity"
)

type quantityAnswer struct {
	Value           float64 `json:"value"`
	Unit            string  `json:"unit"`
	EnteredUnit     string  `json:"entered_unit"`
	Pressure        string  `json:"pressure,omitempty"`
	PressureAssumed *bool   `json:"pressure_assumed,omitempty"`
	GallonAssumed   bool    `json:"gallon_assumed,omitempty"`
}

// quantityFields turns the names of quantity's options into those of this kind.
var quantityFields = map[string]string{"": "text", "mark": "decimal_mark", "atmosphere": "atmosphere_Pa"}

// quantityOf is the kind "quantity": quantity.Parse.
func quantityOf(o *object, _ func(fault.Fault) string) (any, error) {
	text := o.word("text")
	var kind quantity.Kind
	o.choice("kind", true, func(word string) (err error) {
		kind, err = quantity.KindOf(word)
		return err
	})
	options := quantity.Options{
		Pressure:   quantity.Reference(o.wordOr("pressure", "")),
		Atmosphere: o.numberOr("atmosphere_Pa", 0),
		Gallon:     quantity.Gallon(o.wordOr("gallon", "")),
		Mark:       decimalMark(o.wordOr("decimal_mark", "")),
	}
	o.done()
	if err := o.err(); err != nil {
		return nil, err
	}
	entry, err := quantity.Parse(text, kind, options)
	if err != nil {
		return nil, renamed(err, quantityFields)
	}
	a := quantityAnswer{Value: entry.SI, Unit: kind.SIUnit(), EnteredUnit: entry.Unit, GallonAssumed: entry.GallonAssumed}
	if kind == quantity.KindPressure {
		a.Pressure, a.PressureAssumed = string(entry.Reference), &entry.ReferenceAssumed
	}
	return a, nil
}

func decimalMark(word string) quantity.Mark {
	switch word {
	case "point":
		return quantity.MarkPoint
	case "comma":
		return quantity.MarkComma
	}
	return quantity.Mark(word)
}

// renamed returns the faults of err in the fields of the outside.
func renamed(err error, fields map[string]string) error {
	var l fault.List
	for _, f := range fault.AllOf(err) {
		if name, other := fields[f.Field]; other {
			f = f.In(name)
		}
		l = append(l, f)
	}
	return l.Err()
}
