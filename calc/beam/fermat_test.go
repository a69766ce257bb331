package beam_test

import (
	"math"
	"testing"

	"rillmark/calc/beam"
)

// The tracer below knows nothing of Snell's law: it moves the points where the ray crosses
// the interfaces until the time is least (Fermat), by golden section on the time alone.

type segment struct{ height, speed, run float64 }

func (s segment) time() float64 { return math.Hypot(s.height, s.run) / s.speed }

// leastTime spreads the distance over the segments so that the time is least.
func leastTime(segments []segment, distance float64) float64 {
	whole := 0.0
	for _, s := range segments {
		whole += s.height
	}
	for i := range segments {
		segments[i].run = distance * segments[i].height / whole
	}
	total := func() float64 {
		sum := 0.0
		for _, s := range segments {
			sum += s.time()
		}
		return sum
	}
	for before, sweep := total(), 0; sweep < 5000; sweep++ {
		for i := range segments[1:] {
			balance(&segments[i], &segments[i+1])
		}
		now := total()
		if sweep > 200 && now >= before {
			break
		}
		before = now
	}
	return total()
}

// balance moves the point between two segments to where their time together is least.
func balance(a, b *segment) {
	both := a.run + b.run
	low, high := math.Min(0, both), math.Max(0, both)
	at := func(x float64) float64 {
		return segment{a.height, a.speed, x}.time() + segment{b.height, b.speed, both - x}.time()
	}
	ratio := (math.Sqrt(5) - 1) / 2
	x1, x2 := high-ratio*(high-low), low+ratio*(high-low)
	f1, f2 := at(x1), at(x2)
	for high-low > 1e-12 {
		if f1 < f2 {
			high, x2, f2 = x2, x1, f1
			x1 = high - ratio*(high-low)
			f1 = at(x1)
		} else {
			low, x1, f1 = x1, x2, f2
			x2 = low + ratio*(high-low)
			f2 = at(x2)
		}
	}
	a.run = (low + high) / 2
	b.run = both - a.run
}

// inside are the segments between the points where the ray enters and leaves the pipe.
func inside(s beam.Setup) []segment {
	wall := segment{height: s.Wall, speed: s.PipeSoundSpeed}
	liner := segment{height: s.LinerThickness, speed: s.LinerSoundSpeed}
	path := []segment{wall}
	if liner.height > 0 {
		path = append(path, liner)
	}
	for range s.Traverses {
		path = append(path, segment{height: s.Bore(), speed: s.FluidSoundSpeed})
	}
	if liner.height > 0 {
		path = append(path, liner)
	}
	return append(path, wall)
}

func TestLeastTimeEqualsTheTimeAlongTheRay(t *testing.T) {
	for name, s := range setups() {
		r := place(t, s)
		path := inside(s)
		least := leastTime(path, r.EntryDistance)
		close(t, name+" total time", r.TotalTransitTime, least, 1e-12)
		fluid := path[len(path)/2]
		close(t, name+" angle in the fluid", r.FluidAngle, math.Atan2(fluid.run, fluid.height), 1e-6)
		close(t, name+" angle in the wall", r.PipeAngle, math.Atan2(path[0].run, path[0].height), 1e-6)
		close(t, name+" path length", r.PathLength, math.Hypot(fluid.run, fluid.height)*float64(s.Traverses), 1e-6)
		if s.LinerThickness > 0 {
			close(t, name+" angle in the liner", r.LinerAngle, math.Atan2(path[1].run, path[1].height), 1e-6)
		}
	}
}

// From a point in one wedge to a point in the other the quickest way leaves the wedge at
// the wedge's angle: the whole chain from wedge to fluid.
func TestLeastTimeLeavesTheWedgeAtItsAngle(t *testing.T) {
	const height = 0.01
	for name, s := range setups() {
		r := place(t, s)
		wedge := segment{height: height, speed: s.WedgeSoundSpeed}
		path := append(append([]segment{wedge}, inside(s)...), wedge)
		leastTime(path, r.EntryDistance+2*height*math.Tan(s.WedgeAngle))
		close(t, name+" wedge angle", math.Atan2(path[0].run, height), s.WedgeAngle, 1e-6)
		entry := 0.0
		for _, one := range path[1 : len(path)-1] {
			entry += one.run
		}
		close(t, name+" entry distance", r.EntryDistance, entry, 1e-6)
		near(t, name+" spacing", r.Spacing, entry-2*s.ExitOffset, 1e-7)
	}
}

// A spacing off the recommended one: the plane wave of the model and the quickest ray
// between the points differ by the square of the shift only, (shift)²/2 · dp/dx.
func TestShiftedPlaneWaveAgreesWithLeastTimeToFirstOrder(t *testing.T) {
	for name, s := range setups() {
		r := place(t, s)
		for _, shift := range []float64{0.004, 0.002, 0.001, -0.002} {
			got, err := s.Transit(r.Spacing+shift, 0)
			if err != nil {
				t.Fatal(err)
			}
			least := leastTime(inside(s), r.EntryDistance+shift)
			first := math.Abs(least - r.TotalTransitTime)
			// dp/dx is at most cos³θ/(n·d·c) of the fluid alone.
			bound := shift * shift / 2 * math.Pow(math.Cos(r.FluidAngle), 3) /
				(float64(s.Traverses) * s.Bore() * s.FluidSoundSpeed)
			off := math.Abs(got.Mean - least)
			if off > bound*1.3 || off > first/5 {
				t.Errorf("%s shifted %g m: plane wave and least time differ by %g s of %g s, bound %g s", name, shift, off, first, bound)
			}
			if off < bound/10 {
				t.Errorf("%s shifted %g m: difference %g s is not of second order as expected (%g s)", name, shift, off, bound)
			}
		}
	}
}
