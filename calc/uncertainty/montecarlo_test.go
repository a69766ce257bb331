package uncertainty_test

import (
	"math"
	"strconv"
	"testing"

	"rillmark/calc/fault"
	"rillmark/calc/uncertainty"
)

// examples are the models of JCGM 101:2008, 9, whose results stand in
// testdata/montecarlo.csv.
func examples() map[string]uncertainty.Simulation {
	sum := func(x []float64) float64 { return x[0] + x[1] + x[2] + x[3] }
	four := func(kind uncertainty.Density, scale ...float64) []uncertainty.Quantity {
		var all []uncertainty.Quantity
		for i, s := range scale {
			all = append(all, uncertainty.Quantity{Name: strconv.Itoa(i), Density: kind, Scale: s})
		}
		return all
	}
	root3 := math.Sqrt(3)
	normal := func(name string, x, u float64) uncertainty.Quantity {
		return uncertainty.Quantity{Name: name, Density: uncertainty.DensityNormal, Location: x, Scale: u}
	}
	rectangular := func(name string, a, b float64) uncertainty.Quantity {
		return uncertainty.Quantity{Name: name, Density: uncertainty.DensityRectangular, Location: (a + b) / 2, Scale: (b - a) / 2}
	}
	student := func(name string, x, s, nu float64) uncertainty.Quantity {
		return uncertainty.Quantity{Name: name, Density: uncertainty.DensityStudent, Location: x, Scale: s, Shape: nu}
	}
	loss := func(x1, r float64) uncertainty.Simulation {
		s := uncertainty.Simulation{Quantities: []uncertainty.Quantity{normal("x1", x1, 0.005), normal("x2", 0, 0.005)},
			Model: func(x []float64) float64 { return x[0]*x[0] + x[1]*x[1] }, Coverage: 0.95}
		if r != 0 {
			s.Correlations = []uncertainty.Correlation{{A: "x1", B: "x2", R: r}}
		}
		return s
	}
	return map[string]uncertainty.Simulation{
		"9.2.2": {Quantities: four(uncertainty.DensityNormal, 1, 1, 1, 1), Model: sum, Coverage: 0.95},
		"9.2.3": {Quantities: four(uncertainty.DensityRectangular, root3, root3, root3, root3), Model: sum, Coverage: 0.95},
		"9.2.4": {Quantities: four(uncertainty.DensityRectangular, root3, root3, root3, 10*root3), Model: sum, Coverage: 0.95},
		// Mass calibration; mg and kg/m³, nominal mass 100 g.
		"9.3": {Coverage: 0.95, Quantities: []uncertainty.Quantity{normal("mRc", 100000, 0.050), normal("dmRc", 1.234, 0.020),
			rectangular("air", 1.10, 1.30), rectangular("W", 7000, 9000), rectangular("R", 7950, 8050)},
			Model: func(x []float64) float64 { return (x[0]+x[1])*(1+(x[2]-1.2)*(1/x[3]-1/x[4])) - 100000 }},
		"9.4 0 0":     loss(0, 0),
		"9.4 0.01 0":  loss(0.010, 0),
		"9.4 0.05 0":  loss(0.050, 0),
		"9.4 0 0.9":   loss(0, 0.9),
		"9.4 .01 0.9": loss(0.010, 0.9),
		"9.4 .05 0.9": loss(0.050, 0.9),
		// Gauge block, 9.5, nm over the nominal 50 mm: δL = L_S(1+α_S·θ_S) / (1 + α·θ) + D + d1 + d2 − L_nom
		// with α = α_S + δα and θ = θ0 + Δ, θ_S = θ − δθ.
		"9.5": {Coverage: 0.99, Quantities: []uncertainty.Quantity{
			student("Ls", 50000623, 25, 18), student("D", 215, 6, 24), student("d1", 0, 4, 5), student("d2", 0, 7, 8),
			rectangular("alphaS", 9.5e-6, 13.5e-6), normal("theta0", -0.1, 0.2),
			{Name: "Delta", Density: uncertainty.DensityArcsine, Scale: 0.5},
			{Name: "dalpha", Density: uncertainty.DensityInexactLimits, Scale: 1e-6, Shape: 0.1e-6},
			{Name: "dtheta", Density: uncertainty.DensityInexactLimits, Scale: 0.050, Shape: 0.025}},
			Model: func(x []float64) float64 {
				theta := x[5] + x[6]
				return (x[0]*(1+x[4]*(theta-x[8]))+x[1]+x[2]+x[3])/(1+(x[4]+x[7])*theta) - 50e6
			}},
	}
}

