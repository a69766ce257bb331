package beam

import (
	"math"

	"rillmark/calc/fault"
)

// SpacingRequest is what the recommended spacing is computed from.
type SpacingRequest struct {
	Setup
	Graduation float64 // m, > 0: the easy marks of the tape
	Frequency  float64 // Hz of the transducers; 0 when not known
}

// SpacingResult says where the transducers go and how the sound runs between them.
type SpacingResult struct {
	FluidAngle       float64 // rad from the normal
	PipeAngle        float64 // rad from the normal
	LinerAngle       float64 // rad from the normal; 0 without a liner
	Bore             float64 // m, clear inside diameter
	EntryDistance    float64 // m along the axis between the points where the beam enters and leaves the pipe
	Spacing          float64 // m between the facing faces; negative: they would overlap
	SettingMark      float64 // m, the graduation nearest to Spacing
	SettingMarkText  string  // the mark as read on the tape: "141 mm", "5 9/16 in"
	PathLength       float64 // m, in the fluid alone
	FluidTransitTime float64 // s, in the fluid alone, at rest
	TotalTransitTime float64 // s, with wall and liner at both ends, at rest
	Warnings         fault.List
}

// Validate returns every problem of the request at once, nil when there is none.
func (r SpacingRequest) Validate() error {
	l := r.Setup.problems()
	positive(&l, GraduationName, r.Graduation)
	notNegative(&l, FrequencyName, r.Frequency)
	return l.Err()
}

// Spacing computes the recommended spacing of two clamp-on transducers and the path of
// the beam, by Snell's law with the one ray parameter p = sin θ_wedge / c_wedge:
//
//	sin θ_i = p·c_i for wall, liner and fluid
//	entry distance = n·d·tan θ_fluid + 2·(t_wall·tan θ_wall + t_liner·tan θ_liner), d = OD − 2·wall − 2·liner
//	spacing = entry distance − 2·exit offset
//	path length = n·d / cos θ_fluid,  fluid time = path length / c_fluid
//	total time = fluid time + 2·(t_wall/(c_wall·cos θ_wall) + t_liner/(c_liner·cos θ_liner))
//
// All in SI units and radians. Valid for any set-up without total reflection.
//
// Errors: a fault.List with everything wrong in the request, see Validate; NotFinite of
// the whole where a result is too large for a number.
// Warnings: Overlap, ThinWall (only with a frequency), MarkFar, UnusualSoundSpeed,
// UnusualDiameter, ManyTraverses.
//
// Source: Snell's law; transit-time principle as in ISO 12242:2012 (from memory).
func Spacing(r SpacingRequest) (SpacingResult, error) {
	if err := r.Validate(); err != nil {
		return SpacingResult{}, err
	}
	s, p := r.Setup, r.rayParameter()
	solids, fluid := s.solids(), s.fluid()
	result := SpacingResult{
		FluidAngle:       fluid.angle(p),
		PipeAngle:        solids[0].angle(p),
		Bore:             s.Bore(),
		EntryDistance:    s.entryDistance(),
		Spacing:          s.recommended(),
		PathLength:       fluid.depth / fluid.cosine(p),
		FluidTransitTime: fluid.time(p),
		TotalTransitTime: fluid.time(p) + sum(solids, p, layer.time),
	}
	if len(solids) > 1 {
		result.LinerAngle = solids[1].angle(p)
	}
	result.SettingMark, result.SettingMarkText = SettingMark(result.Spacing, r.Graduation)
	for _, x := range []float64{result.Spacing, result.SettingMark, result.PathLength, result.TotalTransitTime} {
		if !finite(x) {
			return SpacingResult{}, NotFinite.At("")
		}
	}
	result.Warnings = r.warnings(result)
	return result, nil
}

func (r SpacingRequest) warnings(result SpacingResult) fault.List {
	l := r.Setup.Warnings()
	if result.Spacing < 0 {
		l = append(l, Overlap.At(SpacingName, -result.Spacing*1e3))
	}
	if wavelength := r.PipeSoundSpeed / r.Frequency; r.Frequency > 0 && r.Wall < wavelength {
		l = append(l, ThinWall.At(WallName, r.Wall*1e3, wavelength*1e3))
	}
	if far := math.Abs(result.SettingMark - result.Spacing); far > CommonLimit {
		l = append(l, MarkFar.At(GraduationName, far*1e3, CommonLimit*1e3))
	}
	return l
}
