package beam

import (
	"math"

	"rillmark/calc/fault"
)

// layer is everything of one material that the beam crosses from end to end: both walls,
// both liners, or the fluid of all traverses together.
type layer struct {
	name  string  // "wall", "liner", "fluid"
	field string  // the input that holds its sound speed
	depth float64 // m, measured across the pipe axis
	speed float64 // m/s
}

// sine of the ray's angle from the normal, for the ray parameter p in s/m.
func (l layer) sine(p float64) float64 { return p * l.speed }

// cosine of the ray's angle; (1−s)(1+s) keeps the digits that 1−s² loses near grazing.
func (l layer) cosine(p float64) float64 {
	s := l.sine(p)
	return math.Sqrt((1 - s) * (1 + s))
}

func (l layer) angle(p float64) float64 { return math.Asin(l.sine(p)) }

// reach is the distance covered along the axis, in metres.
func (l layer) reach(p float64) float64 { return l.depth * l.sine(p) / l.cosine(p) }

// time along the ray, in seconds.
func (l layer) time(p float64) float64 { return l.depth / (l.speed * l.cosine(p)) }

// crossing is the part of the time that belongs to the way across: time − p·reach. A
// plane wave of ray parameter p arrives at the distance x after Σ crossing + p·x.
func (l layer) crossing(p float64) float64 { return l.depth * l.cosine(p) / l.speed }

// rayParameter is sin θ / c in the wedge, in s/m.
func (s Setup) rayParameter() float64 { return math.Sin(s.WedgeAngle) / s.WedgeSoundSpeed }

// solids are wall and liner, both ends together.
func (s Setup) solids() []layer {
	wall := layer{"wall", PipeSoundSpeedName, 2 * s.Wall, s.PipeSoundSpeed}
	if s.LinerThickness == 0 {
		return []layer{wall}
	}
	return []layer{wall, {"liner", LinerSoundSpeedName, 2 * s.LinerThickness, s.LinerSoundSpeed}}
}

func (s Setup) fluid() layer {
	return layer{"fluid", FluidSoundSpeedName, float64(s.Traverses) * s.Bore(), s.FluidSoundSpeed}
}

// reflections names every layer the ray parameter of the wedge does not fit into.
func (s Setup) reflections() fault.List {
	var l fault.List
	p := s.rayParameter()
	for _, layer := range append(s.solids(), s.fluid()) {
		if layer.sine(p) >= 1 {
			critical := math.Asin(s.WedgeSoundSpeed/layer.speed) * degreesPerRadian
			l = append(l, TotalReflection.At(layer.field, layer.name, critical))
		}
	}
	return l
}

// sum adds one quantity over layers.
func sum(layers []layer, p float64, of func(layer, float64) float64) float64 {
	total := 0.0
	for _, l := range layers {
		total += of(l, p)
	}
	return total
}

// entryDistance is the distance along the axis between the points where the beam enters
// and leaves the pipe, in metres: n·d·tan θ_fluid + 2·(t_wall·tan θ_wall + t_liner·tan θ_liner).
func (s Setup) entryDistance() float64 {
	p := s.rayParameter()
	return s.fluid().reach(p) + sum(s.solids(), p, layer.reach)
}

// recommended is the spacing at which the ray from the middle of one transducer ends in
// the middle of the other, in metres; negative where they would overlap.
func (s Setup) recommended() float64 { return s.entryDistance() - 2*s.ExitOffset }
