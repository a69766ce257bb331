package certificate

import (
	"math"
	"strings"

	"rillmark/calc/quantity"
)

// percent is a relative value as percent, with the digits given by text.
func percent(text string, x float64) Figure {
	return Figure{Printed: text, Unit: "%", Value: Shortest(x), SI: "1"}
}

// plainly is a bare number with the digits given by text.
func plainly(text string, x float64) Figure {
	return Figure{Printed: text, Value: Shortest(x), SI: "1"}
}

// inUnit prints an SI value of the kind in the unit, to 10^place of it.
func (b *builder) inUnit(si float64, kind quantity.Kind, unit string, place int) Figure {
	text, err := quantity.Format(si, kind, unit, math.Pow10(place), quantity.Options{})
	if err != nil {
		if b.err == nil {
			b.err = err
		}
		return Figure{}
	}
	number, name, _ := strings.Cut(text, " ")
	if strings.Trim(number, "-0.") == "" {
		number = strings.TrimPrefix(number, "-")
	}
	return Figure{Printed: strings.Replace(number, "-", "−", 1), Unit: name, Value: Shortest(si), SI: kind.SIUnit()}
}

// digits is the place of the last of so many significant digits of an SI value printed in
// the unit.
func (b *builder) digits(si float64, kind quantity.Kind, unit string, digits int) int {
	wide := b.inUnit(si, kind, unit, b.finest(si, kind, unit))
	number, ok := ratOf(wide.Printed)
	if !ok || number.Sign() == 0 {
		return 0
	}
	return sized(number, digits)
}

// finest is a place fine enough to tell six digits of the value, and coarse enough to
// print.
func (b *builder) finest(si float64, kind quantity.Kind, unit string) int {
	one, err := quantity.Format(1, kind, unit, 1e-9, quantity.Options{})
	if err != nil || si == 0 {
		if err != nil && b.err == nil {
			b.err = err
		}
		return -6
	}
	factor, _ := ratOf(strings.Fields(one)[0])
	f, _ := factor.Float64()
	return int(math.Floor(math.Log10(math.Abs(si*f)))) - 6
}

// flow prints a flow to so many significant digits.
func (b *builder) flow(si float64, digits int) Figure {
	return b.inUnit(si, quantity.KindFlow, b.paper.FlowUnit, b.digits(si, quantity.KindFlow, b.paper.FlowUnit, digits))
}

// agreedFlow prints a flow with the digits it was agreed in: as few as bring it back to
// within a part in ten million.
func (b *builder) agreedFlow(si float64) Figure {
	unit := b.paper.FlowUnit
	if si == 0 {
		return b.inUnit(0, quantity.KindFlow, unit, 0)
	}
	text := b.flow(si, 7)
	if whole, fraction, found := strings.Cut(text.Printed, "."); found {
		text.Printed = strings.TrimRight(whole+"."+strings.TrimRight(fraction, "0"), ".")
	}
	return text
}
