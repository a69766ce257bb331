package beam_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"rillmark/calc/beam"
)

// anySetup is a set-up that a seed gives: any number of traverses, either wave, a liner in
// every other one; without total reflection.
func anySetup(r *rand.Rand) beam.Setup {
	in := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
	for {
		s := beam.Setup{OutsideDiameter: in(0.03, 1.2), PipeWave: beam.Shear, PipeSoundSpeed: in(1000, 3300),
			FluidSoundSpeed: in(1100, 1950), WedgeSoundSpeed: in(2200, 2900), WedgeAngle: in(15, 60) * degree,
			ExitOffset: in(0, 0.03), Traverses: 1 + r.IntN(6)}
		s.Wall = in(0.02, 0.1) * s.OutsideDiameter
		if r.IntN(2) == 0 {
			s.PipeWave, s.PipeSoundSpeed = beam.Longitudinal, in(1800, 6000)
		}
		if r.IntN(2) == 0 {
			s.LinerThickness, s.LinerSoundSpeed = in(0.01, 0.05)*s.OutsideDiameter, in(1500, 4000)
		}
		// Near grazing the traced ray itself loses its digits.
		if s.Validate() == nil && math.Sin(s.WedgeAngle)/s.WedgeSoundSpeed*math.Max(s.PipeSoundSpeed, s.LinerSoundSpeed) < 0.97 {
			return s
		}
	}
}

// TestSpacingOfAnySetupAgainstTheTracedRay: the quickest way from a point in one wedge to
// one in the other, found without Snell's law, leaves the wedge at its angle and lands
// where Spacing says.
func TestSpacingOfAnySetupAgainstTheTracedRay(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	waves, liners, most := map[beam.Wave]int{}, 0, 0
	for i := range 60 {
		s := anySetup(r)
		waves[s.PipeWave]++
		most = max(most, s.Traverses)
		if s.LinerThickness > 0 {
			liners++
		}
		got := place(t, s)
		height := s.OutsideDiameter / 10
		wedge := segment{height: height, speed: s.WedgeSoundSpeed}
		path := append(append([]segment{wedge}, inside(s)...), wedge)
		leastTime(path, got.EntryDistance+2*height*math.Tan(s.WedgeAngle))
		entry := 0.0
		for _, one := range path[1 : len(path)-1] {
			entry += one.run
		}
		name := fmt.Sprintf("set-up %d, %d traverses", i, s.Traverses)
		near(t, name+" spacing", got.Spacing, entry-2*s.ExitOffset, 1e-5*entry)
		close(t, name+" wedge angle", math.Atan2(path[0].run, height), s.WedgeAngle, 1e-5)
	}
	if waves[beam.Shear] == 0 || waves[beam.Longitudinal] == 0 || liners == 0 || most < 6 {
		t.Errorf("the seeds do not reach everything: %v, %d liners, %d traverses", waves, liners, most)
	}
}

// TestSpacingIsInvariantToUnits: a pipe a thousand times as large in a unit a thousand
// times as small has the same spacing, in that unit.
func TestSpacingIsInvariantToUnits(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 200 {
		s := anySetup(r)
		before := place(t, s)
		const factor = 1e3
		s.OutsideDiameter, s.Wall, s.LinerThickness, s.ExitOffset = s.OutsideDiameter*factor, s.Wall*factor, s.LinerThickness*factor, s.ExitOffset*factor
		s.FluidSoundSpeed, s.PipeSoundSpeed, s.LinerSoundSpeed, s.WedgeSoundSpeed = s.FluidSoundSpeed*factor, s.PipeSoundSpeed*factor, s.LinerSoundSpeed*factor, s.WedgeSoundSpeed*factor
		after := place(t, s)
		near(t, "spacing", after.Spacing/factor, before.Spacing, 1e-12*before.EntryDistance)
		close(t, "time", after.TotalTransitTime, before.TotalTransitTime, 1e-12)
	}
}
