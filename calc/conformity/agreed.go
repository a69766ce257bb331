package conformity

import (
	"math"

	"rillmark/calc/fault"
)

// Part says what a limit is a part of. The zero value is invalid.
type Part string

// What limits are parts of.
const (
	OfReading Part = "reading" // relative to the flow
	OfSpan    Part = "span"    // relative to the span
	OfFlow    Part = "flow"    // in the unit of flow
)

// Combination says how the second term of an agreed limit goes with the first. The zero
// value: there is none.
type Combination string

// The combinations.
const (
	Sum     Combination = "sum"     // both together: ± (0.5 % of reading + 0.1 % of span)
	Greater Combination = "greater" // the wider one: ± 1 % of reading, or ± 0.5 m³/h where that is more
)

// Agreed is a limit of error as people agree it, of one term or two.
type Agreed struct {
	Limits      Limits // of the first term, in parts as Part says
	Part        Part
	Span        float64 // of OfSpan: in the unit of flow, above 0
	Combination Combination
	Second      float64 // the second term's size, above 0, to both sides on which the first has a limit
	SecondPart  Part    // another than Part
	SecondSpan  float64
}

// At returns the limits of the relative error at a flow: lower and upper of the first term
// in parts of the flow, widened by the second on each side that has a limit,
//
//	sum:      T_L − s, T_U + s        greater:  min(T_L, −s), max(T_U, s)
//
// with s the second term in parts of the flow. The flow, above 0, is in the unit of spans
// and limits of flow.
//
// Errors: what Validate finds; CodeNotPositive for the flow.
//
// Source: common practice of agreements and data sheets; none of it is a standard's.
func (a Agreed) At(flow float64) (Limits, error) {
	faults := a.Validate()
	if !(flow > 0) || math.IsInf(flow, 1) {
		faults = append(faults, CodeNotPositive.At("flow", flow))
	}
	if len(faults) > 0 {
		return Limits{}, faults
	}
	unit := a.Part.relative(a.Span, flow)
	l := Limits{a.Limits.Lower * unit, a.Limits.Upper * unit}
	second := a.Second * a.SecondPart.relative(a.SecondSpan, flow)
	switch a.Combination {
	case Sum:
		l.Lower, l.Upper = l.Lower-second, l.Upper+second
	case Greater:
		if l.HasLower() {
			l.Lower = math.Min(l.Lower, -second)
		}
		if l.HasUpper() {
			l.Upper = math.Max(l.Upper, second)
		}
	}
	return l, nil
}

// relative is what one of the part is worth in parts of the flow.
func (p Part) relative(span, flow float64) float64 {
	switch p {
	case OfSpan:
		return span / flow
	case OfFlow:
		return 1 / flow
	}
	return 1
}

// Validate returns every problem of the limit, nil when there is none: limits as Decide
// takes them; a part or combination that is not known; a span that is missing or not
// asked for; a second term that is not above 0, of the same part, or not asked for.
func (a Agreed) Validate() fault.List {
	faults := a.Limits.validate()
	faults = append(faults, a.Part.validate("kind", "span", a.Span)...)
	switch a.Combination {
	case "":
		if a.Second != 0 || a.SecondPart != "" || a.SecondSpan != 0 {
			faults = append(faults, CodeCombination.At("combine", "", combinations))
		}
		return faults
	case Sum, Greater:
	default:
		faults = append(faults, CodeCombination.At("combine", string(a.Combination), combinations))
	}
	if !(a.Second > 0) || math.IsInf(a.Second, 1) {
		faults = append(faults, CodeNotPositive.At("other", a.Second))
	}
	faults = append(faults, a.SecondPart.validate("other_kind", "other_span", a.SecondSpan)...)
	if a.SecondPart == a.Part {
		faults = append(faults, CodeSamePart.At("other_kind"))
	}
	return faults
}

const combinations = string(Sum + ", " + Greater)

func (p Part) validate(field, spanField string, span float64) fault.List {
	switch p {
	case OfSpan:
		if !(span > 0) || math.IsInf(span, 1) {
			return fault.List{CodeNotPositive.At(spanField, span)}
		}
		return nil
	case OfReading, OfFlow:
		if span != 0 {
			return fault.List{CodeSpanUnused.At(spanField)}
		}
		return nil
	}
	return fault.List{CodePart.At(field, string(p), string(OfReading+", "+OfSpan+", "+OfFlow))}
}
