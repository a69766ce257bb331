package register

import "testing"

func TestFlowUnit(t *testing.T) {
	for _, row := range []struct {
		units []string
		want  string
	}{
		{nil, "m³/h"}, {[]string{"mA", ""}, "m³/h"}, {[]string{"mA", "L/s", "m3/h"}, "L/s"}, {[]string{"m3/h"}, "m3/h"}, {[]string{"m³", "US gal/min"}, "US gal/min"},
	} {
		if got := FlowUnit(row.units...); got != row.want {
			t.Errorf("%q: %q, want %q", row.units, got, row.want)
		}
	}
}
