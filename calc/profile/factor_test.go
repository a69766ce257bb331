package profile_test

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"

	"rillmark/calc/fault"
	"rillmark/calc/profile"
)

// published reads the rows of testdata/published.csv whose id starts with prefix.
func published(t *testing.T, prefix string) (rows [][]string) {
	t.Helper()
	f, err := os.Open("testdata/published.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range all[1:] {
		if strings.HasPrefix(row[0], prefix) {
			rows = append(rows, row)
		}
	}
	if len(rows) == 0 {
		t.Fatalf("no rows %q", prefix)
	}
	return rows
}

func numbers(t *testing.T, text string) map[string]float64 {
	t.Helper()
	m := map[string]float64{}
	if err := json.Unmarshal([]byte(text), &m); err != nil {
		var one float64
		if err := json.Unmarshal([]byte(text), &one); err != nil {
			t.Fatal(err)
		}
		m[""] = one
	}
	return m
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.12g, want %.12g within %g", what, got, want, tolerance)
	}
}

func TestTurbulentFrictionAgainstTables(t *testing.T) {
	for prefix, tolerance := range map[string]float64{"CB-": 1e-8, "smooth-": 5e-5} {
		for _, row := range published(t, prefix) {
			in := numbers(t, row[1])
			got, err := profile.TurbulentFriction(in["Re"], in["e_D"])
			if err != nil {
				t.Fatal(err)
			}
			near(t, row[0], got, numbers(t, row[2])[""], tolerance)
		}
	}
	for _, row := range published(t, "lamf-") {
		got, err := profile.LaminarFriction(numbers(t, row[1])["Re"])
		if err != nil {
			t.Fatal(err)
		}
		near(t, row[0], got, numbers(t, row[2])[""], 1e-15)
	}
}

// The five formulas of the table differ among themselves; the one with κ = 0.40 is
// LogFactor, and the stated half-width holds the others.
func TestLogFactorAgainstOtherFormulas(t *testing.T) {
	widest := 0.0
	for _, row := range published(t, "K-") {
		in, want := numbers(t, row[1]), numbers(t, row[2])
		friction, err := profile.TurbulentFriction(in["Re"], 0)
		if err != nil {
			t.Fatal(err)
		}
		got, err := profile.LogFactor(friction)
		if err != nil {
			t.Fatal(err)
		}
		near(t, row[0], got, want["log law kappa=0.40"], 1e-6)
		for _, other := range want {
			widest = math.Max(widest, math.Abs(other-got))
		}
	}
	if !(widest <= profile.FactorHalfWidth && widest > 0.7*profile.FactorHalfWidth) {
		t.Errorf("the formulas differ by %g, stated %g", widest, profile.FactorHalfWidth)
	}
}

// The mean over section and diameter of the law itself, integrated numerically.
func TestLogFactorByIntegration(t *testing.T) {
	const friction, steps = 0.02, 2_000_000
	star := math.Sqrt(friction / 8)
	section, line := 0.0, 0.0
	for i := range steps {
		y := (float64(i) + 0.5) / steps // from the wall, of the radius
		deficit := star / profile.Karman * math.Log(y)
		line += deficit / steps
		section += deficit * 2 * (1 - y) / steps
	}
	// v_max is fixed by the mean over the section being 1.
	want := 1 / (1 - section + line)
	got, err := profile.LogFactor(friction)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "K", got, want, 1e-6)
}

func TestPowerFactorAgainstTable(t *testing.T) {
	for _, row := range published(t, "pl-") {
		if strings.HasPrefix(row[0], "pl-printed") {
			continue // a table's rounded V/umax; it prints no K
		}
		got, err := profile.PowerFactor(numbers(t, row[1])["n"])
		if err != nil {
			t.Fatal(err)
		}
		near(t, row[0], got, numbers(t, row[2])["K=area/line"], 1e-6)
	}
	for _, row := range published(t, "lam") {
		if strings.HasPrefix(row[0], "lamf") {
			continue
		}
		near(t, row[0], profile.LaminarFactor, numbers(t, row[2])["K"], 0)
	}
}

