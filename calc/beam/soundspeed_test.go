package beam_test

import (
	"math"
	"testing"

	"rillmark/calc/beam"
	"rillmark/calc/fault"
)

var measuring = []beam.Way{beam.WedgeAngle, beam.WedgeAngleAndSpacing, beam.ConnectingRay}

func transit(t *testing.T, s beam.Setup, spacing, velocity float64) beam.Transit {
	t.Helper()
	got, err := s.Transit(spacing, velocity)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

func measured(t *testing.T, s beam.Setup, spacing, time float64, way beam.Way) float64 {
	t.Helper()
	c, err := s.MeasuredSoundSpeed(spacing, time, way)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// At the recommended spacing every way finds the sound speed the time was made with.
func TestMeasuredSoundSpeedRoundTrip(t *testing.T) {
	for name, s := range setups() {
		at := place(t, s)
		for _, way := range measuring {
			close(t, name+" "+string(way), measured(t, s, at.Spacing, at.TotalTransitTime, way), s.FluidSoundSpeed, 1e-12)
		}
	}
}

// Where the liquid is not the one the spacing was computed for, the ways that know the
// spacing still find its sound speed; the one that does not is off by a little.
func TestMeasuredSoundSpeedOfAnotherLiquid(t *testing.T) {
	for name, s := range setups() {
		at := place(t, s)
		truth := s
		truth.FluidSoundSpeed -= 30
		time := transit(t, truth, at.Spacing, 0).Mean
		close(t, name+" told", measured(t, s, at.Spacing, time, beam.WedgeAngleAndSpacing), truth.FluidSoundSpeed, 1e-12)
		close(t, name+" connecting", measured(t, s, at.Spacing, time, beam.ConnectingRay), truth.FluidSoundSpeed, 2e-4)
		untold := measured(t, s, at.Spacing, time, beam.WedgeAngle)
		if off := untold - truth.FluidSoundSpeed; math.Abs(off) < 1 || math.Abs(off) > 10 {
			t.Errorf("%s: the untold reference is off by %g m/s", name, off)
		}
	}
}

// The connecting ray is the one the tracer finds: times by least time alone.
func TestConnectingRayAgainstLeastTime(t *testing.T) {
	for name, s := range setups() {
		at := place(t, s)
		for _, shift := range []float64{-0.003, 0.005} {
			time := leastTime(inside(s), at.EntryDistance+shift)
			close(t, name, measured(t, s, at.Spacing+shift, time, beam.ConnectingRay), s.FluidSoundSpeed, 1e-11)
		}
	}
}

// A wrong bore shows in the measured sound speed: 1/(1 − tan²θ) where the spacing is not
// known, cos²θ where it is. The wall's sound speed is raised to hide the wall itself.
func TestMeasuredSoundSpeedAgainstBore(t *testing.T) {
	s := steel()
	at := place(t, s)
	const grow = 1e-6
	wrong := s
	wrong.OutsideDiameter += grow * s.Bore()
	want := map[beam.Way]float64{
		beam.WedgeAngle:           1 / (1 - math.Pow(math.Tan(at.FluidAngle), 2)),
		beam.WedgeAngleAndSpacing: math.Pow(math.Cos(at.FluidAngle), 2),
		beam.ConnectingRay:        math.Pow(math.Cos(at.FluidAngle), 2),
	}
	for _, way := range measuring {
		c := measured(t, wrong, at.Spacing, at.TotalTransitTime, way)
		close(t, string(way), (c/s.FluidSoundSpeed-1)/grow, want[way], 1e-5)
		// The trade's "0.7 to 1.2 times".
		if want[way] < 0.7 || want[way] > 1.2 {
			t.Errorf("%s: factor %g", way, want[way])
		}
	}
}

// The mean of up and down exceeds the time at rest by (v·sinθ/c)², which lowers the sound speed.
func TestMeasuredSoundSpeedUnderFlow(t *testing.T) {
	s := steel()
	at := place(t, s)
	c := measured(t, s, at.Spacing, transit(t, s, at.Spacing, 10).Mean, beam.WedgeAngleAndSpacing)
	mach := 10 * math.Sin(at.FluidAngle) / s.FluidSoundSpeed
	if off := (s.FluidSoundSpeed - c) / s.FluidSoundSpeed; off < 0.5*mach*mach || off > 1.5*mach*mach {
		t.Errorf("relative %g, want about %g", off, mach*mach)
	}
}

func TestMeasuredSoundSpeedRefuses(t *testing.T) {
	s := steel()
	at := place(t, s)
	tests := []struct {
		name          string
		spacing, time float64
		way           beam.Way
		code          *fault.Code
		field         string
	}{
		{"entered", at.Spacing, 1e-4, beam.SoundSpeedEntered, beam.NothingMeasured, "way"},
		{"no way", at.Spacing, 1e-4, "", beam.UnknownWay, "way"},
		{"time NaN", at.Spacing, math.NaN(), beam.WedgeAngle, beam.NotFinite, "transit_time_s"},
		{"time zero", at.Spacing, 0, beam.WedgeAngle, beam.NotPositive, "transit_time_s"},
		{"spacing short", -1, 1e-4, beam.ConnectingRay, beam.SpacingShort, "spacing_m"},
		{"too short by angle", at.Spacing, 5e-5, beam.WedgeAngle, beam.TransitTimeShort, "transit_time_s"},
		{"too short by angle and spacing", at.Spacing, 1.5e-5, beam.WedgeAngleAndSpacing, beam.TransitTimeShort, "transit_time_s"},
		{"too short for the wall", at.Spacing, 3e-6, beam.ConnectingRay, beam.TransitTimeShort, "transit_time_s"},
	}
	for _, test := range tests {
		_, err := s.MeasuredSoundSpeed(test.spacing, test.time, test.way)
		faults := fault.AllOf(err)
		if len(faults) != 1 || faults[0].Code != test.code || faults[0].Field != test.field {
			t.Errorf("%s: got %v", test.name, err)
		}
	}
}

// The least time named with a refusal is where the refusal ends.
func TestShortestTransitTime(t *testing.T) {
	s := lined()
	at := place(t, s)
	for way, short := range map[beam.Way]float64{beam.WedgeAngle: 1e-5, beam.WedgeAngleAndSpacing: 1e-5, beam.ConnectingRay: 1e-6} {
		_, err := s.MeasuredSoundSpeed(at.Spacing, short, way)
		f, _ := fault.Of(err)
		if f.Code != beam.TransitTimeShort {
			t.Errorf("%s: got %v", way, err)
			continue
		}
		least := f.Value("least_us").(float64) / 1e6
		if _, err := s.MeasuredSoundSpeed(at.Spacing, least*(1+1e-9), way); err != nil {
			t.Errorf("%s: just above %g: %v", way, least, err)
		}
		if _, err := s.MeasuredSoundSpeed(at.Spacing, least*(1-1e-9), way); err == nil {
			t.Errorf("%s: just below %g is accepted", way, least)
		}
	}
}

// Sound that comes almost straight through, or after a distance the walls alone make up.
func TestConnectingRayAtTheEnds(t *testing.T) {
	s := lined()
	close(t, "hardly any distance", measured(t, s, -2*s.ExitOffset+1e-9, 2.2e-4, beam.ConnectingRay),
		s.Bore()/(2.2e-4-2*s.Wall/s.PipeSoundSpeed-2*s.LinerThickness/s.LinerSoundSpeed), 1e-6)
	// A time far shorter than the distance needs in the wall makes a very fast fluid.
	fast := measured(t, s, 0.4, 1.2e-5, beam.ConnectingRay)
	if fast < 20000 {
		t.Errorf("sound speed %g", fast)
	}
	truth := s
	truth.FluidSoundSpeed = fast
	close(t, "fast fluid", leastTime(inside(truth), 0.4+2*s.ExitOffset), 1.2e-5, 1e-9)
}
