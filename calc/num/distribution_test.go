package num_test

import (
	"math"
	"testing"

	"rillmark/calc/fault"
	"rillmark/calc/num"
)

func TestStudentQuantileAgainstComputedValues(t *testing.T) {
	for _, r := range read(t, "testdata/student.csv") {
		p, nu, want := r.number(t, "probability"), r.number(t, "degrees_of_freedom"), r.number(t, "expected")
		got, err := num.StudentQuantile(p, nu)
		if err != nil || math.Abs(got/want-1) > r.number(t, "tolerance") {
			t.Errorf("StudentQuantile(%v, %v) = %.15g, %v, want %.15g", p, nu, got, err, want)
		}
		back, err := num.StudentCDF(got, nu)
		if err != nil || math.Abs(back-p) > 1e-10*math.Max(p, 1e-3) {
			t.Errorf("StudentCDF(%v, %v) = %.15g, %v, want %v", got, nu, back, err, p)
		}
	}
}

func TestCoverageFactorAgainstTableG2(t *testing.T) {
	for _, r := range read(t, "testdata/coverage.csv") {
		p, nu := r.number(t, "coverage_percent")/100, r.number(t, "degrees_of_freedom")
		got, err := num.CoverageFactor(p, nu)
		// The margin covers rows printed from an exact half.
		if err != nil || math.Abs(got-r.number(t, "expected")) > r.number(t, "tolerance")+1e-9 {
			t.Errorf("CoverageFactor(%v, %v) = %v, %v, want %s (%s)", p, nu, got, err, r["expected"], r["source"])
		}
	}
}

func TestCoverageFactorOfTheNormalDistribution(t *testing.T) {
	got, err := num.CoverageFactor(0.9545, math.Inf(1))
	if err != nil || math.Abs(got-2.00000244) > 1e-8 {
		t.Errorf("k(0.9545, ∞) = %.10f, %v", got, err)
	}
	// Where the series takes over from the beta function both agree.
	below, _ := num.CoverageFactor(0.9545, 19_999.999999)
	above, _ := num.CoverageFactor(0.9545, 20_000)
	if math.Abs(below-above) > 1e-10 {
		t.Errorf("k jumps from %.14f to %.14f", below, above)
	}
}

func TestNormal(t *testing.T) {
	// Φ at 0, 1, 1.96 and −3: from memory, as any table prints them.
	for z, want := range map[float64]float64{0: 0.5, 1: 0.841344746068543, 1.96: 0.975002104851780, -3: 0.00134989803163009} {
		if got := num.NormalCDF(z); math.Abs(got-want) > 1e-15 {
			t.Errorf("NormalCDF(%v) = %.16f, want %.16f", z, got, want)
		}
		if back, err := num.NormalQuantile(want); err != nil || math.Abs(back-z) > 1e-13 {
			t.Errorf("NormalQuantile(%v) = %.16f, %v, want %v", want, back, err, z)
		}
	}
}

func TestStudentCDFIsSymmetric(t *testing.T) {
	for _, nu := range []float64{0.5, 3, 44, 1e5, math.Inf(1)} {
		for _, x := range []float64{0, 0.1, 2, 30} {
			a, _ := num.StudentCDF(x, nu)
			b, _ := num.StudentCDF(-x, nu)
			if math.Abs(a+b-1) > 1e-15 || a < b {
				t.Errorf("ν %v: F(%v) = %v, F(−%v) = %v", nu, x, a, x, b)
			}
		}
	}
	if median, err := num.StudentQuantile(0.5, 3); median != 0 || err != nil {
		t.Errorf("median %v, %v", median, err)
	}
}

func TestDistributionsRefuse(t *testing.T) {
	nan := math.NaN()
	second := func(_ float64, err error) error { return err }
	for name, c := range map[string]struct {
		err  error
		code *fault.Code
	}{
		"quantile 0":            {second(num.StudentQuantile(0, 5)), num.BadProbability},
		"quantile 1":            {second(num.StudentQuantile(1, 5)), num.BadProbability},
		"quantile NaN":          {second(num.StudentQuantile(nan, 5)), num.BadProbability},
		"no freedom":            {second(num.StudentQuantile(0.9, 0)), num.BadFreedom},
		"NaN freedom":           {second(num.StudentQuantile(0.9, nan)), num.BadFreedom},
		"tiny freedom":          {second(num.StudentQuantile(0.9, 1e-300)), num.NotConverged},
		"CDF without freedom":   {second(num.StudentCDF(1, -1)), num.BadFreedom},
		"CDF of NaN":            {second(num.StudentCDF(nan, 3)), num.NotFinite},
		"normal quantile 0":     {second(num.NormalQuantile(0)), num.BadProbability},
		"normal quantile NaN":   {second(num.NormalQuantile(nan)), num.BadProbability},
		"coverage 1":            {second(num.CoverageFactor(1, 5)), num.BadProbability},
		"coverage, freedom NaN": {second(num.CoverageFactor(0.95, nan)), num.BadFreedom},
	} {
		if !fault.Has(c.err, c.code) {
			t.Errorf("%s: got %v, want %s", name, c.err, c.code.Name())
		}
	}
}
