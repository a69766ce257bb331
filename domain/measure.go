package domain

import (
	"strconv"
	"strings"

	"rillmark/calc/fault"
	"rillmark/calc/quantity"
)

// Codes of values and times as people type them.
var (
	NotPositive = fault.Define("value.not-positive")
	Negative    = fault.Define("value.negative")
	NotANumber  = fault.Define("value.not-a-number")
	UnknownWord = fault.Define("value.unknown-word", fault.T("word"))
	NotWhole    = fault.Define("value.not-whole", fault.N("least"), fault.N("most"))
)

// Sign says which values of a quantity make sense. The zero value takes all.
type Sign int

// The signs.
const (
	AnySign Sign = iota
	NotNegative
	Positive
)

// Measure reads a quantity that may be missing: the value in the SI unit of its kind and
// the text as entered, both or neither.
func (c *Check) Measure(field, text string, kind quantity.Kind, sign Sign) (*float64, *string) {
	text = Line(text)
	if text == "" {
		return nil, nil
	}
	entry, err := quantity.Parse(text, kind, quantity.Options{})
	if err != nil {
		for _, f := range fault.AllOf(err) {
			c.Add(f.In(field))
		}
		return nil, nil
	}
	switch {
	case sign == Positive && entry.SI <= 0:
		c.Add(NotPositive.At(field))
	case sign == NotNegative && entry.SI < 0:
		c.Add(Negative.At(field))
	}
	return &entry.SI, &entry.Text
}

// Must is Measure for a quantity that cannot be missing; 0 and "" stand for one that is.
func (c *Check) Must(field, text string, kind quantity.Kind, sign Sign) (float64, string) {
	if Line(text) == "" {
		c.Add(Required.At(field))
		return 0, ""
	}
	value, entered := c.Measure(field, text, kind, sign)
	if value == nil {
		return 0, ""
	}
	return *value, *entered
}

// Number reads a plain number that may be missing, with the care for marks that quantities get.
func (c *Check) Number(field, text string, sign Sign) *float64 {
	if text = Line(text); text == "" {
		return nil
	}
	var own Check
	value, _ := own.Measure(field, text+" m", quantity.KindLength, sign) // any unit of factor one
	for _, f := range own.Faults {
		if f.Code != NotPositive && f.Code != Negative {
			f = NotANumber.At(field)
		}
		c.Add(f)
	}
	return value
}

// Whole reads a whole number that may be missing, from least to most.
func (c *Check) Whole(field, text string, least, most int) *int {
	text = Line(text)
	if text == "" {
		return nil
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < least || n > most {
		c.Add(NotWhole.At(field, float64(least), float64(most)))
		return nil
	}
	return &n
}

// OneOf checks that the text is one of the words.
func OneOf[T ~string](c *Check, field string, text T, words []T) {
	for _, w := range words {
		if w == text {
			return
		}
	}
	if text == "" {
		c.Add(Required.At(field))
		return
	}
	c.Add(UnknownWord.At(field, string(text)))
}

// Shown writes a value given in SI in the unit of its kind, with at most ten significant
// digits, for values that are kept without the text they were entered as. The unit must
// have no offset.
func Shown(si float64, kind quantity.Kind, unit string) string {
	one, err := quantity.Parse("1 "+unit, kind, quantity.Options{})
	if err != nil {
		panic("domain: no unit of " + string(kind) + ": " + unit)
	}
	number := strconv.FormatFloat(si/one.SI, 'g', 10, 64)
	if strings.Contains(number, "e") {
		number = strconv.FormatFloat(si/one.SI, 'f', -1, 64)
	}
	return strings.Replace(number, "-", "−", 1) + " " + unit
}

// ShownOrEmpty is Shown for a value that may be missing.
func ShownOrEmpty(si *float64, kind quantity.Kind, unit string) string {
	if si == nil {
		return ""
	}
	return Shown(*si, kind, unit)
}

// Optional gives a text that may be missing back as it was typed.
func Optional(text *string) string {
	if text == nil {
		return ""
	}
	return *text
}

// OrNil is the way back: an empty text is a missing one.
func OrNil(text string) *string {
	if text == "" {
		return nil
	}
	return &text
}
