package beam_test

import (
	"math"
	"testing"

	"rillmark/calc/beam"
	"rillmark/calc/fault"
	"rillmark/calc/uncertainty"
)

func contribution(t *testing.T, r beam.CheckResult, input string) float64 {
	t.Helper()
	for _, c := range r.Contributions {
		if c.Input == input {
			return c.Sensitivity * c.StandardUncertainty
		}
	}
	t.Fatalf("no %s", input)
	return 0
}

// The covariance of two inputs against JCGM 100:2008, 5.2.2 equation (16) by hand: with
// r = 1 the signed parts add, with r = −1 they are taken off one another.
func TestCheckCountsTheCovariance(t *testing.T) {
	c := surveyed(t, steel(), 20)
	plain := check(t, c)
	diameter, wall := contribution(t, plain, "outside_diameter_m"), contribution(t, plain, "wall_m")
	if diameter*wall >= 0 {
		t.Fatalf("diameter %g and wall %g should pull apart", diameter, wall)
	}
	for _, r := range []float64{1, 0.4, -1} {
		c.Correlations = []uncertainty.Correlation{{A: "wall_m", B: "outside_diameter_m", R: r}}
		got := check(t, c)
		want := math.Sqrt(plain.StandardUncertainty*plain.StandardUncertainty + 2*r*diameter*wall)
		close(t, "u", got.StandardUncertainty, want, 1e-12)
		if got.ToleranceFromBudget {
			close(t, "tolerance", got.Tolerance, 2*want, 1e-12)
		}
	}
	// One reading of a thermometer in both table and measured value: what they share cancels.
	c = surveyed(t, steel(), 20)
	quiet(&c)
	c.Measured.StandardUncertainty, c.Tabulated.StandardUncertainty = 2, 2
	c.Correlations = []uncertainty.Correlation{{A: "measured_sound_speed_m_s", B: "tabulated_sound_speed_m_s", R: 1}}
	if got := check(t, c).StandardUncertainty; got > 0.01 {
		t.Errorf("what both share leaves %g m/s", got)
	}
}

func TestCheckRefusesImpossibleCorrelations(t *testing.T) {
	c := surveyed(t, steel(), 20)
	for _, one := range []struct {
		list []uncertainty.Correlation
		code *fault.Code
	}{
		{[]uncertainty.Correlation{{A: "wall_m", B: "roof_m", R: 0.5}}, uncertainty.CodeCorrelationUnknown},
		{[]uncertainty.Correlation{{A: "wall_m", B: "spacing_m", R: 1.5}}, uncertainty.CodeCorrelationRange},
	} {
		c.Correlations = one.list
		if _, err := beam.CheckSetup(c); !fault.Has(err, one.code) {
			t.Errorf("%v: %v", one.list, err)
		}
	}
}

// mixture is a made-up liquid of 1450 m/s whose speed rises by 6 m/s for each per cent of
// something dissolved, up to a half.
func mixture(part float64) *beam.Composition {
	return &beam.Composition{Name: "mass_fraction", Unit: "1", Surveyed: beam.Surveyed{Value: part, StandardUncertainty: 0.02},
		Step: 0.01, Least: 0, Most: 0.5, SoundSpeedAt: func(x float64) (float64, error) {
			if x < 0 || x > 0.5 {
				return 0, errOutside
			}
			return 1450 + 600*x, nil
		}}
}

// A mixture that holds more, or less, than entered is named with sign and size, and its
// uncertainty counts.
func TestCheckFindsAnotherComposition(t *testing.T) {
	for _, off := range []float64{30, -24} {
		c := surveyed(t, steel(), 20)
		c.Composition = mixture(0.3)
		plain := check(t, c)
		close(t, "its part", math.Abs(contribution(t, plain, "mass_fraction")), 12, 1e-6)
		c.Measured.Value += off
		c.CompanyTolerance, c.Composition.StandardUncertainty = 0.001, 0.002
		r := check(t, c)
		if r.Outcome != beam.Failed {
			t.Fatal(r.Outcome)
		}
		e := explanation(t, r, "mass_fraction")
		near(t, "change", e.Change, off/600, 1e-9)
		near(t, "needed", e.Needed, 0.3+off/600, 1e-9)
		remark := e.Remark()
		near(t, "told", remark.Value("change").(float64), math.Abs(off)/6, 1e-9)
		if remark.Value("unit") != "percentage points" || (remark.Code == beam.ExplainedByHigher) != (off > 0) {
			t.Errorf("%v", remark)
		}
	}
	c := surveyed(t, steel(), 20)
	c.Composition = mixture(0.3)
	c.Composition.StandardUncertainty = 0
	c.CompanyTolerance = 0.001
	c.Measured.Value += 400 // more than the mixture can hold
	if r := check(t, c); len(r.Unable) == 0 {
		t.Errorf("everything explains %+v", r.Explanations)
	}
	c.Composition.Value = math.NaN()
	if _, err := beam.CheckSetup(c); !fault.Has(err, beam.NotFinite) {
		t.Errorf("%v", err)
	}
	c.Composition.Value = 0.7
	if _, err := beam.CheckSetup(c); err == nil {
		t.Error("a composition outside its table is taken")
	}
}
