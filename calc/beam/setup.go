package beam

import (
	"math"

	"rillmark/calc/fault"
)

// Wave is the kind of wave that carries the sound through the pipe wall. The zero value
// is invalid.
type Wave string

// The waves a wall carries.
const (
	Shear        Wave = "shear"        // particles move across the ray; usual in metal
	Longitudinal Wave = "longitudinal" // particles move along the ray; usual in plastic
)

// Names of the inputs, as faults, models and explanations use them. The value of a named
// input is in the unit its name ends in.
const (
	OutsideDiameterName = "outside_diameter_m"
	WallName            = "wall_m"
	PipeSoundSpeedName  = "pipe_sound_speed_m_s"
	PipeWaveName        = "pipe_wave"
	LinerThicknessName  = "liner_thickness_m"
	LinerSoundSpeedName = "liner_sound_speed_m_s"
	FluidSoundSpeedName = "fluid_sound_speed_m_s"
	WedgeSoundSpeedName = "wedge_sound_speed_m_s"
	WedgeAngleName      = "wedge_angle_deg"
	ExitOffsetName      = "exit_offset_m"
	TraversesName       = "traverses"
	GraduationName      = "graduation_m"
	FrequencyName       = "frequency_Hz"
	SpacingName         = "spacing_m"
	TransitTimeName     = "transit_time_s"
	TimeDifferenceName  = "time_difference_s"
	ProfileFactorName   = "profile_factor"
	VelocityName        = "velocity_m_s"
	WayName             = "way"
	TabulatedName       = "tabulated_sound_speed_m_s"
	MeasuredName        = "measured_sound_speed_m_s"
	TemperatureName     = "temperature_C"
)

// Setup is what the beam passes through and how it is sent: pipe, liner, fluid, wedge.
type Setup struct {
	OutsideDiameter float64 // m, > 0
	Wall            float64 // m, > 0, below the radius
	PipeSoundSpeed  float64 // m/s, > 0, of PipeWave
	PipeWave        Wave
	LinerThickness  float64 // m; 0 is no liner
	LinerSoundSpeed float64 // m/s, > 0; not looked at without a liner
	FluidSoundSpeed float64 // m/s, > 0
	WedgeSoundSpeed float64 // m/s, > 0
	WedgeAngle      float64 // rad from the normal, between 0 and π/2
	ExitOffset      float64 // m, ≥ 0: from a transducer's facing face back to where its beam enters the pipe
	Traverses       int     // crossings of the fluid, ≥ 1
}

// Bore returns the clear inside diameter d = OD − 2·wall − 2·liner, in metres.
func (s Setup) Bore() float64 {
	return s.OutsideDiameter - 2*s.Wall - 2*s.LinerThickness
}

// Validate returns every problem of the set-up at once as a fault.List, nil when it can
// be computed with.
//
// Errors: NotFinite, NotPositive, Negative, WallBeyondRadius, LinerBeyondBore,
// NoTraverse, UnknownWave, WedgeAngleRange, TotalReflection.
func (s Setup) Validate() error { return s.problems().Err() }

func (s Setup) problems() fault.List {
	var l fault.List
	sizes := positive(&l, OutsideDiameterName, s.OutsideDiameter)
	sizes = positive(&l, WallName, s.Wall) && sizes
	speeds := positive(&l, PipeSoundSpeedName, s.PipeSoundSpeed)
	if s.PipeWave != Shear && s.PipeWave != Longitudinal {
		l = append(l, UnknownWave.At(PipeWaveName, string(s.PipeWave)))
	}
	sizes = notNegative(&l, LinerThicknessName, s.LinerThickness) && sizes
	if s.LinerThickness > 0 {
		speeds = positive(&l, LinerSoundSpeedName, s.LinerSoundSpeed) && speeds
	}
	speeds = positive(&l, FluidSoundSpeedName, s.FluidSoundSpeed) && speeds
	speeds = positive(&l, WedgeSoundSpeedName, s.WedgeSoundSpeed) && speeds
	speeds = s.wedgeAngle(&l) && speeds
	notNegative(&l, ExitOffsetName, s.ExitOffset)
	if s.Traverses < 1 {
		l = append(l, NoTraverse.At(TraversesName, s.Traverses))
	}
	if sizes {
		l = append(l, s.misfits()...)
	}
	if speeds {
		l = append(l, s.reflections()...)
	}
	return l
}

func (s Setup) wedgeAngle(l *fault.List) bool {
	if !finite(s.WedgeAngle) {
		*l = append(*l, NotFinite.At(WedgeAngleName))
		return false
	}
	if s.WedgeAngle <= 0 || s.WedgeAngle >= math.Pi/2 {
		*l = append(*l, WedgeAngleRange.At(WedgeAngleName, s.WedgeAngle*degreesPerRadian))
		return false
	}
	return true
}

// misfits compares the sizes with one another.
func (s Setup) misfits() fault.List {
	radius := s.OutsideDiameter / 2
	if s.Wall >= radius {
		return fault.List{WallBeyondRadius.At(WallName, s.Wall*1e3, radius*1e3)}
	}
	if s.LinerThickness >= radius-s.Wall {
		return fault.List{LinerBeyondBore.At(LinerThicknessName, s.LinerThickness*1e3, (radius-s.Wall)*1e3)}
	}
	return nil
}

const degreesPerRadian = 180 / math.Pi

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

func positive(l *fault.List, field string, x float64) bool {
	switch {
	case !finite(x):
		*l = append(*l, NotFinite.At(field))
	case x <= 0:
		*l = append(*l, NotPositive.At(field, x))
	default:
		return true
	}
	return false
}

func notNegative(l *fault.List, field string, x float64) bool {
	switch {
	case !finite(x):
		*l = append(*l, NotFinite.At(field))
	case x < 0:
		*l = append(*l, Negative.At(field, x))
	default:
		return true
	}
	return false
}
