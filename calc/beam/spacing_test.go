package beam_test

import (
	"math"
	"testing"

	"rillmark/calc/beam"
	"rillmark/calc/fault"
)

// The table was computed to 40 digits; it is held to a few units in the last place.
const exact = 1e-12

func TestSpacingAgainstTable(t *testing.T) {
	for _, r := range tableRows(t) {
		got := place(t, tableSetup(t, r))
		r.expect(t, "theta_pipe_deg", got.PipeAngle/degree, exact)
		r.expect(t, "theta_liquid_deg", got.FluidAngle/degree, exact)
		r.expect(t, "spacing_between_entry_points_m", got.EntryDistance, exact)
		r.expect(t, "spacing_between_entry_points_m", got.Spacing, exact)
		r.expect(t, "t_liquid_v0_us", got.FluidTransitTime*1e6, exact)
		r.expect(t, "t_walls_us", (got.TotalTransitTime-got.FluidTransitTime)*1e6, 3e-11) // difference of larger numbers
		r.expect(t, "axial_in_liquid_m", got.PathLength*math.Sin(got.FluidAngle), exact)
	}
}

func TestSpacingIsLinearInTraverses(t *testing.T) {
	for name, s := range setups() {
		s.Traverses = 1
		one := place(t, s)
		perTraverse := s.Bore() * math.Tan(one.FluidAngle)
		for n := 2; n <= 6; n++ {
			s.Traverses = n
			got := place(t, s)
			close(t, name+" spacing", got.Spacing, one.Spacing+float64(n-1)*perTraverse, 1e-13)
			close(t, name+" path", got.PathLength, float64(n)*one.PathLength, 1e-13)
			close(t, name+" fluid time", got.FluidTransitTime, float64(n)*one.FluidTransitTime, 1e-13)
		}
	}
}

func TestLinerOfNoThicknessIsNoLiner(t *testing.T) {
	s := steel()
	want := place(t, s)
	s.LinerSoundSpeed = 2000
	if got := place(t, s); !same(got, want) {
		t.Errorf("got %+v, want %+v", got, want)
	}
	s.LinerSoundSpeed = math.NaN()
	if got := place(t, s); !same(got, want) {
		t.Errorf("the sound speed of an absent liner is looked at: %+v", got)
	}
}

func same(a, b beam.SpacingResult) bool {
	return a.Spacing == b.Spacing && a.TotalTransitTime == b.TotalTransitTime && a.LinerAngle == b.LinerAngle &&
		a.FluidAngle == b.FluidAngle && len(a.Warnings) == len(b.Warnings)
}

func TestLinerLikeTheWallIsAThickerWall(t *testing.T) {
	s := steel()
	s.Wall, s.LinerThickness, s.LinerSoundSpeed = 0.004, 0.00149, s.PipeSoundSpeed
	got, want := place(t, s), place(t, steel())
	close(t, "spacing", got.Spacing, want.Spacing, 1e-13)
	close(t, "time", got.TotalTransitTime, want.TotalTransitTime, 1e-13)
	close(t, "liner angle", got.LinerAngle, want.PipeAngle, 1e-13)
}

func TestSpacingScales(t *testing.T) {
	for name, s := range setups() {
		want := place(t, s)
		long := s
		for _, x := range []*float64{&long.OutsideDiameter, &long.Wall, &long.LinerThickness, &long.ExitOffset} {
			*x *= 3
		}
		got := place(t, long)
		close(t, name+" spacing by length", got.Spacing, 3*want.Spacing, 1e-13)
		close(t, name+" time by length", got.TotalTransitTime, 3*want.TotalTransitTime, 1e-13)
		fast := s
		for _, x := range []*float64{&fast.PipeSoundSpeed, &fast.LinerSoundSpeed, &fast.FluidSoundSpeed, &fast.WedgeSoundSpeed} {
			*x *= 1.5
		}
		got = place(t, fast)
		close(t, name+" spacing by speed", got.Spacing, want.Spacing, 1e-12)
		close(t, name+" time by speed", got.TotalTransitTime, want.TotalTransitTime/1.5, 1e-13)
	}
}

func TestCriticalAngles(t *testing.T) {
	for _, r := range rows(t, "sound_speed.csv", "crit-") {
		for angle, speed := range map[string]string{"first": "vl", "second": "vs"} {
			if r.want[angle] == nil {
				continue
			}
			s := steel()
			s.WedgeSoundSpeed, s.PipeSoundSpeed = r.input(t, "c1"), r.input(t, speed)
			s.FluidSoundSpeed = s.WedgeSoundSpeed
			s.WedgeAngle = 40 * degree
			f, ok := fault.Of(s.Validate())
			if !ok || f.Code != beam.TotalReflection {
				t.Fatalf("%s: no total reflection at 40°: %v", r.id, f)
			}
			critical := f.Value("critical_angle_deg").(float64)
			near(t, r.id+" "+angle, critical, number(t, r.want, angle), 1e-5)
			s.WedgeAngle = (critical - 1e-9) * degree
			if err := s.Validate(); err != nil {
				t.Errorf("%s: just below the critical angle: %v", r.id, err)
			}
			s.WedgeAngle = (critical + 1e-9) * degree
			if s.Validate() == nil {
				t.Errorf("%s: no total reflection just above the critical angle", r.id)
			}
		}
	}
}

