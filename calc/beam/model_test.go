package beam_test

import (
	"math"
	"testing"

	"rillmark/calc/beam"
	"rillmark/calc/fault"
)

func slopes(t *testing.T, m beam.Model) map[string]float64 {
	t.Helper()
	all, err := m.Slopes()
	if err != nil {
		t.Fatal(err)
	}
	by := map[string]float64{}
	for _, s := range all {
		by[s.Name] = s.Value
	}
	return by
}

// The numeric sensitivities of the spacing against the derivatives of its formula.
func TestSpacingSlopes(t *testing.T) {
	for name, s := range setups() {
		at := place(t, s)
		m := beam.SpacingModel(s)
		value, err := m.Here()
		if err != nil || value != at.Spacing {
			t.Fatalf("%s: %g, %v", name, value, err)
		}
		n := float64(s.Traverses)
		tan, cos3 := math.Tan, func(a float64) float64 { return math.Pow(math.Cos(a), 3) }
		p := math.Sin(s.WedgeAngle) / s.WedgeSoundSpeed
		perP := n*s.Bore()*s.FluidSoundSpeed/cos3(at.FluidAngle) + 2*s.Wall*s.PipeSoundSpeed/cos3(at.PipeAngle)
		want := map[string]float64{
			"outside_diameter_m":    n * tan(at.FluidAngle),
			"wall_m":                2*tan(at.PipeAngle) - 2*n*tan(at.FluidAngle),
			"exit_offset_m":         -2,
			"fluid_sound_speed_m_s": n * s.Bore() * p / cos3(at.FluidAngle),
			"pipe_sound_speed_m_s":  2 * s.Wall * p / cos3(at.PipeAngle),
		}
		if s.LinerThickness > 0 {
			perP += 2 * s.LinerThickness * s.LinerSoundSpeed / cos3(at.LinerAngle)
			want["liner_thickness_m"] = 2*tan(at.LinerAngle) - 2*n*tan(at.FluidAngle)
			want["liner_sound_speed_m_s"] = 2 * s.LinerThickness * p / cos3(at.LinerAngle)
		}
		want["wedge_sound_speed_m_s"] = -perP * p / s.WedgeSoundSpeed
		want["wedge_angle_deg"] = perP * math.Cos(s.WedgeAngle) / s.WedgeSoundSpeed * degree
		got := slopes(t, m)
		if len(got) != len(want) {
			t.Errorf("%s: %d slopes, want %d: %v", name, len(got), len(want), got)
		}
		for input, slope := range want {
			close(t, name+" "+input, got[input], slope, 1e-8)
		}
	}
}

func TestSpacingModelRefusesWhatSpacingRefuses(t *testing.T) {
	s := steel()
	s.PipeSoundSpeed = 6000
	if _, err := beam.SpacingModel(s).Slopes(); !fault.Has(err, beam.TotalReflection) {
		t.Errorf("got %v", err)
	}
}

func TestFlowSlopes(t *testing.T) {
	s := steel()
	read := reading(t, s, 1)
	at := place(t, s)
	q := flow(t, s, read, beam.WedgeAngle).Flow
	relative := func(way beam.Way, input string) float64 {
		m := beam.FlowModel(s, read, way)
		value, err := m.Here()
		if err != nil {
			t.Fatal(err)
		}
		return slopes(t, m)[input] / value
	}
	p := math.Sin(s.WedgeAngle) / s.WedgeSoundSpeed
	n := float64(s.Traverses)
	for _, way := range everyWay {
		close(t, string(way)+" difference", relative(way, "time_difference_s"), 1/read.TimeDifference, 1e-9)
		close(t, string(way)+" profile", relative(way, "profile_factor"), 1, 1e-9)
	}
	close(t, "angle: diameter", relative(beam.WedgeAngle, "outside_diameter_m"), 2/s.Bore(), 1e-7)
	close(t, "angle: time", relative(beam.WedgeAngle, "transit_time_s"), -1/at.FluidTransitTime, 1e-5)
	close(t, "entered: diameter", relative(beam.SoundSpeedEntered, "outside_diameter_m"), 1/s.Bore(), 1e-7)
	// q ∝ c·√(1 − p²c²): the entered sound speed and the angle it makes.
	tan2 := math.Pow(math.Tan(at.FluidAngle), 2)
	close(t, "entered: sound speed", relative(beam.SoundSpeedEntered, "fluid_sound_speed_m_s"), (1-tan2)/s.FluidSoundSpeed, 1e-7)
	near(t, "angle: spacing", relative(beam.WedgeAngle, "spacing_m"), 0, 1e-9)
	near(t, "angle: sound speed entered", relative(beam.WedgeAngle, "fluid_sound_speed_m_s"), 0, 1e-9)
	// Told a spacing larger than the true one, the reference finds a faster fluid: with
	// A = cosθ/c falling by p/(n·d) per metre and T = n·d·(A + p²/A), q ∝ 1/T.
	a := math.Cos(at.FluidAngle) / s.FluidSoundSpeed
	perMetre := p / (n * s.Bore()) * (1 - p*p/(a*a)) / (a + p*p/a)
	close(t, "told: spacing", relative(beam.WedgeAngleAndSpacing, "spacing_m"), perMetre, 1e-5)
	if q <= 0 {
		t.Error("no flow")
	}
}

func TestFlowSlopesCoverTheLiner(t *testing.T) {
	s := lined()
	got := slopes(t, beam.FlowModel(s, reading(t, s, 1), beam.ConnectingRay))
	for _, input := range []string{"liner_thickness_m", "liner_sound_speed_m_s"} {
		if got[input] == 0 {
			t.Errorf("no sensitivity to %s: %v", input, got)
		}
	}
	if _, there := got["wedge_angle_deg"]; !there || math.Abs(got["wedge_angle_deg"]) > 1e-9 {
		t.Errorf("the connecting ray does not depend on the wedge: %v", got["wedge_angle_deg"])
	}
}
