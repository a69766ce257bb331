package layout1

import (
	"math"
	"testing"

	"rillmark/domain/certificate"
)

func agreedFigure(printed, unit, value string) *certificate.Figure {
	return &certificate.Figure{Printed: printed, Unit: unit, Value: value}
}

// TestLimitOfTwoTerms: what is printed of it, and where its line runs in the drawing.
func TestLimitOfTwoTerms(t *testing.T) {
	l := certificate.Limit{Phase: "before", From: *agreedFigure("0", "m³/h", "0"), Kind: "reading",
		Lower: agreedFigure("−0.5", "%", "-0.005"), Upper: agreedFigure("+0.5", "%", "0.005")}
	for _, c := range []struct {
		combine, kind string
		size, span    *certificate.Figure
		text          string
		flow          float64 // m³/s
		lower, upper  float64 // % of reading
	}{
		{"", "", nil, nil, "±0.5\u00a0% of reading", 0.01, -0.5, 0.5},
		{"sum", "span", agreedFigure("0.1", "%", "0.001"), agreedFigure("200", "m³/h", "0.05"), "±0.5\u00a0% of reading plus 0.1\u00a0% of the span of 200\u00a0m³/h", 0.01, -1, 1},
		{"greater", "flow", agreedFigure("0.5", "m³/h", "0.0001"), nil, "±0.5\u00a0% of reading, or ±0.5\u00a0m³/h where that is more", 0.01, -1, 1},
		{"greater", "flow", agreedFigure("0.5", "m³/h", "0.0001"), nil, "±0.5\u00a0% of reading, or ±0.5\u00a0m³/h where that is more", 0.04, -0.5, 0.5},
	} {
		one := l
		one.Combine, one.OtherKind, one.Other, one.OtherSpan = c.combine, c.kind, c.size, c.span
		if got := limitText(one); got != c.text {
			t.Errorf("%q, want %q", got, c.text)
		}
		lower, upper := atFlow(one, one.Lower, -1, c.flow, math.Inf(-1)), atFlow(one, one.Upper, 1, c.flow, math.Inf(1))
		if math.Abs(lower-c.lower) > 1e-12 || math.Abs(upper-c.upper) > 1e-12 {
			t.Errorf("%s at %v: %v to %v, want %v to %v", c.text, c.flow, lower, upper, c.lower, c.upper)
		}
	}
	one := l
	one.Combine, one.OtherKind, one.Other = "greater", "flow", agreedFigure("0.5", "m³/h", "0.0001")
	if lower, upper := atFlow(one, one.Lower, -1, 0, math.Inf(-1)), atFlow(one, one.Upper, 1, 0, math.Inf(1)); !math.IsInf(lower, -1) || !math.IsInf(upper, 1) {
		t.Errorf("at no flow: %v to %v", lower, upper)
	}
}
