package layout1

import (
	"math"
	"slices"
	"strings"

	"rillmark/calc/conformity"
	"rillmark/domain/certificate"
	"rillmark/service/plot"
)

// limitText is one agreed limit in words: "±2 % of reading", "−1 % to +2 % of the span of
// 200 m³/h".
func limitText(l certificate.Limit) string {
	text := ""
	switch lower, upper := l.Lower, l.Upper; {
	case lower != nil && upper != nil && strings.TrimLeft(lower.Printed, "−") == strings.TrimLeft(upper.Printed, "+") && strings.HasPrefix(lower.Printed, "−"):
		text = "±" + strings.TrimPrefix(upper.Text(), "+")
	case lower != nil && upper != nil:
		text = lower.Text() + " to " + upper.Text()
	case lower != nil:
		text = "at least " + lower.Text()
	case upper != nil:
		text = "at most " + upper.Text()
	}
	text += partOf(l.Kind, l.Span)
	if l.Other == nil {
		return text
	}
	second := l.Other.Text() + partOf(l.OtherKind, l.OtherSpan)
	if l.Combine == string(conformity.Greater) {
		return text + ", or ±" + second + " where that is more"
	}
	return text + " plus " + second
}

// partOf is what a limit is a part of.
func partOf(kind string, span *certificate.Figure) string {
	switch {
	case kind == "reading":
		return " of reading"
	case kind == "span" && span != nil:
		return " of the span of " + span.Text()
	}
	return ""
}

// zoneText is the flow zone of a limit, empty where it is the whole range.
func zoneText(l certificate.Limit) string {
	from, _ := l.From.Number()
	switch {
	case from == 0 && l.To == nil:
		return ""
	case l.To == nil:
		return "from " + l.From.Text()
	case from == 0:
		return "below " + l.To.Text()
	}
	return l.From.Printed + " to " + l.To.Text()
}

// phaseLimits are the limits agreed for a phase.
func phaseLimits(s certificate.Snapshot, phase string) []certificate.Limit {
	var found []certificate.Limit
	for _, l := range s.Order.Limits {
		if l.Phase == phase {
			found = append(found, l)
		}
	}
	return found
}

// oneLimit is the limit of a phase in words where it is one for all flows.
func oneLimit(s certificate.Snapshot, phase string) string {
	limits := phaseLimits(s, phase)
	if len(limits) != 1 {
		return ""
	}
	return limitText(limits[0])
}

// bounds are the limits of a phase in percent of the reading, over flows in the unit
// printed: exact at the edges of zones, and sampled where they change with the flow.
func bounds(s certificate.Snapshot, phase string, per float64, from, to float64) []plot.Bound {
	limits := phaseLimits(s, phase)
	if len(limits) == 0 {
		return nil
	}
	flows := edges(limits, per, from, to)
	var all []plot.Bound
	for i, flow := range flows {
		middle := flow
		if i+1 < len(flows) {
			middle = (flow + flows[i+1]) / 2
		}
		b := plot.Bound{Flow: flow, Lower: math.Inf(-1), Upper: math.Inf(1)}
		for _, l := range limits {
			if within(l, middle/per) {
				b.Lower, b.Upper = atFlow(l, l.Lower, -1, middle/per, b.Lower), atFlow(l, l.Upper, 1, middle/per, b.Upper)
			}
		}
		if last := len(all) - 1; last >= 0 && i+1 < len(flows) && all[last].Lower == b.Lower && all[last].Upper == b.Upper {
			continue
		}
		all = append(all, b)
	}
	return all
}

// edges are the flows at which limits may change, in order.
func edges(limits []certificate.Limit, per, from, to float64) []float64 {
	const samples = 400 // by equal factors, since such limits go as 1/flow
	flows := []float64{from, to}
	for _, l := range limits {
		if l.Kind != "reading" || l.Other != nil {
			for i := 1; i < samples; i++ {
				flows = append(flows, to*math.Pow(100, -float64(i)/samples))
			}
		}
		for _, edge := range []*certificate.Figure{&l.From, l.To} {
			if flow := numberOr(edge, -1) * per; flow > from && flow < to {
				flows = append(flows, flow)
			}
		}
	}
	slices.Sort(flows)
	return slices.Compact(flows)
}

func within(l certificate.Limit, flow float64) bool {
	from, _ := l.From.Number()
	if l.To == nil {
		return flow >= from
	}
	to, _ := l.To.Number()
	return flow >= from && flow < to
}

// atFlow is one side of a limit in percent of the reading: the lower one of sign −1, the
// upper one of sign 1.
func atFlow(l certificate.Limit, side *certificate.Figure, sign, flow, none float64) float64 {
	if side == nil {
		return none
	}
	first := percentOf(side, l.Kind, l.Span, flow, none)
	if l.Other == nil {
		return first
	}
	second := sign * percentOf(l.Other, l.OtherKind, l.OtherSpan, flow, sign*none)
	if l.Combine == string(conformity.Greater) {
		return sign * math.Max(sign*first, sign*second)
	}
	return first + second
}

// percentOf is one term of a limit in percent of the reading at the flow.
func percentOf(f *certificate.Figure, kind string, span *certificate.Figure, flow, none float64) float64 {
	v, _ := f.Number()
	switch {
	case kind == "reading":
		return 100 * v
	case flow <= 0:
		return none
	case kind == "span" && span != nil:
		s, _ := span.Number()
		return 100 * v * s / flow
	}
	return 100 * v / flow
}

// perSI is how many of the unit printed one of the SI unit is.
func perSI(f certificate.Figure) float64 {
	si, ok := f.Number()
	printed, err := numberOf(f.Printed)
	if !ok || err != nil || si == 0 {
		return 1
	}
	return printed / si
}