func TestMonteCarloAgainstPublished(t *testing.T) {
	known := examples()
	done := map[string]uncertainty.Simulated{}
	for _, row := range readCSV(t, "testdata/montecarlo.csv") {
		name := row["example"]
		if _, there := done[name]; !there {
			s, ok := known[name]
			if !ok {
				t.Fatalf("%s is no example", name)
			}
			s.Seed, s.Digits, s.Trials = 101, 2, 400_000
			result, err := uncertainty.Simulate(s)
			if err != nil {
				t.Fatal(name, err)
			}
			done[name] = result
		}
		r := done[name]
		got := map[string]float64{"mean": r.Mean, "u": r.StandardUncertainty, "lower": r.Symmetric.Lower, "upper": r.Symmetric.Upper,
			"shortest lower": r.Shortest.Lower, "shortest upper": r.Shortest.Upper}[row["quantity"]]
		if want, within := number(t, row["expected"]), number(t, row["tolerance"]); !(math.Abs(got-want) <= within) {
			t.Errorf("%s %s: %.6g, want %g ± %g (%s)", name, row["quantity"], got, want, within, row["source"])
		}
	}
}

// TestAdaptive: the run stops when it is stable, says so, and the precision is what many
// runs show.
func TestAdaptive(t *testing.T) {
	s := examples()["9.2.2"]
	s.Digits, s.Most = 2, 2_000_000
	var means []float64
	for seed := range uint64(12) {
		s.Seed = seed
		r, err := uncertainty.Simulate(s)
		if err != nil {
			t.Fatal(err)
		}
		// u = 2.0: δ = 0.05; the ends of an interval of 10 000 trials scatter by 0.08.
		if !r.Converged || r.Tolerance != 0.05 || r.Precision > r.Tolerance || r.Trials%10000 != 0 || r.Trials > 500_000 || len(r.Warnings) > 0 {
			t.Errorf("seed %d: %+v", seed, r)
		}
		means = append(means, r.Symmetric.Upper)
	}
	for _, m := range means {
		if math.Abs(m-3.92) > 0.1 {
			t.Errorf("upper ends %v", means)
			break
		}
	}
}

func TestNotConverged(t *testing.T) {
	s := examples()["9.2.4"]
	s.Digits, s.Most = 3, 50_000
	r, err := uncertainty.Simulate(s)
	if err != nil || r.Converged || r.Trials != 50_000 || !fault.Has(r.Warnings, uncertainty.CodeNotConverged) {
		t.Errorf("%+v, %v", r, err)
	}
	s.Tolerance = 5
	if r, err = uncertainty.Simulate(s); err != nil || !r.Converged || r.Tolerance != 5 || r.Trials != 50_000 {
		t.Errorf("with a tolerance of its own: %+v, %v", r, err)
	}
}

// TestSameSeedSameDigits: the digits stand here, so another machine or another compiler
// that came to others would show.
func TestSameSeedSameDigits(t *testing.T) {
	quantities := []uncertainty.Quantity{
		{Name: "normal", Density: uncertainty.DensityNormal, Scale: 1},
		{Name: "also", Density: uncertainty.DensityNormal, Location: 3, Scale: 2},
		{Name: "student", Density: uncertainty.DensityStudent, Scale: 1, Shape: 3.5},
		{Name: "rectangular", Density: uncertainty.DensityRectangular, Scale: 1},
		{Name: "triangular", Density: uncertainty.DensityTriangular, Scale: 1},
		{Name: "trapezoidal", Density: uncertainty.DensityTrapezoidal, Scale: 1, Shape: 0.5},
		{Name: "inexact", Density: uncertainty.DensityInexactLimits, Scale: 1, Shape: 0.5},
		{Name: "arcsine", Density: uncertainty.DensityArcsine, Scale: 1},
		{Name: "exponential", Density: uncertainty.DensityExponential, Location: 1},
		{Name: "gamma", Density: uncertainty.DensityGamma, Scale: 1, Shape: 4},
	}
	s := uncertainty.Simulation{Quantities: quantities, Correlations: []uncertainty.Correlation{{A: "normal", B: "also", R: -0.5}},
		Coverage: 0.9545, Seed: 20260324, Digits: 2, Trials: 100_000,
		Model: func(x []float64) float64 {
			sum := 0.0
			for _, v := range x {
				sum += v
			}
			return sum
		}}
	r, err := uncertainty.Simulate(s)
	if err != nil {
		t.Fatal(err)
	}
	want := []float64{8.97853888194815, 3.5721775278375607, 2.2950757476009667, 16.591759707977467, 1.9317279316040508, 16.175340800966747}
	for i, got := range []float64{r.Mean, r.StandardUncertainty, r.Symmetric.Lower, r.Symmetric.Upper, r.Shortest.Lower, r.Shortest.Upper} {
		if got != want[i] {
			t.Errorf("result %d: %v, want %v", i, got, want[i])
		}
	}
	s.Seed++
	if other, err := uncertainty.Simulate(s); err != nil || other.Mean == r.Mean {
		t.Errorf("another seed gives the same: %v", err)
	}
}

