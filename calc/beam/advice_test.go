package beam_test

import (
	"math"
	"testing"

	"rillmark/calc/beam"
	"rillmark/calc/fault"
)

// ofBore is a steel pipe of the clear bore, in metres, filled with water, and transducers
// of 38° in a plastic wedge.
func ofBore(bore, exitOffset float64) beam.Setup {
	const wall = 0.005
	return beam.Setup{OutsideDiameter: bore + 2*wall, Wall: wall, PipeSoundSpeed: 3230, PipeWave: beam.Shear,
		FluidSoundSpeed: 1480, WedgeSoundSpeed: 2680, WedgeAngle: 38 * math.Pi / 180, ExitOffset: exitOffset, Traverses: 1}
}

// The bounds are common practice without a source; spacing and rail follow from Spacing.
func TestAdvise(t *testing.T) {
	tests := []struct {
		name      string
		setup     beam.Setup
		site      beam.Site
		traverses int
		reasons   []*fault.Code
	}{
		{"the usual size", ofBore(0.2, 0.01), beam.Site{}, 2, []*fault.Code{beam.AdviseTwo}},
		{"a large bore", ofBore(0.7, 0.01), beam.Site{}, 1, []*fault.Code{beam.AdviseOneLarge, beam.Opposite}},
		{"on the bound of large it is not large", ofBore(0.6, 0.01), beam.Site{}, 2, []*fault.Code{beam.AdviseTwo}},
		{"a small bore", ofBore(0.04, 0.01), beam.Site{}, 4, []*fault.Code{beam.AdviseMoreSmall}},
		{"a soft liner", ofBore(0.2, 0.01), beam.Site{Attenuating: true}, 1, []*fault.Code{beam.AdviseOneAttenuating, beam.Opposite}},
		{"a soft liner, but one traverse would overlap", ofBore(0.06, 0.03), beam.Site{Attenuating: true}, 4,
			[]*fault.Code{beam.AdviseMoreOverlap}},
		{"two would overlap", ofBore(0.06, 0.04), beam.Site{}, 4, []*fault.Code{beam.AdviseMoreOverlap}},
		{"no number keeps them apart", ofBore(0.02, 0.2), beam.Site{}, 6, []*fault.Code{beam.AdviseMoreOverlap, beam.Overlap}},
		{"no room for two, room for one", ofBore(0.4, 0.01), beam.Site{Room: 0.5}, 1, []*fault.Code{beam.AdviseFewerRoom, beam.Opposite}},
		{"no room at all", ofBore(0.4, 0.01), beam.Site{Room: 0.2}, 2, []*fault.Code{beam.AdviseTwo, beam.NoRoom}},
		{"calibrated otherwise", ofBore(0.2, 0.01), beam.Site{Calibrated: []int{1, 4}}, 2, []*fault.Code{beam.AdviseTwo, beam.CertificateOther}},
		{"calibrated so", ofBore(0.2, 0.01), beam.Site{Calibrated: []int{1, 2}}, 2, []*fault.Code{beam.AdviseTwo}},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			a, err := beam.Advise(test.setup, test.site)
			if err != nil {
				t.Fatal(err)
			}
			if a.Traverses != test.traverses {
				t.Errorf("%d traverses, want %d (%v)", a.Traverses, test.traverses, a.Reasons)
			}
			if !sameCodes(a.Reasons, test.reasons) {
				t.Errorf("reasons %v", a.Reasons)
			}
			s := test.setup
			s.Traverses = a.Traverses
			r, err := beam.Spacing(beam.SpacingRequest{Setup: s, Graduation: 0.001})
			if err != nil || r.Spacing != a.Spacing {
				t.Errorf("spacing %g, by Spacing %g (%v)", a.Spacing, r.Spacing, err)
			}
			if want := math.Abs(a.Spacing) + 0.3; math.Abs(a.Rail-want) > 1e-12 {
				t.Errorf("rail %g, want %g", a.Rail, want)
			}
		})
	}
}

func sameCodes(got fault.List, want []*fault.Code) bool {
	if len(got) != len(want) {
		return false
	}
	for i := range got {
		if got[i].Code != want[i] {
			return false
		}
	}
	return true
}

func TestAdviseRefuses(t *testing.T) {
	none := ofBore(0.2, 0.01)
	none.Wall = 0
	for name, test := range map[string]struct {
		setup beam.Setup
		site  beam.Site
		code  *fault.Code
	}{
		"no wall":       {none, beam.Site{}, beam.NotPositive},
		"negative room": {ofBore(0.2, 0.01), beam.Site{Room: -1}, beam.Negative},
		"no length":     {ofBore(0.2, 0.01), beam.Site{TransducerLength: math.NaN()}, beam.NotFinite},
	} {
		if _, err := beam.Advise(test.setup, test.site); !fault.Has(err, test.code) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
