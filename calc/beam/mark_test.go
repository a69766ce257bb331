package beam_test

import (
	"math"
	"testing"

	"rillmark/calc/beam"
)

func TestSettingMark(t *testing.T) {
	const sixteenth = 0.0254 / 16
	tests := []struct {
		spacing, graduation, mark float64
		text                      string
	}{
		{0.1414, 0.001, 0.141, "141 mm"},
		{0.1416, 0.001, 0.142, "142 mm"},
		{0.1414, 0.0005, 0.1415, "141.5 mm"},
		{0.1411, 0.0005, 0.141, "141 mm"},
		{0.1414, 0.005, 0.14, "140 mm"},
		{0.1414, 0.01, 0.14, "140 mm"},
		{0.10, 0.1, 0.1, "100 mm"},
		{0.14142, 0.00025, 0.1415, "141.5 mm"},
		{0.14132, 0.00025, 0.14125, "141.25 mm"},
		{-0.0123, 0.001, -0.012, "-12 mm"},
		{-0.0001, 0.001, 0, "0 mm"},
		{0.0001, 0.001, 0, "0 mm"},
		{0.1414, sixteenth, 89 * sixteenth, "5 9/16 in"},
		{0.0143, sixteenth, 9 * sixteenth, "9/16 in"},
		{0.127, sixteenth, 0.127, "5 in"},
		{0.1397, sixteenth, 0.1397, "5 1/2 in"},
		{0.0001, sixteenth, 0, "0 in"},
		{-0.0001, sixteenth, 0, "0 in"},
		{-0.0143, sixteenth, -9 * sixteenth, "-9/16 in"},
		{0.1414, 0.0254 / 4, 22 * 0.0254 / 4, "5 1/2 in"},
		{0.1414, 3 * 0.0254 / 8, 15 * 3 * 0.0254 / 8, "5 5/8 in"},
		{0.1414, 0.0254, 6 * 0.0254, "6 in"},
		{0.1414, 0.0015875, 89 * sixteenth, "5 9/16 in"},
		{0.1414, 0.0254 / 10, 0.14224, "142.24 mm"}, // tenths of an inch are no power of two
		{0.1414, 0.001 / 3, 0.141333333, "141.333333 mm"},
	}
	for _, test := range tests {
		mark, text := beam.SettingMark(test.spacing, test.graduation)
		if text != test.text {
			t.Errorf("%g by %g: %q, want %q", test.spacing, test.graduation, text, test.text)
		}
		near(t, text, mark, test.mark, 1e-15)
		if mark == 0 && math.Signbit(mark) {
			t.Errorf("%g by %g: minus zero", test.spacing, test.graduation)
		}
	}
}

func TestSettingMarkIsTheNearest(t *testing.T) {
	for _, graduation := range []float64{0.001, 0.0005, 0.0254 / 16, 0.0254 / 128, 0.002} {
		for i := -300; i < 300; i++ {
			spacing := float64(i) * 0.000437
			mark, _ := beam.SettingMark(spacing, graduation)
			if off := math.Abs(mark - spacing); off > graduation/2*(1+1e-9) {
				t.Errorf("%g by %g: mark %g is %g off", spacing, graduation, mark, off)
			}
			steps := mark / graduation
			near(t, "whole steps", steps, math.Round(steps), 1e-9)
		}
	}
}