// TestDensities: mean and standard deviation of the draws against the closed forms of
// JCGM 101:2008, 6.4, and quantiles against closed forms of the distribution function.
func TestDensities(t *testing.T) {
	for _, row := range []struct {
		q      uncertainty.Quantity
		cdf    float64 // probability below at
		at     float64
		source string
	}{
		{uncertainty.Quantity{Density: uncertainty.DensityNormal, Location: 1, Scale: 2}, 0.9772498680518208, 5, "normal distribution at +2 σ"},
		{uncertainty.Quantity{Density: uncertainty.DensityNormal, Scale: 1}, 0.9998, 3.5401, "normal distribution, in the tail"},
		{uncertainty.Quantity{Density: uncertainty.DensityStudent, Scale: 1, Shape: 5}, 0.975, 2.570582, "t table, ν = 5"},
		{uncertainty.Quantity{Density: uncertainty.DensityStudent, Location: 3, Scale: 0.5, Shape: 30}, 0.995, 3 + 0.5*2.749996, "t table, ν = 30"},
		{uncertainty.Quantity{Density: uncertainty.DensityRectangular, Location: 2, Scale: 3}, 0.9, 4.4, "linear"},
		{uncertainty.Quantity{Density: uncertainty.DensityTriangular, Scale: 1}, 0.875, 0.5, "1 − (1 − x)²/2"},
		{uncertainty.Quantity{Density: uncertainty.DensityTrapezoidal, Scale: 1, Shape: 0.5}, 5.0 / 6, 0.5, "density 2/3 on the top, from the area"},
		{uncertainty.Quantity{Density: uncertainty.DensityTrapezoidal, Scale: 1, Shape: 1}, 0.75, 0.5, "shape 1 is rectangular"},
		{uncertainty.Quantity{Density: uncertainty.DensityTrapezoidal, Scale: 1}, 0.875, 0.5, "shape 0 is triangular"},
		{uncertainty.Quantity{Density: uncertainty.DensityInexactLimits, Scale: 1, Shape: 0}, 0.75, 0.5, "exact limits are rectangular"},
		{uncertainty.Quantity{Density: uncertainty.DensityInexactLimits, Scale: 1, Shape: 0.5}, 0.5 + 0.25*math.Log(3)*0.5/(2*0.5)*2, 0.5,
			"flat middle of height ln((w+d)/(w−d))/(4d), w half-width (6.4.3.2)"},
		{uncertainty.Quantity{Density: uncertainty.DensityArcsine, Location: 1, Scale: 2}, 2.0 / 3, 2, "½ + arcsin(x)/π"},
		{uncertainty.Quantity{Density: uncertainty.DensityExponential, Location: 2}, 1 - 1/math.E, 2, "1 − exp(−x/mean)"},
		{uncertainty.Quantity{Density: uncertainty.DensityGamma, Scale: 1, Shape: 2}, 1 - math.Exp(-3)*(1+3+4.5), 3, "gamma of shape 3, closed form"},
		{uncertainty.Quantity{Density: uncertainty.DensityGamma, Scale: 2}, 1 - 1/math.E, 2, "no event counted is exponential"},
	} {
		row.q.Name = "x"
		const n = 200_000
		below := 0
		s := uncertainty.Simulation{Quantities: []uncertainty.Quantity{row.q}, Coverage: 0.95, Seed: 7, Digits: 2, Trials: n,
			Model: func(x []float64) float64 {
				if x[0] <= row.at {
					below++
				}
				return x[0]
			}}
		r, err := uncertainty.Simulate(s)
		if err != nil {
			t.Fatal(row.q, err)
		}
		u := row.q.StandardUncertainty()
		if got := float64(below) / n; math.Abs(got-row.cdf) > 4.5*math.Sqrt(row.cdf*(1-row.cdf)/n) {
			t.Errorf("%s at %g: %.5f below, want %.5f (%s)", row.q.Density, row.at, got, row.cdf, row.source)
		}
		if math.Abs(r.Mean-row.q.Mean()) > 4.5*u/math.Sqrt(n) {
			t.Errorf("%s: mean %g, want %g", row.q.Density, r.Mean, row.q.Mean())
		}
		if math.Abs(r.StandardUncertainty/u-1) > 0.03 {
			t.Errorf("%s: standard deviation %g, want %g", row.q.Density, r.StandardUncertainty, u)
		}
	}
}

