package beam_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"rillmark/calc/beam"
	"rillmark/calc/fault"
)

// TestBelieverIsTransitAndFlow: the quick way comes to what the two steps come to, for
// every way of working, with and without a liner, wherever the truth lies.
func TestBelieverIsTransitAndFlow(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 7))
	around := func(x, part float64) float64 { return x * (1 + part*(2*r.Float64()-1)) }
	for _, way := range []beam.Way{beam.WedgeAngle, beam.WedgeAngleAndSpacing, beam.ConnectingRay, beam.SoundSpeedEntered} {
		for range 200 {
			believed := beam.Setup{OutsideDiameter: around(0.2, 0.5), Wall: around(0.006, 0.5), PipeSoundSpeed: 3235, PipeWave: beam.Shear,
				FluidSoundSpeed: around(1480, 0.1), WedgeSoundSpeed: 2730, WedgeAngle: around(0.66, 0.05), ExitOffset: 0.01, Traverses: 1 + r.IntN(3)}
			if r.IntN(2) == 0 {
				believed.LinerThickness, believed.LinerSoundSpeed = around(0.003, 0.5), around(2400, 0.1)
			}
			spacing, err := beam.Spacing(beam.SpacingRequest{Setup: believed, Graduation: 0.001})
			if err != nil {
				t.Fatal(err)
			}
			truth := believed
			truth.OutsideDiameter, truth.Wall = around(truth.OutsideDiameter, 0.01), around(truth.Wall, 0.05)
			truth.PipeSoundSpeed, truth.FluidSoundSpeed = around(truth.PipeSoundSpeed, 0.01), around(truth.FluidSoundSpeed, 0.01)
			truth.WedgeSoundSpeed, truth.WedgeAngle, truth.ExitOffset = around(truth.WedgeSoundSpeed, 0.01), around(truth.WedgeAngle, 0.005), around(truth.ExitOffset, 0.05)
			truth.LinerThickness = around(truth.LinerThickness, 0.1)
			set := spacing.Spacing + 0.002*(r.Float64()-0.5)
			transit, err := truth.Transit(set, 1)
			if err != nil {
				t.Fatal(err)
			}
			flow, err := believed.Flow(beam.Reading{Spacing: spacing.Spacing, TransitTime: transit.Mean, TimeDifference: transit.Difference, ProfileFactor: 1}, way)
			if err != nil {
				t.Fatal(err)
			}
			want := flow.Flow / (math.Pi / 4 * truth.Bore() * truth.Bore())
			b, err := beam.NewBeliever(believed, spacing.Spacing, way)
			if err != nil {
				t.Fatal(err)
			}
			if got := b.Shows(&truth, set); !(math.Abs(got/want-1) < 1e-11) {
				t.Fatalf("%s: %v, want %v\n%+v\n%+v", way, got, want, believed, truth)
			}
		}
	}
}

func TestBelieverWhereNoSoundPasses(t *testing.T) {
	s := beam.Setup{OutsideDiameter: 0.1, Wall: 0.005, PipeSoundSpeed: 3235, PipeWave: beam.Shear, FluidSoundSpeed: 1480,
		WedgeSoundSpeed: 2730, WedgeAngle: 0.66, ExitOffset: 0.01, Traverses: 2}
	for _, way := range []beam.Way{beam.WedgeAngle, beam.WedgeAngleAndSpacing, beam.ConnectingRay, beam.SoundSpeedEntered} {
		b, err := beam.NewBeliever(s, 0.05, way)
		if err != nil {
			t.Fatal(err)
		}
		for name, spoil := range map[string]func(*beam.Setup){
			"total reflection": func(x *beam.Setup) { x.PipeSoundSpeed = 6000 },
			"no bore":          func(x *beam.Setup) { x.Wall = 0.05 },
		} {
			truth := s
			spoil(&truth)
			if got := b.Shows(&truth, 0.05); !math.IsNaN(got) {
				t.Errorf("%s, %s: %v", way, name, got)
			}
		}
		if way == beam.WedgeAngle || way == beam.WedgeAngleAndSpacing {
			if got := b.Shows(&s, -0.8); !math.IsNaN(got) {
				t.Errorf("%s: a time too short for the pipe gave %v", way, got)
			}
		}
	}
	if _, err := beam.NewBeliever(s, 0.05, "by ear"); !fault.Has(err, beam.UnknownWay) {
		t.Error(err)
	}
	if _, err := beam.NewBeliever(s, -1, beam.WedgeAngle); !fault.Has(err, beam.SpacingShort) {
		t.Error(err)
	}
}
