package beam

import (
	"math"

	"rillmark/calc/fault"
)

// Transit is what a transit-time reference measures: the times the sound takes with and
// against the flow, from the point where the beam enters the pipe to where it leaves it.
type Transit struct {
	Down       float64 // s, with the flow
	Up         float64 // s, against the flow
	Mean       float64 // s, (down + up)/2
	Difference float64 // s, up − down; negative for a flow the other way
}

// Transit returns the times at the spacing really set (m between the facing faces) and an
// axial velocity along the beam (m/s, the mean over the path, negative for a flow the
// other way):
//
//	time = L/(c ± v·sin θ) + Σ solids + p·(entry distance set − entry distance recommended)
//
// with L = n·d/cos θ the path in the fluid, p = sin θ/c the wedge's ray parameter and entry
// distance set = spacing + 2·exit offset. The last term is the plane-wave model of the
// package comment; at the recommended spacing it is zero. The mean exceeds the time at
// rest by the relative amount (v·sin θ/c)², 5e-6 at 10 m/s in water.
//
// Errors: what Validate reports; NotFinite; SpacingShort where the beam would leave the
// pipe behind its entry; VelocityBeyondSound.
//
// Source: transit-time principle as in ISO 12242:2012 (from memory); L. C. Lynnworth,
// Ultrasonic Measurements for Process Control (1989).
func (s Setup) Transit(spacing, velocity float64) (Transit, error) {
	l := s.problems()
	if !finite(velocity) {
		l = append(l, NotFinite.At(VelocityName))
	}
	s.checkSpacing(&l, spacing)
	if err := l.Err(); err != nil {
		return Transit{}, err
	}
	p := s.rayParameter()
	fluid := s.fluid()
	along := velocity * fluid.sine(p)
	if math.Abs(along) >= fluid.speed {
		return Transit{}, VelocityBeyondSound.At(VelocityName, velocity)
	}
	path := fluid.depth / fluid.cosine(p)
	fixed := sum(s.solids(), p, layer.time) + p*(spacing-s.recommended())
	t := Transit{
		Down: fixed + path/(fluid.speed+along),
		Up:   fixed + path/(fluid.speed-along),
	}
	t.Mean = (t.Down + t.Up) / 2
	// Not up − down, which would lose the digits of a nanosecond in a hundred microseconds.
	t.Difference = 2 * path * along / ((fluid.speed - along) * (fluid.speed + along))
	return t, nil
}

func (s Setup) checkSpacing(l *fault.List, spacing float64) {
	switch {
	case !finite(spacing):
		*l = append(*l, NotFinite.At(SpacingName))
	case spacing+2*s.ExitOffset <= 0:
		*l = append(*l, SpacingShort.At(SpacingName, spacing*1e3, -2*s.ExitOffset*1e3))
	}
}