// TestValidation is JCGM 101:2008, 9.2 and 9.3 as their tables judge the law of
// propagation: valid for normal quantities, not where one rectangular one dominates.
func TestValidation(t *testing.T) {
	for _, row := range []struct {
		name        string
		y, expanded float64
		digits      int
		valid       bool
		source      string
	}{
		{"9.2.2", 0, 3.92, 2, true, "JCGM 101:2008, Table 2 (from memory)"},
		{"9.2.3", 0, 3.92, 2, true, "JCGM 101:2008, Table 3 (from memory): ends 3.88, δ = 0.05"},
		{"9.2.4", 0, 19.9, 2, false, "JCGM 101:2008, Table 4 (from memory): ends 17.0"},
		{"9.3", 1.2340, 0.1055, 1, false, "JCGM 101:2008, Table 6 (from memory): 0.0451 and 0.0430 against δ = 0.005"},
	} {
		s := examples()[row.name]
		s.Seed, s.Digits, s.Trials = 8, 2, 300_000
		r, err := uncertainty.Simulate(s)
		if err != nil {
			t.Fatal(err)
		}
		if v := uncertainty.Validate(row.y, row.expanded, r, row.digits); v.Valid != row.valid {
			t.Errorf("%s: %+v, want %v (%s)", row.name, v, row.valid, row.source)
		}
	}
}

func TestNumericalTolerance(t *testing.T) {
	for _, row := range []struct {
		u      float64
		digits int
		want   float64
		source string
	}{
		{0.35e-3, 2, 0.5e-5, "JCGM 101:2008, 7.9.2 example 1: u = 0.00035 V, two digits: 35 × 10⁻⁵"},
		{0.35e-3, 1, 0.5e-4, "the same with one digit: 4 × 10⁻⁴ (example 3)"},
		{2.0, 2, 0.05, "JCGM 101:2008, 9.2.2.7"},
		{10.1, 2, 0.5, "10 × 10⁰"},
		{0.0996, 2, 0.005, "rounded first: 10 × 10⁻²"},
		{0, 2, 0, "nothing"},
	} {
		if got := uncertainty.NumericalTolerance(row.u, row.digits); got != row.want {
			t.Errorf("%g, %d digits: %g, want %g (%s)", row.u, row.digits, got, row.want, row.source)
		}
	}
}

func TestSimulationRefused(t *testing.T) {
	for name, row := range map[string]struct {
		spoil func(*uncertainty.Simulation)
		want  *fault.Code
	}{
		"no quantity":    {func(s *uncertainty.Simulation) { s.Quantities = nil }, uncertainty.CodeEmpty},
		"no name":        {func(s *uncertainty.Simulation) { s.Quantities[0].Name = "" }, uncertainty.CodeNameMissing},
		"one name twice": {func(s *uncertainty.Simulation) { s.Quantities[1].Name = "x1" }, uncertainty.CodeNameTaken},
		"no density":     {func(s *uncertainty.Simulation) { s.Quantities[0].Density = 0 }, uncertainty.CodeDistributionUnknown},
		"two degrees": {func(s *uncertainty.Simulation) {
			s.Quantities[0].Density, s.Quantities[0].Shape = uncertainty.DensityStudent, 2
		}, uncertainty.CodeFreedomForMonteCarlo},
		"negative scale": {func(s *uncertainty.Simulation) { s.Quantities[0].Scale = -1 }, uncertainty.CodeNegative},
		"not finite":     {func(s *uncertainty.Simulation) { s.Quantities[0].Location = math.NaN() }, uncertainty.CodeNotFinite},
		"shape": {func(s *uncertainty.Simulation) {
			s.Quantities[0].Density, s.Quantities[0].Shape = uncertainty.DensityTrapezoidal, 1.1
		}, uncertainty.CodeShape},
		"exponential": {func(s *uncertainty.Simulation) { s.Quantities[1].Density = uncertainty.DensityExponential }, uncertainty.CodeShape},
		"gamma": {func(s *uncertainty.Simulation) {
			s.Quantities[0].Density, s.Quantities[0].Shape = uncertainty.DensityGamma, -1
		}, uncertainty.CodeShape},
		"limits": {func(s *uncertainty.Simulation) {
			s.Quantities[0].Density, s.Quantities[0].Shape = uncertainty.DensityInexactLimits, 1
		}, uncertainty.CodeShape},
		"tied rectangular":   {func(s *uncertainty.Simulation) { s.Quantities[0].Density = uncertainty.DensityRectangular }, uncertainty.CodeCorrelatedDensity},
		"correlation":        {func(s *uncertainty.Simulation) { s.Correlations[0].R = 2 }, uncertainty.CodeCorrelationRange},
		"coverage":           {func(s *uncertainty.Simulation) { s.Coverage = 0.05 }, uncertainty.CodeCoverageRange},
		"digits":             {func(s *uncertainty.Simulation) { s.Digits = 0 }, uncertainty.CodeDigits},
		"tolerance":          {func(s *uncertainty.Simulation) { s.Tolerance = math.Inf(1) }, uncertainty.CodeTolerance},
		"few trials":         {func(s *uncertainty.Simulation) { s.Trials = 49_999 }, uncertainty.CodeTrials},
		"many trials":        {func(s *uncertainty.Simulation) { s.Trials = 10_000_001 }, uncertainty.CodeTrials},
		"low cap":            {func(s *uncertainty.Simulation) { s.Most = 1000 }, uncertainty.CodeTrials},
		"nothing to draw on": {func(s *uncertainty.Simulation) { s.Model = func(x []float64) float64 { return 1 / math.Max(x[0], 0) } }, uncertainty.CodeModelFailed},
	} {
		s := examples()["9.4 .01 0.9"]
		s.Digits, s.Most = 2, 60_000
		row.spoil(&s)
		if _, err := uncertainty.Simulate(s); !fault.Has(err, row.want) {
			t.Errorf("%s: %v, want %s", name, err, row.want.Name())
		}
	}
}

