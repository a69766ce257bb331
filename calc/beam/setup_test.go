package beam_test

import (
	"math"
	"testing"

	"rillmark/calc/beam"
	"rillmark/calc/fault"
)

func TestSpacingRefuses(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	type request = beam.SpacingRequest
	tests := []struct {
		name   string
		change func(*request)
		code   *fault.Code
		field  string
	}{
		{"diameter NaN", func(r *request) { r.OutsideDiameter = nan }, beam.NotFinite, "outside_diameter_m"},
		{"diameter zero", func(r *request) { r.OutsideDiameter = 0 }, beam.NotPositive, "outside_diameter_m"},
		{"wall infinite", func(r *request) { r.Wall = inf }, beam.NotFinite, "wall_m"},
		{"wall zero", func(r *request) { r.Wall = 0 }, beam.NotPositive, "wall_m"},
		{"wall at the radius", func(r *request) { r.Wall = 0.04445 }, beam.WallBeyondRadius, "wall_m"},
		{"wall beyond the radius", func(r *request) { r.Wall = 0.05 }, beam.WallBeyondRadius, "wall_m"},
		{"pipe speed negative", func(r *request) { r.PipeSoundSpeed = -1 }, beam.NotPositive, "pipe_sound_speed_m_s"},
		{"pipe speed NaN", func(r *request) { r.PipeSoundSpeed = nan }, beam.NotFinite, "pipe_sound_speed_m_s"},
		{"wave missing", func(r *request) { r.PipeWave = "" }, beam.UnknownWave, "pipe_wave"},
		{"wave unknown", func(r *request) { r.PipeWave = "plate" }, beam.UnknownWave, "pipe_wave"},
		{"liner NaN", func(r *request) { r.LinerThickness = nan }, beam.NotFinite, "liner_thickness_m"},
		{"liner negative", func(r *request) { r.LinerThickness = -0.001 }, beam.Negative, "liner_thickness_m"},
		{"liner thicker than the bore", func(r *request) { r.LinerThickness, r.LinerSoundSpeed = 0.04, 2000 }, beam.LinerBeyondBore, "liner_thickness_m"},
		{"liner without speed", func(r *request) { r.LinerThickness = 0.001 }, beam.NotPositive, "liner_sound_speed_m_s"},
		{"fluid speed zero", func(r *request) { r.FluidSoundSpeed = 0 }, beam.NotPositive, "fluid_sound_speed_m_s"},
		{"fluid speed infinite", func(r *request) { r.FluidSoundSpeed = inf }, beam.NotFinite, "fluid_sound_speed_m_s"},
		{"wedge speed zero", func(r *request) { r.WedgeSoundSpeed = 0 }, beam.NotPositive, "wedge_sound_speed_m_s"},
		{"wedge angle zero", func(r *request) { r.WedgeAngle = 0 }, beam.WedgeAngleRange, "wedge_angle_deg"},
		{"wedge angle 90°", func(r *request) { r.WedgeAngle = math.Pi / 2 }, beam.WedgeAngleRange, "wedge_angle_deg"},
		{"wedge angle NaN", func(r *request) { r.WedgeAngle = nan }, beam.NotFinite, "wedge_angle_deg"},
		{"offset negative", func(r *request) { r.ExitOffset = -0.001 }, beam.Negative, "exit_offset_m"},
		{"offset NaN", func(r *request) { r.ExitOffset = nan }, beam.NotFinite, "exit_offset_m"},
		{"no traverse", func(r *request) { r.Traverses = 0 }, beam.NoTraverse, "traverses"},
		{"graduation zero", func(r *request) { r.Graduation = 0 }, beam.NotPositive, "graduation_m"},
		{"graduation infinite", func(r *request) { r.Graduation = inf }, beam.NotFinite, "graduation_m"},
		{"frequency negative", func(r *request) { r.Frequency = -1 }, beam.Negative, "frequency_Hz"},
	}
	for _, test := range tests {
		r := request{Setup: steel(), Graduation: 0.001}
		test.change(&r)
		_, err := beam.Spacing(r)
		faults := fault.AllOf(err)
		if len(faults) != 1 || faults[0].Code != test.code || faults[0].Field != test.field {
			t.Errorf("%s: got %v", test.name, err)
		}
	}
}

func TestTotalReflectionNamesTheLayer(t *testing.T) {
	tests := []struct {
		layer, field string
		change       func(*beam.Setup)
	}{
		{"wall", "pipe_sound_speed_m_s", func(s *beam.Setup) { s.PipeSoundSpeed, s.PipeWave = 5900, beam.Longitudinal }},
		{"liner", "liner_sound_speed_m_s", func(s *beam.Setup) { s.LinerSoundSpeed = 5000 }},
		{"fluid", "fluid_sound_speed_m_s", func(s *beam.Setup) { s.FluidSoundSpeed = 4500 }},
		// Sound that just grazes the layer does not enter it.
		{"wall", "pipe_sound_speed_m_s", func(s *beam.Setup) { s.PipeSoundSpeed = s.WedgeSoundSpeed / math.Sin(s.WedgeAngle) }},
	}
	for _, test := range tests {
		s := lined()
		test.change(&s)
		faults := fault.AllOf(s.Validate())
		if len(faults) != 1 || faults[0].Code != beam.TotalReflection || faults[0].Field != test.field || faults[0].Value("layer") != test.layer {
			t.Errorf("%s: got %v", test.layer, faults)
			continue
		}
		// Just below the angle it names the layer is entered.
		s.WedgeAngle = (faults[0].Value("critical_angle_deg").(float64) - 1e-9) * degree
		if err := s.Validate(); err != nil {
			t.Errorf("%s: below the critical angle: %v", test.layer, err)
		}
		s.WedgeAngle += 2e-9 * degree
		if s.Validate() == nil {
			t.Errorf("%s: no total reflection above the critical angle", test.layer)
		}
	}
}

func TestEveryProblemAtOnce(t *testing.T) {
	_, err := beam.Spacing(beam.SpacingRequest{Setup: beam.Setup{
		OutsideDiameter: 0.1, Wall: 0.06, LinerThickness: math.NaN(), WedgeAngle: 2, Traverses: -1, ExitOffset: -1,
	}})
	fields := map[string]bool{}
	for _, f := range fault.AllOf(err) {
		fields[f.Field] = true
	}
	for _, field := range []string{"pipe_sound_speed_m_s", "pipe_wave", "liner_thickness_m", "fluid_sound_speed_m_s",
		"wedge_sound_speed_m_s", "wedge_angle_deg", "exit_offset_m", "traverses", "graduation_m"} {
		if !fields[field] {
			t.Errorf("%s is not reported: %v", field, err)
		}
	}
}
