package beam

import (
	"math"

	"rillmark/calc/fault"
	"rillmark/calc/num"
)

// Way is how the reference finds the sound speed of the fluid, and with it the flow. The
// zero value is invalid.
type Way string

// The ways. In the first three the reference measures the transit time and its flow goes
// about with the square of the bore (with a higher power for the connecting ray); in the
// last it computes from the sound speed entered and its flow goes with the bore.
const (
	// WedgeAngle: the angle by Snell's law from the wedge; the reference cannot be told the
	// spacing set and takes it as the recommended one.
	WedgeAngle Way = "wedge-angle"
	// WedgeAngleAndSpacing: the angle by Snell's law from the wedge; the shift in time by the
	// spacing really set is taken into account.
	WedgeAngleAndSpacing Way = "wedge-angle-and-spacing"
	// ConnectingRay: the angle from the geometry alone, as that of the ray that connects the
	// two points where the beam enters and leaves the pipe at the spacing set; the wedge plays no part.
	ConnectingRay Way = "connecting-ray"
	// SoundSpeedEntered: nothing is measured; the sound speed is the one entered.
	SoundSpeedEntered Way = "sound-speed-entered"
)

func (w Way) known() bool {
	switch w {
	case WedgeAngle, WedgeAngleAndSpacing, ConnectingRay, SoundSpeedEntered:
		return true
	}
	return false
}

// rayInFluid is what a reference concludes: its ray parameter and the fluid's sound speed.
type rayInFluid struct{ p, speed float64 }

// MeasuredSoundSpeed returns the sound speed of the fluid (m/s) that a reference computes
// from the total transit time (s, mean of up and down), the spacing set (m) and the
// geometry entered. It solves, with n·d the depth of fluid crossed and E = spacing + 2·exit
// offset:
//
//   - WedgeAngle: c·(t − Σ solids time) = n·d/cos θ and sin θ = p·c with the wedge's p. Of
//     the two solutions it takes the one with θ ≤ 45°. The spacing is not used.
//   - WedgeAngleAndSpacing: n·d·cos θ/c = t − p·E − Σ solids (t_i·cos θ_i/c_i), sin θ = p·c.
//   - ConnectingRay: the p for which the ray reaches exactly E and takes exactly t, by
//     Brent's method to the rounding limit; its c is √((n·d)² + X²)/T with X and T what
//     the solids leave of E and t for the fluid.
//
// The three agree where the spacing is the recommended one for the sound speed that comes
// out and the geometry is right. A bore entered too large by 1 % raises the result by
// about 1/(1 − tan² θ), cos² θ and cos² θ per cent (1.15 and 0.88 at 20°). The
// FluidSoundSpeed of the set-up is not used beyond having to be valid.
//
// Errors: what Validate reports; UnknownWay, NothingMeasured; NotFinite, NotPositive;
// SpacingShort; TransitTimeShort; num.NotBracketed, num.NotConverged.
//
// Source: Snell's law; Fermat's principle for the connecting ray.
func (s Setup) MeasuredSoundSpeed(spacing, transitTime float64, way Way) (float64, error) {
	if way == SoundSpeedEntered {
		return 0, NothingMeasured.At(WayName, string(way))
	}
	l := s.problems()
	s.checkReading(&l, spacing, transitTime, way)
	if err := l.Err(); err != nil {
		return 0, err
	}
	ray, err := s.measure(spacing, transitTime, way)
	return ray.speed, err
}

func (s Setup) checkReading(l *fault.List, spacing, transitTime float64, way Way) {
	s.checkSpacing(l, spacing)
	positive(l, TransitTimeName, transitTime)
	if !way.known() {
		*l = append(*l, UnknownWay.At(WayName, string(way)))
	}
}

// measure takes a valid set-up and reading.
func (s Setup) measure(spacing, time float64, way Way) (rayInFluid, error) {
	p := s.rayParameter()
	switch way {
	case WedgeAngle:
		return s.measureByAngle(p, time)
	case WedgeAngleAndSpacing:
		return s.measureByAngleAndSpacing(p, spacing+2*s.ExitOffset, time)
	case ConnectingRay:
		return s.measureByConnecting(spacing+2*s.ExitOffset, time)
	}
	return rayInFluid{p, s.FluidSoundSpeed}, nil
}

// measureByAngle solves c²·(1 − p²c²) = (n·d/T)²; the form of the root keeps its digits
// where p·c is small.
func (s Setup) measureByAngle(p, time float64) (rayInFluid, error) {
	solid := sum(s.solids(), p, layer.time)
	depth := s.fluid().depth
	left := time - solid
	if least := 2 * p * depth; left < least {
		return rayInFluid{}, tooShort(time, solid+least)
	}
	g := depth / left
	root := math.Sqrt(1 - 4*p*p*g*g)
	return rayInFluid{p, g * math.Sqrt(2/(1+root))}, nil
}

func (s Setup) measureByAngleAndSpacing(p, distance, time float64) (rayInFluid, error) {
	least := p*distance + sum(s.solids(), p, layer.crossing)
	if time <= least {
		return rayInFluid{}, tooShort(time, least)
	}
	across := (time - least) / s.fluid().depth // cos θ / c
	return rayInFluid{p, 1 / math.Hypot(across, p)}, nil
}

// grazing keeps the search for the connecting ray clear of the ray along a layer, where
// the distance covered goes to infinity.
const grazing = 1 - 1e-9

func (s Setup) measureByConnecting(distance, time float64) (rayInFluid, error) {
	solids := s.solids()
	if least := sum(solids, 0, layer.time); time <= least {
		return rayInFluid{}, tooShort(time, least)
	}
	upper := math.Inf(1)
	for _, l := range solids {
		upper = math.Min(upper, grazing/l.speed)
	}
	// At the p at which the solids use up the whole time nothing is left for the fluid, and
	// the mismatch below is −p: the other end of the bracket.
	left := func(p float64) (float64, error) { return time - sum(solids, p, layer.time), nil }
	if at, _ := left(upper); at < 0 {
		root, err := num.Root(left, 0, upper, num.Search{})
		if err != nil {
			return rayInFluid{}, err
		}
		upper = root
	}
	depth := s.fluid().depth
	inFluid := func(p float64) (x, t float64) {
		return distance - sum(solids, p, layer.reach), time - sum(solids, p, layer.time)
	}
	mismatch := func(p float64) (float64, error) {
		x, t := inFluid(p)
		return x*t/(x*x+depth*depth) - p, nil
	}
	p, err := num.Root(mismatch, 0, upper, num.Search{})
	if err != nil {
		return rayInFluid{}, err
	}
	x, t := inFluid(p)
	return rayInFluid{p, math.Hypot(x, depth) / t}, nil
}

func tooShort(time, least float64) error {
	return TransitTimeShort.At(TransitTimeName, time*1e6, least*1e6)
}
