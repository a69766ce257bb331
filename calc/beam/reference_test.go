package beam_test

import (
	"math"
	"testing"

	"rillmark/calc/beam"
	"rillmark/calc/fault"
)

var everyWay = append([]beam.Way{beam.SoundSpeedEntered}, measuring...)

func flow(t *testing.T, s beam.Setup, r beam.Reading, way beam.Way) beam.ReferenceFlow {
	t.Helper()
	f, err := s.Flow(r, way)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func reading(t *testing.T, s beam.Setup, velocity float64) beam.Reading {
	t.Helper()
	at := place(t, s)
	m := transit(t, s, at.Spacing, velocity)
	return beam.Reading{Spacing: at.Spacing, TransitTime: m.Mean, TimeDifference: m.Difference, ProfileFactor: 1}
}

func TestFlowAgainstTable(t *testing.T) {
	for _, r := range tableRows(t) {
		s := tableSetup(t, r)
		read := reading(t, s, r.input(t, "v_line"))
		// With the transit time measured, to first order in the Mach number squared.
		mach := r.input(t, "v_line") / s.FluidSoundSpeed
		for _, way := range measuring {
			got := flow(t, s, read, way)
			r.expect(t, "v_from_reciprocals", got.Velocity, exact+mach*mach)
			r.expect(t, "Q_m3_h_K1", got.Flow*3600, exact+mach*mach)
		}
		// With the sound speed entered, the table's own first-order formula.
		got := flow(t, s, read, beam.SoundSpeedEntered)
		r.expect(t, "v_first_order", got.Velocity, exact)
		r.expect(t, "theta_liquid_deg", got.FluidAngle/degree, exact)
		r.expect(t, "t_liquid_v0_us", got.FluidTransitTime*1e6, exact)
		if got.SoundSpeed != s.FluidSoundSpeed {
			t.Errorf("%s: sound speed %g", r.id, got.SoundSpeed)
		}
	}
}

// Not told the spacing and with the wedge's angle, the velocity is exact at any velocity
// but for what the mean of the times carries.
func TestFlowAtHighVelocity(t *testing.T) {
	s := steel()
	got := flow(t, s, reading(t, s, 12), beam.WedgeAngle)
	near(t, "velocity", got.Velocity, 12, 12*1e-5)
	got = flow(t, s, reading(t, s, -3), beam.WedgeAngle)
	near(t, "flow the other way", got.Velocity, -3, 1e-5)
}

// A wall entered wrong: with the sound speed entered the flow goes with the bore exactly,
// as in the table; with the transit time measured about with its square.
func TestFlowAgainstBore(t *testing.T) {
	for _, r := range rows(t, "transit_time.csv", "sens-wall") {
		s := steel()
		s.OutsideDiameter, s.Wall = r.input(t, "OD_mm")/1e3, r.input(t, "w_mm")/1e3
		read := reading(t, s, 1)
		wrong := s
		wrong.Wall += r.input(t, "e_mm") / 1e3
		change := func(way beam.Way) float64 {
			return (flow(t, wrong, read, way).Flow/flow(t, s, read, way).Flow - 1) * 100
		}
		near(t, r.id+" entered", change(beam.SoundSpeedEntered), number(t, r.want, "dt model (Q~D)"), 1e-9)
		// The wall takes its own time as well, which adds a little to the square.
		square := number(t, r.want, "area only (Q~D^2)")
		wallTime := r.input(t, "e_mm") / 1e3 * 2 / (s.PipeSoundSpeed * math.Cos(place(t, s).PipeAngle))
		near(t, r.id+" measured", change(beam.WedgeAngle), square+100*wallTime/place(t, s).FluidTransitTime, 2e-3)
	}
}

// Without the wall (outside diameter wrong, wall right) the power of the bore is exact:
// 1 with the sound speed entered, 2 with the transit time measured.
func TestPowerOfTheBore(t *testing.T) {
	for name, s := range setups() {
		read := reading(t, s, 1)
		wrong := s
		wrong.OutsideDiameter += 0.01 * s.Bore()
		for way, power := range map[beam.Way]float64{beam.SoundSpeedEntered: 1, beam.WedgeAngle: 2} {
			ratio := flow(t, wrong, read, way).Flow / flow(t, s, read, way).Flow
			near(t, name+" "+string(way), math.Log(ratio)/math.Log(1.01), power, 1e-9)
		}
		// The connecting ray takes the angle from the bore too: q ∝ d²·L²/X, which without
		// walls has the power 2 + 2·cos²θ; the walls give way and lower it.
		ratio := flow(t, wrong, read, beam.ConnectingRay).Flow / flow(t, s, read, beam.ConnectingRay).Flow
		if power := math.Log(ratio) / math.Log(1.01); power < 2.9 || power > 2+2*math.Pow(math.Cos(place(t, s).FluidAngle), 2) {
			t.Errorf("%s: power %g of the connecting ray", name, power)
		}
	}
}

func TestProfileFactorIsAFactor(t *testing.T) {
	s := steel()
	read := reading(t, s, 1)
	for _, way := range everyWay {
		one := flow(t, s, read, way)
		read.ProfileFactor = 0.94
		close(t, string(way), flow(t, s, read, way).Flow, 0.94*one.Flow, 1e-15)
		read.ProfileFactor = 1
		close(t, "area", one.Flow, math.Pi/4*s.Bore()*s.Bore()*one.Velocity, 1e-15)
	}
}

func TestFlowRefuses(t *testing.T) {
	tests := []struct {
		name   string
		change func(*beam.Setup, *beam.Reading)
		way    beam.Way
		code   *fault.Code
		field  string
	}{
		{"difference NaN", func(_ *beam.Setup, r *beam.Reading) { r.TimeDifference = math.NaN() }, beam.WedgeAngle, beam.NotFinite, "time_difference_s"},
		{"factor zero", func(_ *beam.Setup, r *beam.Reading) { r.ProfileFactor = 0 }, beam.WedgeAngle, beam.NotPositive, "profile_factor"},
		{"unknown way", func(*beam.Setup, *beam.Reading) {}, "guess", beam.UnknownWay, "way"},
		{"set-up", func(s *beam.Setup, _ *beam.Reading) { s.Traverses = 0 }, beam.WedgeAngle, beam.NoTraverse, "traverses"},
		{"time short", func(_ *beam.Setup, r *beam.Reading) { r.TransitTime = 1e-6 }, beam.WedgeAngle, beam.TransitTimeShort, "transit_time_s"},
	}
	for _, test := range tests {
		s := steel()
		read := reading(t, s, 1)
		test.change(&s, &read)
		_, err := s.Flow(read, test.way)
		faults := fault.AllOf(err)
		if len(faults) != 1 || faults[0].Code != test.code || faults[0].Field != test.field {
			t.Errorf("%s: got %v", test.name, err)
		}
	}
}
