package beam

import (
	"math"

	"rillmark/calc/num"
)

// Believer is a reference with what it believes of the pipe laid out, so that what it would
// show over many different truths is found quickly, without allocating, and with the same
// digits on every machine (operations are kept from being fused).
type Believer struct {
	way       Way
	setup     Setup
	spacing   float64
	traverses float64
	p         float64 // ray parameter
	square    float64 // p²
	inverse   float64 // of the depth of fluid crossed
	solids    float64 // time in wall and liner, with the way's angle
	least     float64 // time that is not the fluid's way across
	factor    float64 // d²/(2·p·n·d), of time difference, sound speed and cosine to the flow
}

// NewBeliever lays out a reference that believes the set-up and spacing (m) and works in
// the way stated.
//
// Errors: those of Setup.Validate; UnknownWay; SpacingShort.
func NewBeliever(s Setup, spacing float64, way Way) (*Believer, error) {
	l := s.problems()
	s.checkSpacing(&l, spacing)
	if !way.known() {
		l = append(l, UnknownWay.At(WayName, string(way)))
	}
	if err := l.Err(); err != nil {
		return nil, err
	}
	b := &Believer{way: way, setup: s, spacing: spacing, traverses: float64(s.Traverses)}
	b.p = num.ReproducibleSine(s.WedgeAngle) / s.WedgeSoundSpeed
	b.square = float64(b.p * b.p)
	bore := clear(&s)
	b.inverse = 1 / float64(b.traverses*bore)
	b.factor = bore / float64(2*b.p*b.traverses)
	b.least = float64(b.p * (spacing + 2*s.ExitOffset))
	for _, solid := range s.solids() {
		cosine := cosineOf(float64(b.p * solid.speed))
		b.solids += solid.depth / float64(solid.speed*cosine)
		b.least += float64(solid.depth*cosine) / solid.speed
	}
	return b, nil
}

// formal is the velocity that truth is given, m/s: it cancels but for the relative
// (v·sin θ/c)² of the mean time.
const formal = 1

func clear(s *Setup) float64 { return s.OutsideDiameter - 2*s.Wall - 2*s.LinerThickness }

// cosineOf is √(1 − sine²); NaN beyond grazing.
func cosineOf(sine float64) float64 { return math.Sqrt(float64((1 - sine) * (1 + sine))) }

// Shows returns the flow that the reference shows over the true flow, dimensionless, when
// truth and the spacing really set (m) are what they are: the same as Transit of the truth
// followed by Flow of what is believed. NaN where the truth lets no sound through, or has
// no bore. Truth must have the believed number of traverses.
//
// Source: the model of this package; see Setup.Transit and Setup.Flow.
func (b *Believer) Shows(truth *Setup, spacing float64) float64 {
	p := num.ReproducibleSine(truth.WedgeAngle) / truth.WedgeSoundSpeed
	bore := clear(truth)
	if !(bore > 0) {
		return math.NaN()
	}
	time, reach := solid(p, truth.Wall, truth.PipeSoundSpeed)
	if truth.LinerThickness > 0 {
		t, r := solid(p, truth.LinerThickness, truth.LinerSoundSpeed)
		time, reach = time+t, reach+r
	}
	speed := truth.FluidSoundSpeed
	sine := float64(p * speed)
	path := float64(b.traverses*bore) / cosineOf(sine)
	along := formal * sine
	over := path / float64((speed-along)*(speed+along))
	recommended := float64(path*sine) + reach - 2*truth.ExitOffset
	mean := time + float64(p*(spacing-recommended)) + float64(over*speed)
	if math.IsNaN(mean) {
		return mean // the way by an entered sound speed does not look at it
	}
	difference := float64(2 * float64(over*along))
	return float64(float64(b.factor*difference)*b.across(mean)) / float64(float64(bore*bore)*formal)
}

// solid returns time and reach of a layer crossed at both ends.
func solid(p, depth, speed float64) (time, reach float64) {
	sine := float64(p * speed)
	time = float64(2*depth) / float64(speed*cosineOf(sine))
	return time, float64(float64(time*sine) * speed)
}

// across is the velocity of sound across the fluid, c·cos θ, that the reference makes of
// the mean time, m/s.
func (b *Believer) across(mean float64) float64 {
	switch b.way {
	case WedgeAngle:
		left := 1 / float64(b.inverse*(mean-b.solids))
		if !(left > 0) {
			return math.NaN()
		}
		speed := left * math.Sqrt(2/(1+cosineOf(float64(2*float64(b.p*left)))))
		return float64(speed * cosineOf(float64(b.p*speed)))
	case WedgeAngleAndSpacing:
		slow := float64((mean - b.least) * b.inverse) // cos θ/c; its square and p² make 1/c²
		if !(slow > 0) {
			return math.NaN()
		}
		return slow / (float64(slow*slow) + b.square)
	case ConnectingRay:
		ray, err := b.setup.measureByConnecting(b.spacing+2*b.setup.ExitOffset, mean)
		if err != nil {
			return math.NaN()
		}
		// The factor holds the wedge's ray parameter.
		return float64(ray.speed*cosineOf(float64(ray.p*ray.speed))) * b.p / ray.p
	}
	return float64(b.setup.FluidSoundSpeed * cosineOf(float64(b.p*b.setup.FluidSoundSpeed)))
}