func TestFactorOf(t *testing.T) {
	for _, c := range []struct {
		name                string
		reynolds, roughness float64
		regime              profile.Regime
		value, tolerance    float64
	}{
		{"laminar", 1500, 0, profile.Laminar, 0.75, 0},
		{"no flow", 0, 0, profile.Laminar, 0.75, 0},
		{"just laminar", math.Nextafter(2300, 0), 0, profile.Laminar, 0.75, 0},
		{"transition", 2300, 0, profile.Transition, 0, 0},
		{"end of the transition", 10000, 0, profile.Transition, 0, 0},
		{"turbulent, smooth", 3e5, 0, profile.Turbulent, 0.949533, 1e-6}, // table, κ = 0.40
		// f = 0.0308 at k/d = 0.005 and 1e5 (Moody's chart: 0.031): 1/(1 + 1.25·√(f/8))
		{"turbulent, rough", 1e5, 0.005, profile.Turbulent, 0.928, 0.001},
	} {
		f, err := profile.FactorOf(c.reynolds, c.roughness, 2300, 10000)
		if err != nil || f.Regime != c.regime {
			t.Errorf("%s: %+v, %v", c.name, f, err)
		}
		near(t, c.name, f.Value, c.value, c.tolerance)
		if turbulent := c.regime == profile.Turbulent; (f.StandardUncertainty > 0) != turbulent {
			t.Errorf("%s: u %g", c.name, f.StandardUncertainty)
		}
	}
	f, _ := profile.FactorOf(1500, 0, 2300, 10000)
	near(t, "laminar friction", f.Friction, 64/1500.0, 1e-15)
}

// A rougher wall, or a lower Reynolds number, makes a more pointed profile: K falls.
func TestFactorIsMonotonic(t *testing.T) {
	last := 1.0
	for _, roughness := range []float64{0, 1e-5, 1e-4, 1e-3, 1e-2, 5e-2} {
		f, err := profile.FactorOf(1e6, roughness, 2300, 10000)
		if err != nil || f.Value >= last {
			t.Errorf("roughness %g: %g after %g, %v", roughness, f.Value, last, err)
		}
		last = f.Value
	}
	last = 0
	for _, re := range []float64{1.1e4, 1e5, 1e6, 1e7, 1e8} {
		f, err := profile.FactorOf(re, 0, 2300, 10000)
		if err != nil || f.Value <= last {
			t.Errorf("Re %g: %g after %g, %v", re, f.Value, last, err)
		}
		last = f.Value
	}
}

func TestFactorRefuses(t *testing.T) {
	_, below := profile.TurbulentFriction(math.Nextafter(3000, 0), 0)
	_, rough := profile.TurbulentFriction(1e5, math.Nextafter(0.05, 1))
	_, negative := profile.TurbulentFriction(1e5, -1e-9)
	_, nothing := profile.TurbulentFriction(math.Inf(1), 0)
	_, still := profile.LaminarFriction(0)
	_, log := profile.LogFactor(0)
	_, power := profile.PowerFactor(-1)
	_, regime := profile.FactorOf(math.NaN(), 0, 2300, 10000)
	_, odd := profile.FactorOf(2500, 0, 1000, 2000)
	for i, c := range []struct {
		err  error
		code *fault.Code
	}{{below, profile.FrictionRange}, {rough, profile.RoughnessRange}, {negative, profile.RoughnessRange}, {nothing, profile.NotPositive},
		{still, profile.NotPositive}, {log, profile.NotPositive}, {power, profile.NotPositive}, {regime, profile.NotPositive}, {odd, profile.FrictionRange}} {
		if !fault.Has(c.err, c.code) {
			t.Errorf("%d: %v", i, c.err)
		}
	}
	for _, roughness := range []float64{0, 0.05} {
		if _, err := profile.TurbulentFriction(3000, roughness); err != nil {
			t.Errorf("on the bound: %v", err)
		}
	}
}
