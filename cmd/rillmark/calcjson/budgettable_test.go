package calcjson

import "testing"

// TestUncertaintyText: two significant digits, also where rounding makes one digit more.
func TestUncertaintyText(t *testing.T) {
	for _, c := range []struct {
		x    float64
		want string
	}{{1.2345, "1.2"}, {0.0996, "0.10"}, {9.96, "10"}, {12345, "12000"}, {99.6, "100"}, {0.00034567, "0.00035"}, {3.4567e-9, "3.5e-09"}, {2e20, "2.0e+20"}, {0, "0"}} {
		if got := uncertaintyText(c.x); got != c.want {
			t.Errorf("%g: %s, want %s", c.x, got, c.want)
		}
	}
}