func TestSpacingWarnings(t *testing.T) {
	tests := []struct {
		name   string
		change func(*beam.SpacingRequest)
		code   *fault.Code
		field  string
	}{
		{"overlap", func(r *beam.SpacingRequest) { r.ExitOffset = 0.05 }, beam.Overlap, "spacing_m"},
		{"thin wall", func(r *beam.SpacingRequest) { r.Frequency = 0.5e6 }, beam.ThinWall, "wall_m"},
		{"coarse tape", func(r *beam.SpacingRequest) { r.Graduation = 0.1 }, beam.MarkFar, "graduation_m"},
		{"longitudinal speed called shear", func(r *beam.SpacingRequest) { r.PipeSoundSpeed, r.WedgeAngle = 5900, 0.3 }, beam.UnusualSoundSpeed, "pipe_sound_speed_m_s"},
		{"shear speed called longitudinal", func(r *beam.SpacingRequest) { r.PipeSoundSpeed, r.PipeWave = 1100, beam.Longitudinal }, beam.UnusualSoundSpeed, "pipe_sound_speed_m_s"},
		{"slow fluid", func(r *beam.SpacingRequest) { r.FluidSoundSpeed = 340 }, beam.UnusualSoundSpeed, "fluid_sound_speed_m_s"},
		{"fast fluid", func(r *beam.SpacingRequest) { r.FluidSoundSpeed = 2600 }, beam.UnusualSoundSpeed, "fluid_sound_speed_m_s"},
		{"slow liner", func(r *beam.SpacingRequest) { r.LinerThickness, r.LinerSoundSpeed = 0.002, 300 }, beam.UnusualSoundSpeed, "liner_sound_speed_m_s"},
		{"fast wedge", func(r *beam.SpacingRequest) { r.WedgeSoundSpeed = 4100 }, beam.UnusualSoundSpeed, "wedge_sound_speed_m_s"},
		{"millimetres for metres", func(r *beam.SpacingRequest) { r.OutsideDiameter, r.Wall = 88.9, 5.49 }, beam.UnusualDiameter, "outside_diameter_m"},
		{"many traverses", func(r *beam.SpacingRequest) { r.Traverses = 7 }, beam.ManyTraverses, "traverses"},
	}
	for _, test := range tests {
		r := beam.SpacingRequest{Setup: steel(), Graduation: 0.001}
		test.change(&r)
		got, err := beam.Spacing(r)
		if err != nil {
			t.Errorf("%s: %v", test.name, err)
			continue
		}
		if !fault.Has(got.Warnings.Err(), test.code) || !inField(got.Warnings, test.code, test.field) {
			t.Errorf("%s: warnings %v", test.name, got.Warnings)
		}
	}
}

func inField(l fault.List, code *fault.Code, field string) bool {
	for _, f := range l {
		if f.Code == code && f.Field == field {
			return true
		}
	}
	return false
}

func TestSpacingWithoutAnythingUnusualIsQuiet(t *testing.T) {
	for name, s := range setups() {
		// At 1 MHz the wavelength of shear waves in the wall is 3.2 mm.
		r, err := beam.Spacing(beam.SpacingRequest{Setup: s, Graduation: 0.001, Frequency: 1e6})
		if err != nil || len(r.Warnings) != 0 {
			t.Errorf("%s: %v %v", name, r.Warnings, err)
		}
	}
}

func TestOverlapIsComputed(t *testing.T) {
	s := steel()
	s.ExitOffset = 0.05
	r := place(t, s)
	close(t, "spacing", r.Spacing, r.EntryDistance-0.1, 1e-15)
	if r.Spacing >= 0 || r.SettingMark >= 0 || r.SettingMarkText[0] != '-' {
		t.Errorf("spacing %g, mark %g %q", r.Spacing, r.SettingMark, r.SettingMarkText)
	}
}

func TestSpacingTooLargeForANumber(t *testing.T) {
	s := steel()
	s.OutsideDiameter, s.Wall, s.Traverses = 1e308, 1e306, 9
	if _, err := beam.Spacing(beam.SpacingRequest{Setup: s, Graduation: 1}); !fault.Has(err, beam.NotFinite) {
		t.Errorf("got %v", err)
	}
}
