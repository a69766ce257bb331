package beam_test

import (
	"math"
	"testing"

	"rillmark/calc/beam"
	"rillmark/calc/fault"
)

func TestTransitAgainstTable(t *testing.T) {
	for _, r := range tableRows(t) {
		s := tableSetup(t, r)
		at := place(t, s)
		got, err := s.Transit(at.Spacing, r.input(t, "v_line"))
		if err != nil {
			t.Fatal(err)
		}
		walls := at.TotalTransitTime - at.FluidTransitTime
		r.expect(t, "t_down_us", (got.Down-walls)*1e6, exact)
		r.expect(t, "t_up_us", (got.Up-walls)*1e6, exact)
		r.expect(t, "dt_ns", got.Difference*1e9, exact)
		close(t, r.id+" mean", got.Mean, (got.Down+got.Up)/2, 1e-15)
	}
}

func TestTransitOfFluidAtRest(t *testing.T) {
	for name, s := range setups() {
		at := place(t, s)
		got, err := s.Transit(at.Spacing, 0)
		if err != nil {
			t.Fatal(err)
		}
		close(t, name, got.Mean, at.TotalTransitTime, 1e-15)
		if got.Difference != 0 || got.Up != got.Down {
			t.Errorf("%s: %+v", name, got)
		}
		// Farther apart the wave front arrives later by the ray parameter per metre, and
		// the flow is felt the same.
		there, _ := s.Transit(at.Spacing, 2)
		farther, _ := s.Transit(at.Spacing+0.004, 2)
		near(t, name+" delay", farther.Mean-there.Mean, 0.004*math.Sin(s.WedgeAngle)/s.WedgeSoundSpeed, 1e-18)
		close(t, name+" difference", farther.Difference, there.Difference, 1e-15)
		back, _ := s.Transit(at.Spacing, -2)
		if back.Difference != -there.Difference || back.Up != there.Down {
			t.Errorf("%s: a flow the other way is not the mirror image", name)
		}
	}
}

func TestTransitRefuses(t *testing.T) {
	s := steel()
	tests := []struct {
		name              string
		spacing, velocity float64
		code              *fault.Code
		field             string
	}{
		{"spacing NaN", math.NaN(), 0, beam.NotFinite, "spacing_m"},
		{"spacing behind the entry", -0.024, 0, beam.SpacingShort, "spacing_m"},
		{"velocity infinite", 0.05, math.Inf(-1), beam.NotFinite, "velocity_m_s"},
		{"faster than sound along the beam", 0.05, 4600, beam.VelocityBeyondSound, "velocity_m_s"},
	}
	for _, test := range tests {
		_, err := s.Transit(test.spacing, test.velocity)
		if f, _ := fault.Of(err); f.Code != test.code || f.Field != test.field {
			t.Errorf("%s: got %v", test.name, err)
		}
	}
}
