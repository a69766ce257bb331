package verification_test

import (
	"math"
	"testing"

	"rillmark/calc/uncertainty"
	"rillmark/calc/verification"
)

// part is one part of an estimate, exact in its degrees of freedom.
func part(name, scope string, c float64) verification.Part {
	return verification.Part{Key: verification.Key{Name: name, Scope: scope}, Contribution: c, Freedom: uncertainty.Infinite}
}

func estimate(value float64, parts ...verification.Part) verification.Estimate {
	return verification.Estimate{Value: value, Parts: parts}
}

// standard returns the standard uncertainty.
func standard(t testing.TB, e verification.Estimate) float64 {
	t.Helper()
	u, err := e.Uncertainty(uncertainty.CoverageDefault)
	if err != nil {
		t.Fatal(err)
	}
	return u.Standard
}

func near(t testing.TB, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance*math.Max(math.Abs(want), 1e-300)) {
		t.Errorf("%s = %.15g, want %.15g", what, got, want)
	}
}

// TestCommonAndRandom: three flow points with 1 % in common and 0.3 % of their own give
// 1.01 % for their mean, and 0.3·√2 % for the difference of two.
func TestCommonAndRandom(t *testing.T) {
	var points []verification.Estimate
	for _, scope := range []string{"run:1", "run:2", "run:3"} {
		points = append(points, estimate(0.02, part("bore", "point:1", 0.01), part("scatter", scope, 0.003)))
	}
	near(t, "one", standard(t, points[0]), math.Sqrt(1.09)*0.01, 1e-14)
	mean := verification.Mean(points)
	near(t, "mean", standard(t, mean), math.Sqrt(0.01*0.01+0.003*0.003/3), 1e-14)
	if got := math.Round(standard(t, mean)*1e4) / 1e4; got != 0.0101 {
		t.Errorf("the mean has u = %v, want 1.01 %%", got)
	}
	near(t, "value", mean.Value, 0.02, 1e-15)
	near(t, "difference", standard(t, verification.Difference(points[1], points[0])), 0.003*math.Sqrt2, 1e-14)
}

// TestSignsOfSharedParts: a part that acts one way at one point and the other way at
// another cancels in their sum and doubles in their difference.
func TestSignsOfSharedParts(t *testing.T) {
	a, b := estimate(1, part("x", "s", 0.01)), estimate(2, part("x", "s", -0.01))
	sum := verification.Linear([]float64{1, 1}, []verification.Estimate{a, b})
	near(t, "sum", sum.Value, 3, 0)
	if got := standard(t, sum); got != 0 {
		t.Errorf("u of the sum %v, want 0", got)
	}
	near(t, "difference", standard(t, verification.Difference(a, b)), 0.02, 1e-15)
	near(t, "covariance", verification.Covariance(a, b), -1e-4, 1e-15)
	near(t, "with itself", verification.Covariance(a, a), 1e-4, 1e-15)
	other := estimate(1, part("x", "another", 0.01), part("y", "s", 0.01))
	if got := verification.Covariance(a, other); got != 0 {
		t.Errorf("another scope or name is shared: %v", got)
	}
}

// TestPartsOfOneKeyInOneEstimate are one part.
func TestPartsOfOneKeyInOneEstimate(t *testing.T) {
	e := verification.Linear([]float64{2, 1}, []verification.Estimate{
		estimate(1, part("x", "s", 0.01), part("y", "s", 0.02)), estimate(1, part("y", "s", 0.01), part("z", "s", 0.05))})
	if len(e.Parts) != 3 || e.Parts[1].Name != "y" || math.Abs(e.Parts[1].Contribution-0.05) > 1e-15 {
		t.Errorf("parts %+v", e.Parts)
	}
}

// TestDegreesOfFreedom against JCGM 100:2008, G.4.1, the worked value of H.1 and by hand.
func TestDegreesOfFreedom(t *testing.T) {
	with := func(c, freedom float64) verification.Part {
		p := part("a", "", c)
		p.Name += string(rune('a' + int(freedom)))
		p.Freedom = freedom
		return p
	}
	for _, c := range []struct {
		name              string
		parts             []verification.Part
		freedom, k, tol   float64
		source, basisText string
	}{
		{"end gauge", []verification.Part{with(25, 18), with(9.7, 25.6), with(2.9, 50), with(16.6, 2)}, 16.7, 2.17, 2e-3,
			"JCGM 100:2008, H.1.6 for nu; Table G.2 for k at nu = 16", "from memory; the parts are rounded there, so nu is held to 1 %"},
		{"one part alone", []verification.Part{with(1, 5)}, 5, 2.649, 1e-3, "JCGM 100:2008, Table G.2, nu = 5, 95.45 %", "published 2.65"},
		{"two alike", []verification.Part{with(1, 4), {Key: verification.Key{Name: "z"}, Contribution: 1, Freedom: 4}}, 8, 2.366, 1e-3,
			"Table G.2, nu = 8", "published 2.37"},
		{"nothing limits it", []verification.Part{part("x", "", 1)}, math.Inf(1), 2, 0, "G.6.6", "k = 2 for p = 95.45 %"},
	} {
		t.Run(c.name, func(t *testing.T) {
			u, err := estimate(0, c.parts...).Uncertainty(uncertainty.CoverageDefault)
			if err != nil {
				t.Fatal(err)
			}
			if !(u.Freedom == c.freedom || math.Abs(u.Freedom/c.freedom-1) < 0.01) || math.Abs(u.K/c.k-1) > c.tol {
				t.Errorf("nu %v, k %v; want %v, %v (%s)", u.Freedom, u.K, c.freedom, c.k, c.source)
			}
			near(t, "U", u.Expanded, u.K*u.Standard, 1e-15)
		})
	}
}

func TestAnEstimateWithoutParts(t *testing.T) {
	u, err := estimate(3).Uncertainty(uncertainty.CoverageDefault)
	if err != nil || u.Standard != 0 || u.Expanded != 0 || !math.IsInf(u.Freedom, 1) {
		t.Errorf("%+v, %v", u, err)
	}
	if m := verification.Mean(nil); m.Value != 0 || len(m.Parts) != 0 {
		t.Errorf("the mean of none is %+v", m)
	}
	if _, err := estimate(1, part("x", "", 1)).Uncertainty(0.05); err == nil {
		t.Error("a coverage of 5 % is taken")
	}
}
