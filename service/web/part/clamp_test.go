package part_test

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"rillmark/service/web/part"
)

// points reads the points of a path of absolute moves and lines.
func points(t *testing.T, path string) [][2]float64 {
	t.Helper()
	var all [][2]float64
	for _, m := range regexp.MustCompile(`[ML](-?[0-9.]+) (-?[0-9.]+)`).FindAllStringSubmatch(path, -1) {
		x, err1 := strconv.ParseFloat(m[1], 64)
		y, err2 := strconv.ParseFloat(m[2], 64)
		if err1 != nil || err2 != nil {
			t.Fatalf("path %s", path)
		}
		all = append(all, [2]float64{x, y})
	}
	return all
}

// TestClampFollowsTheNumbers reads the drawing back: the beam begins and ends behind the
// faces by the exit offset, crosses as often as there are traverses, and ends on the side
// on which the second transducer stands.
func TestClampFollowsTheNumbers(t *testing.T) {
	for name, c := range map[string]part.Clamp{
		"reflect":        {OutsideDiameter: 0.168, Wall: 0.007, Spacing: 0.117, ExitOffset: 0.012, WallShift: 0.005, Traverses: 2},
		"direct":         {OutsideDiameter: 0.7, Wall: 0.01, Spacing: 0.2, ExitOffset: 0.012, WallShift: 0.008, Traverses: 1},
		"four":           {OutsideDiameter: 0.06, Wall: 0.004, Spacing: 0.05, ExitOffset: 0.01, WallShift: 0.003, Traverses: 4},
		"overlap, lined": {OutsideDiameter: 0.05, Wall: 0.003, Liner: 0.003, Spacing: -0.01, ExitOffset: 0.02, WallShift: 0.002, Traverses: 2},
	} {
		t.Run(name, func(t *testing.T) {
			s := c.Shape()
			beam, first, second := points(t, s.Beam), points(t, s.First), points(t, s.Second)
			if got := len(beam); got != c.Traverses+3 {
				t.Fatalf("%d points of the beam", got)
			}
			left, right := first[0][0], second[0][0]
			along := (right - left) / c.Spacing
			if math.Abs(left-beam[0][0]-along*c.ExitOffset) > 0.3 || math.Abs(beam[len(beam)-1][0]-right-along*c.ExitOffset) > 0.3 {
				t.Errorf("the beam runs from %g to %g, the faces are at %g and %g", beam[0][0], beam[len(beam)-1][0], left, right)
			}
			if end := beam[len(beam)-1][1]; end != second[0][1] {
				t.Errorf("the beam ends at %g, the second transducer stands at %g", end, second[0][1])
			}
			if opposite := second[0][1] != first[0][1]; opposite != (c.Traverses%2 == 1) {
				t.Errorf("opposite sides: %v", opposite)
			}
			for i := 2; i < len(beam)-1; i++ {
				if beam[i][1] == beam[i-1][1] {
					t.Errorf("crossing %d does not cross", i)
				}
			}
			if s.Lined != (c.Liner > 0) || !strings.HasPrefix(s.ViewBox, "0 0 460 ") || strings.Contains(s.Beam+s.Dimension, "NaN") {
				t.Errorf("lined %v, view box %s, beam %s", s.Lined, s.ViewBox, s.Beam)
			}
		})
	}
}
