package verification_test

import (
	"math"
	"testing"

	"rillmark/calc/beam"
	"rillmark/calc/fault"
	"rillmark/calc/uncertainty"
	"rillmark/calc/verification"
)

// whole is a model with inputs of every kind, as a flow point of a usual verification has.
func whole(t testing.TB) verification.ErrorModel {
	q := func(name string, density uncertainty.Density, scale, shape float64) uncertainty.Quantity {
		return uncertainty.Quantity{Name: name, Density: density, Scale: scale, Shape: shape}
	}
	const normal, rectangular, student = uncertainty.DensityNormal, uncertainty.DensityRectangular, uncertainty.DensityStudent
	return verification.ErrorModel{Clamp: clamp(t), Way: beam.WedgeAngleAndSpacing, Reference: 0.02, Indication: 0.0203,
		Inputs: []verification.ErrorInput{
			{Quantity: q("outside diameter", normal, 0.0001, 0), Acts: beam.OutsideDiameterName, PerUnit: 1},
			{Quantity: q("wall", rectangular, 0.00087, 0), Acts: beam.WallName, PerUnit: 1},
			{Quantity: q("pipe sound speed", rectangular, 50, 0), Acts: beam.PipeSoundSpeedName, PerUnit: 1},
			{Quantity: q("temperature", normal, 0.5, 0), Acts: beam.FluidSoundSpeedName, PerUnit: 2.9},
			{Quantity: q("spacing", rectangular, 0.0005, 0), Acts: beam.SpacingName, PerUnit: 1},
			{Quantity: q("wedge sound speed", rectangular, 8, 0), Acts: beam.WedgeSoundSpeedName, PerUnit: 1},
			{Quantity: q("wedge angle", rectangular, 0.1, 0), Acts: beam.WedgeAngleName, PerUnit: 1},
			{Quantity: q("calibration", normal, 0.0025, 0), Acts: verification.OnReference, PerUnit: 1},
			{Quantity: q("drift", rectangular, 0.002, 0), Acts: verification.OnReference, PerUnit: 1},
			{Quantity: q("profile", rectangular, 0.005, 0), Acts: verification.OnReference, PerUnit: 1},
			{Quantity: q("zero", normal, 0.001, 0), Acts: verification.OnReference, PerUnit: 1},
			{Quantity: q("reading of the meter", rectangular, 0.0005, 0), Acts: verification.OnIndication, PerUnit: 1},
			{Quantity: q("scatter", student, 0.0008, 8), Acts: verification.OnError, PerUnit: 1},
		}}
}

// TestErrorModelIsLinearisedByTheBudget: small deviations of each input change the error by
// what comparison and slopes say, with the sign.
func TestErrorModelIsLinearisedByTheBudget(t *testing.T) {
	for _, way := range []beam.Way{beam.WedgeAngle, beam.WedgeAngleAndSpacing, beam.SoundSpeedEntered} {
		m := whole(t)
		m.Way = way
		of, err := m.Of()
		if err != nil {
			t.Fatal(err)
		}
		slopes, err := verification.FlowSlopes(m.Clamp, way)
		if err != nil {
			t.Fatal(err)
		}
		x := make([]float64, len(m.Inputs))
		if e := of(x); math.Abs(e-0.015) > 1e-15 {
			t.Fatalf("undisturbed: %v", e)
		}
		for i, in := range m.Inputs {
			step := in.StandardUncertainty() * 1e-3
			want := 1.0
			switch in.Acts {
			case verification.OnReference:
				want = -1.015
			case verification.OnIndication:
				want = 1.015
			case verification.OnError:
			default:
				// A slope is of an input entered too large: of a truth that is smaller.
				for _, s := range slopes {
					if s.Input == string(in.Acts) {
						want = -1.015 * s.Value * in.PerUnit
					}
				}
			}
			x[i] = step
			up := of(x)
			x[i] = -step
			got := (up - of(x)) / (2 * step)
			x[i] = 0
			if math.Abs(got-want) > 1e-4*math.Abs(want)+1e-9/step*1e-3 {
				t.Errorf("%s, %s: %v per unit, want %v", way, in.Name, got, want)
			}
		}
	}
}

// TestErrorModelByMonteCarlo: of a usual flow point the law of propagation and Monte Carlo
// agree to two digits; the law is nearly exact there.
func TestErrorModelByMonteCarlo(t *testing.T) {
	m := whole(t)
	of, err := m.Of()
	if err != nil {
		t.Fatal(err)
	}
	s, err := uncertainty.Simulate(uncertainty.Simulation{Quantities: m.Quantities(), Model: of, Coverage: 0.9545, Seed: 1, Digits: 2, Trials: 100_000})
	if err != nil {
		t.Fatal(err)
	}
	u, err := m.Linear()
	if err != nil || math.Abs(s.StandardUncertainty/u-1) > 0.01 || math.Abs(s.Mean-0.015) > u/50 {
		t.Errorf("simulated %g ± %g, linear %g, %v", s.Mean, s.StandardUncertainty, u, err)
	}
	// As told by one machine; any other tells the same.
	if want := 0.011914747200644223; s.StandardUncertainty != want {
		t.Errorf("u %v, want %v", s.StandardUncertainty, want)
	}
}

func TestErrorModelRefused(t *testing.T) {
	m := whole(t)
	m.Inputs[0].Acts = "weather"
	if _, err := m.Of(); !fault.Has(err, verification.NoSuchInput) {
		t.Error(err)
	}
	m = whole(t)
	m.Reference = 0
	if _, err := m.Of(); !fault.Has(err, verification.ReferenceZero) {
		t.Error(err)
	}
	m = whole(t)
	m.Way = "by ear"
	if _, err := m.Linear(); !fault.Has(err, beam.UnknownWay) {
		t.Error(err)
	}
	m = whole(t)
	m.Inputs[1].Scale = 10 // a wall beyond the radius
	if _, err := m.Linear(); !fault.Has(err, verification.NotFinite) {
		t.Error(err)
	}
}

// TestTrialsAllocateNothing: what a hundred thousand trials more allocate is room for
// their results and nothing else.
func TestTrialsAllocateNothing(t *testing.T) {
	m := whole(t)
	of, err := m.Of()
	if err != nil {
		t.Fatal(err)
	}
	x := make([]float64, len(m.Inputs))
	if n := testing.AllocsPerRun(1000, func() { of(x) }); n != 0 {
		t.Errorf("one trial allocates %v times", n)
	}
	run := func(trials int) func() {
		return func() {
			if _, err := uncertainty.Simulate(uncertainty.Simulation{Quantities: m.Quantities(), Model: of, Coverage: 0.95, Digits: 2, Trials: trials}); err != nil {
				t.Fatal(err)
			}
		}
	}
	few, many := testing.AllocsPerRun(1, run(50_000)), testing.AllocsPerRun(1, run(150_000))
	if many-few > 40 {
		t.Errorf("%v allocations for 50 000 trials, %v for 150 000", few, many)
	}
}

// BenchmarkWholeModel makes 1 000 000 trials of the whole model; .ci/montecarlospeed lets
// NumPy do the same beside it.
func BenchmarkWholeModel(b *testing.B) {
	m := whole(b)
	of, err := m.Of()
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		s, err := uncertainty.Simulate(uncertainty.Simulation{Quantities: m.Quantities(), Model: of, Coverage: 0.9545, Seed: 1, Digits: 2, Trials: 1_000_000})
		if err != nil || s.StandardUncertainty == 0 {
			b.Fatal(err)
		}
	}
}
