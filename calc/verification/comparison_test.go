package verification_test

import (
	"math"
	"testing"

	"rillmark/calc/fault"
	"rillmark/calc/verification"
)

// TestErrorOfAComparison: E and u(E) = (1+E)·√(u_r²(ind) + u_r²(ref)), and what is on the
// error itself beside it; as a flow u = √((q_ref·u_r)² + (q_ind·u_i)² + (q_ref·u_A)²).
func TestErrorOfAComparison(t *testing.T) {
	c := verification.Comparison{Reference: 0.02, Indication: 0.021,
		OnReference: []verification.Part{part("calibration", "kit", 0.008)}, OnIndication: []verification.Part{part("loop", "visit", 0.002)},
		OnError: []verification.Part{part("scatter", "runs", 0.001)}}
	e, err := c.RelativeError()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "E", e.Value, 0.05, 1e-13)
	near(t, "u(E)", standard(t, e), math.Sqrt(1.05*1.05*(0.008*0.008+0.002*0.002)+0.001*0.001), 1e-13)
	flow := c.FlowError()
	near(t, "difference", flow.Value, 0.001, 1e-13)
	near(t, "u(difference)", standard(t, flow), math.Sqrt(math.Pow(0.02*0.008, 2)+math.Pow(0.021*0.002, 2)+math.Pow(0.02*0.001, 2)), 1e-13)
	near(t, "u(reference)", standard(t, c.ReferenceFlow()), 0.008, 1e-15)
	// The reference too high makes the error too low.
	for _, p := range e.Parts {
		if (p.Contribution < 0) != (p.Name == "calibration") {
			t.Errorf("%s has the sign of %v", p.Name, p.Contribution)
		}
	}
}

func TestAComparisonThatCannotBeMade(t *testing.T) {
	if _, err := (verification.Comparison{Indication: 1}).RelativeError(); !fault.Has(err, verification.ReferenceZero) {
		t.Errorf("a reference of zero: %v", err)
	}
	if _, err := (verification.Comparison{Reference: 1e-300, Indication: 1e300}).RelativeError(); !fault.Has(err, verification.NotFinite) {
		t.Errorf("an error without end: %v", err)
	}
	if _, err := verification.MeanOf(nil); !fault.Has(err, verification.NoRuns) {
		t.Errorf("no runs: %v", err)
	}
	if _, err := verification.MeanOf(make([]verification.Comparison, 2)); !fault.Has(err, verification.ReferenceZero) {
		t.Errorf("runs at rest: %v", err)
	}
}

// TestMeanOfRuns: the error is the mean of the runs' errors; what they share stays whole,
// what each has of its own goes with 1/√m.
func TestMeanOfRuns(t *testing.T) {
	run := func(q, e float64, scope string) verification.Comparison {
		return verification.Comparison{Reference: q, Indication: q * (1 + e),
			OnReference: []verification.Part{part("bore", "point", 0.01), part("timing", scope, 0.004)}}
	}
	m, err := verification.MeanOf([]verification.Comparison{run(0.01, 0.01, "1"), run(0.02, 0.02, "2"), run(0.03, 0.06, "3"), run(0.04, 0.03, "4")})
	if err != nil {
		t.Fatal(err)
	}
	e, err := m.RelativeError()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "reference", m.Reference, 0.025, 1e-14)
	near(t, "E", e.Value, 0.03, 1e-13)
	near(t, "u", standard(t, e), 1.03*math.Sqrt(0.01*0.01+0.004*0.004/4), 1e-13)
}

func TestScatterOfRuns(t *testing.T) {
	run := func(e, u, nu float64) verification.RunScatter {
		return verification.RunScatter{Error: e, Estimable: true, Standard: u, Freedom: nu}
	}
	borrowed := func(e float64) verification.RunScatter { return verification.RunScatter{Error: e} }
	pooled := verification.Pooled{Standard: 0.003, Freedom: 20}
	inf := math.Inf(1)
	for _, c := range []struct {
		name           string
		runs           []verification.RunScatter
		resolution     float64
		basis          verification.Basis
		u, nu, between float64
	}{
		// s = 0.01 of 0.01, 0.02, 0.03; s/√3 = 0.0057735 beats √3·0.001/3.
		{"runs differ", []verification.RunScatter{run(0.01, 0.001, 9), run(0.02, 0.001, 9), run(0.03, 0.001, 9)}, 0, verification.BetweenRuns, 0.005773502691896258, 2, 0.005773502691896258},
		{"runs agree", []verification.RunScatter{run(0.02, 0.003, 9), run(0.02, 0.003, 9), run(0.02, 0.003, 9)}, 0, verification.WithinRuns, 0.003 / math.Sqrt(3), 27, 0},
		{"two runs have no between", []verification.RunScatter{run(0.01, 0.001, 9), run(0.03, 0.001, 9)}, 0, verification.WithinRuns, 0.001 / math.Sqrt2, 18, 0},
		{"resolution rules", []verification.RunScatter{run(0.02, 1e-5, 9), run(0.02, 1e-5, 9)}, 0.0015, verification.Resolution, 0.0015, inf, 0},
		{"resolution gives way", []verification.RunScatter{run(0.02, 0.002, 9), run(0.02, 0.002, 9)}, 0.001, verification.WithinRuns, 0.002 / math.Sqrt2, 18, 0},
		{"all borrowed", []verification.RunScatter{borrowed(0.02), borrowed(0.02), borrowed(0.02), borrowed(0.02)}, 0, verification.PooledRuns, 0.0015, 20, 0},
		// (0.004² + 0.003²)² / (0.004⁴/5 + 0.003⁴/20) = 25²/(256/5 + 81/20), ×10⁻⁶ throughout
		{"one borrowed", []verification.RunScatter{run(0.02, 0.004, 5), borrowed(0.02)}, 0, verification.PooledRuns, 0.0025, 625 / (256.0/5 + 81.0/20), 0},
		{"no scatter at all", []verification.RunScatter{run(0.02, 0, 4)}, 0, verification.WithinRuns, 0, inf, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := verification.ScatterOf(c.runs, pooled, c.resolution, 3)
			if err != nil {
				t.Fatal(err)
			}
			if s.Basis != c.basis || !(s.Freedom == c.nu || math.Abs(s.Freedom/c.nu-1) < 1e-12) {
				t.Errorf("basis %s, nu %v; want %s, %v", s.Basis, s.Freedom, c.basis, c.nu)
			}
			near(t, "u", s.Standard, c.u, 1e-12)
			near(t, "between", s.Between, c.between, 1e-12)
		})
	}
	if _, err := verification.ScatterOf(nil, pooled, 0, 3); !fault.Has(err, verification.NoRuns) {
		t.Errorf("no runs: %v", err)
	}
}

func TestResolutionCompetes(t *testing.T) {
	near(t, "readings that change", verification.ResolutionOf(0.004, 16, true), 0.001, 1e-15)
	near(t, "readings that do not", verification.ResolutionOf(0.004, 16, false), 0.004, 1e-15)
	near(t, "of nothing", verification.ResolutionOf(0.004, 0, true), 0.004, 1e-15)
}
