package part_test

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"rillmark/service/web/part"
)

var none = math.Inf(1)

// x reads the number after the first M of a path.
func x(t *testing.T, path string) float64 {
	t.Helper()
	var text string
	if _, rest, found := strings.Cut(path, "M"); found {
		text, _, _ = strings.Cut(rest, " ")
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatalf("path %q begins with no number: %v", path, err)
	}
	return v
}

func TestVerdictKeepsItsOrder(t *testing.T) {
	for name, v := range map[string]part.Verdict{
		"inside":     {E: 0.1, U: 0.7, Lower: -2, Upper: 2},
		"at a limit": {E: 2, U: 0.5, Lower: -2, Upper: 2},
		"outside":    {E: -2.9, U: 0.62, Lower: -2, Upper: 2},
		"unequal":    {E: 0.9, U: 0.5, Lower: -1, Upper: 3},
		"tiny unit":  {E: 1e-6, U: 5e-7, Lower: -2e-6, Upper: 2e-6},
	} {
		s := v.Shape()
		dot, err := strconv.ParseFloat(s.X, 64)
		if err != nil || !s.Dot || s.Arrow != "" {
			t.Fatalf("%s: no dot: %+v", name, s)
		}
		left, right := x(t, s.LowerBracket)-4, x(t, s.UpperBracket)+4
		for _, order := range []struct {
			value float64
			drawn bool
		}{{v.E - v.Lower, dot > left}, {v.Upper - v.E, dot < right}} {
			if order.value > 0 && !order.drawn || order.value < 0 && order.drawn {
				t.Errorf("%s: the dot at %g does not stand to the brackets %g, %g as the value to the limits", name, dot, left, right)
			}
		}
		if bar := x(t, s.Bar); bar > dot {
			t.Errorf("%s: the bar begins at %g, right of the dot at %g", name, bar, dot)
		}
	}
}

func TestVerdictBeyondTheDrawingIsAnArrow(t *testing.T) {
	for name, v := range map[string]part.Verdict{
		"right": {E: 14, U: 1, Lower: -2, Upper: 2},
		"left":  {E: -14, U: 1, Lower: -2, Upper: 2},
	} {
		s := v.Shape()
		if s.Dot || s.Arrow == "" {
			t.Errorf("%s: %+v", name, s)
		}
		if tip := x(t, s.Arrow); (tip > 48) != (name == "right") {
			t.Errorf("%s: the arrow stands at %g", name, tip)
		}
	}
}

func TestVerdictWithOneLimitOrNone(t *testing.T) {
	upper := part.Verdict{E: 0.8, U: 0.6, Lower: -none, Upper: 2}.Shape()
	if upper.LowerBracket != "" || upper.UpperBracket == "" || upper.Inside.X != "0" || !upper.Dot {
		t.Errorf("upper limit only: %+v", upper)
	}
	lower := part.Verdict{E: -1.8, U: 0.6, Lower: -1, Upper: none}.Shape()
	if lower.LowerBracket == "" || lower.UpperBracket != "" || !lower.Dot {
		t.Errorf("lower limit only: %+v", lower)
	}
	free := part.Verdict{E: 0.8, U: 0.6, Lower: -none, Upper: none}.Shape()
	if free.LowerBracket+free.UpperBracket != "" || !free.Dot {
		t.Errorf("no limit: %+v", free)
	}
}

func TestVerdictWithoutResultDrawsLimitsAlone(t *testing.T) {
	for name, v := range map[string]part.Verdict{
		"no error":       {E: math.NaN(), U: 1, Lower: -2, Upper: 2},
		"no uncertainty": {E: 1, U: none, Lower: -2, Upper: 2},
		"negative":       {E: 1, U: -1, Lower: -2, Upper: 2},
	} {
		s := v.Shape()
		if s.Dot || s.Bar != "" || s.Arrow != "" || s.LowerBracket == "" {
			t.Errorf("%s: %+v", name, s)
		}
	}
	for name, v := range map[string]part.Verdict{
		"limits at one value": {E: 1, U: 0, Lower: 1, Upper: 1},
		"all zero":            {Lower: 0, Upper: none},
	} {
		if s := v.Shape(); strings.Contains(s.X+s.Bar+s.Inside.X, "NaN") {
			t.Errorf("%s: %+v", name, s)
		}
	}
}
