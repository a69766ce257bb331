package beam

import (
	"math"

	"rillmark/calc/fault"
)

// Reading is what the reference has measured, and the spacing entered in it.
type Reading struct {
	Spacing        float64 // m between the facing faces, as entered
	TransitTime    float64 // s, mean of up and down, > 0
	TimeDifference float64 // s, up − down
	ProfileFactor  float64 // mean velocity over the section / mean velocity along the beam, > 0
}

// ReferenceFlow is what the reference computes from a reading.
type ReferenceFlow struct {
	SoundSpeed       float64 // m/s of the fluid, measured or as entered
	FluidAngle       float64 // rad from the normal
	FluidTransitTime float64 // s
	Velocity         float64 // m/s, along the pipe, mean over the beam
	Flow             float64 // m³/s
}

// Flow computes what a clamp-on transit-time reference with the set-up s entered makes of
// a reading:
//
//	v = Δt / (2·p·T),  T = n·d/(c·cos θ),  q = K·(π/4)·d²·v
//
// with p and c found in the way stated (see MeasuredSoundSpeed). Where the transit time is
// measured with the wedge's angle, v does not depend on the bore and q goes about with its
// square; with the sound speed entered v = Δt·c²/(2·n·d·tan θ) and q goes with the bore.
// v is exact at any velocity but for the relative (v·sin θ/c)² that the mean transit time
// carries.
//
// Errors: as MeasuredSoundSpeed (without NothingMeasured); NotFinite and NotPositive for
// the reading.
//
// Source: transit-time principle as in ISO 12242:2012 (from memory); R. C. Baker, Flow
// Measurement Handbook.
func (s Setup) Flow(r Reading, way Way) (ReferenceFlow, error) {
	if err := s.checkFlow(r, way).Err(); err != nil {
		return ReferenceFlow{}, err
	}
	ray, err := s.measure(r.Spacing, r.TransitTime, way)
	if err != nil {
		return ReferenceFlow{}, err
	}
	fluid := s.fluid()
	fluid.speed = ray.speed
	f := ReferenceFlow{
		SoundSpeed:       ray.speed,
		FluidAngle:       fluid.angle(ray.p),
		FluidTransitTime: fluid.time(ray.p),
	}
	f.Velocity = r.TimeDifference / (2 * ray.p * f.FluidTransitTime)
	f.Flow = r.ProfileFactor * math.Pi / 4 * s.Bore() * s.Bore() * f.Velocity
	return f, nil
}

func (s Setup) checkFlow(r Reading, way Way) fault.List {
	l := s.problems()
	s.checkReading(&l, r.Spacing, r.TransitTime, way)
	if !finite(r.TimeDifference) {
		l = append(l, NotFinite.At(TimeDifferenceName))
	}
	positive(&l, ProfileFactorName, r.ProfileFactor)
	return l
}
