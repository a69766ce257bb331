package part_test

import (
	"math"
	"testing"

	"rillmark/service/web/part"
)

func TestSectionIsToScale(t *testing.T) {
	for _, row := range []struct {
		od, wall float64
		inner    string
	}{
		{219.1, 6.3, "56.5"}, {100, 25, "30"}, {0.2191, 0.0063, "56.5"}, {219.1, 0, ""}, {100, 50, ""}, {100, 60, ""},
		{0, 1, ""}, {math.NaN(), 1, ""}, {100, math.Inf(1), ""}, {100, -1, ""},
	} {
		if got := (part.Section{OutsideDiameter: row.od, Wall: row.wall}).Inner(); got != row.inner {
			t.Errorf("%g, %g: inner radius %q, want %q", row.od, row.wall, got, row.inner)
		}
	}
	at := part.Section{OutsideDiameter: 100, Wall: 25}.Leader()
	if at.X != "107.8" || at.Y != "40.2" {
		t.Errorf("the leader starts at %+v", at)
	}
}