// TestBudgetByMonteCarlo: the simulation of a budget agrees with the law of propagation
// where that is exact, correlation and all.
func TestBudgetByMonteCarlo(t *testing.T) {
	b := uncertainty.Budget{Coverage: uncertainty.CoverageDefault,
		Components:   []uncertainty.Component{line("a", 3, 1, infinite), line("b", 4, -1, infinite), line("c", 1, 2, infinite)},
		Correlations: []uncertainty.Correlation{{A: "a", B: "b", R: 1}, {A: "a", B: "c", R: 0.5}, {A: "b", B: "c", R: 0.5}}}
	want, err := uncertainty.Combine(b)
	if err != nil {
		t.Fatal(err)
	}
	s, err := uncertainty.SimulateBudget(b, uncertainty.Simulation{Seed: 3, Digits: 2, Trials: 200_000})
	if err != nil {
		t.Fatal(err)
	}
	if v := uncertainty.Validate(0, want.ExpandedUncertainty, s, 2); !v.Valid || math.Abs(s.StandardUncertainty/want.StandardUncertainty-1) > 0.006 {
		t.Errorf("%+v against u = %g, U = %g: %+v", s, want.StandardUncertainty, want.ExpandedUncertainty, v)
	}
	b.Components[0].Value = -1
	if _, err := uncertainty.SimulateBudget(b, uncertainty.Simulation{}); !fault.Has(err, uncertainty.CodeNegative) {
		t.Errorf("a negative uncertainty: %v", err)
	}
}

func TestDensityNames(t *testing.T) {
	for d := uncertainty.DensityNormal; d <= uncertainty.DensityGamma; d++ {
		if got, err := uncertainty.ParseDensity(d.String()); err != nil || got != d {
			t.Errorf("%s: %v, %v", d, got, err)
		}
	}
	if _, err := uncertainty.ParseDensity("flat"); !fault.Has(err, uncertainty.CodeDistributionUnknown) || uncertainty.Density(0).String() != "" {
		t.Errorf("%v", err)
	}
}

// TestQuantityOf: what a component is drawn from has the standard uncertainty that the
// budget takes, but for the t distribution's tails.
func TestQuantityOf(t *testing.T) {
	for d := uncertainty.Normal; d <= uncertainty.Standard; d++ {
		c := uncertainty.Component{Name: "x", Value: 3, Distribution: d, CoverageK: 2, DegreesOfFreedom: infinite}
		if got := uncertainty.QuantityOf(c).StandardUncertainty(); d != uncertainty.Normal && math.Abs(got-c.StandardUncertainty()) > 1e-15 || d == uncertainty.Normal && got != 1.5 {
			t.Errorf("%s: %g", d, got)
		}
	}
	c := line("x", 2, 1, 10)
	if q := uncertainty.QuantityOf(c); q.Density != uncertainty.DensityStudent || math.Abs(q.StandardUncertainty()-2*math.Sqrt(10.0/8)) > 1e-15 {
		t.Errorf("%+v", q)
	}
}
