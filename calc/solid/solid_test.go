package solid

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"rillmark/calc/fault"
)

// Every published speed of a material must lie within the spread that is given for it.
func TestPublishedSpeedsLieWithinTheSpread(t *testing.T) {
	f, err := os.Open("testdata/speeds.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil || len(rows) < 50 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	seen := map[string]bool{}
	for _, r := range rows[1:] {
		m, err := Of(r[1])
		if err != nil {
			t.Error(err)
			continue
		}
		for i, spread := range map[int]Spread{2: m.Shear, 3: m.Longitudinal} {
			if r[i] == "" {
				continue
			}
			seen[r[1]] = true
			speed, err := strconv.ParseFloat(r[i], 64)
			if err != nil {
				t.Fatal(err)
			}
			if slack := 0.002 * speed; speed < spread.Least-slack || speed > spread.Most+slack {
				t.Errorf("%s: %g m/s is outside %+v of %s (%s; %s)", r[0], speed, spread, m.Name, r[4], r[5])
			}
		}
	}
	for _, name := range []string{"carbon steel", "stainless steel", "copper", "PVC", "polyethylene", "cement mortar"} {
		if !seen[name] {
			t.Errorf("nothing checks %s", name)
		}
	}
}

// The speeds of sound and the elastic constants of one material belong together:
// c_l² = E(1−ν)/(ρ(1+ν)(1−2ν)), c_s² = E/(2ρ(1+ν)), so c_l/c_s = √((2−2ν)/(1−2ν)).
func TestSpeedsFitPoissonsRatio(t *testing.T) {
	for _, name := range []string{"carbon steel", "stainless steel", "ductile iron", "copper", "aluminium", "titanium", "PVC", "glass"} {
		m, err := Of(name)
		if err != nil {
			t.Fatal(err)
		}
		want := math.Sqrt((2 - 2*m.Poisson) / (1 - 2*m.Poisson))
		if got := m.Longitudinal.Value / m.Shear.Value; math.Abs(got/want-1) > 0.12 {
			t.Errorf("%s: %g, want %g", name, got, want)
		}
	}
}

func TestEveryMaterialIsAccountedFor(t *testing.T) {
	for _, name := range Names() {
		m, err := Of(name)
		if err != nil || m.SoundSource == "" || !m.Longitudinal.Known() {
			t.Errorf("%s: %+v %v", name, m, err)
		}
		for what, s := range map[string]Spread{"shear": m.Shear, "longitudinal": m.Longitudinal, "expansion": m.Expansion, "modulus": m.Young} {
			if s.Known() && !(s.Least <= s.Value && s.Value <= s.Most && s.Least < s.Most && s.StandardUncertainty() > 0) {
				t.Errorf("%s: %s %+v", name, what, s)
			}
		}
		if m.Expansion.Known() != (m.SolidSource != "") || m.Expansion.Known() && m.LeastK >= m.MostK {
			t.Errorf("%s: %+v", name, m)
		}
		if m.Shear.Known() && m.Shear.Value >= m.Longitudinal.Value {
			t.Errorf("%s: shear as fast as longitudinal", name)
		}
	}
	if u := about(10, 7, 11).StandardUncertainty(); math.Abs(u-3/math.Sqrt(3)) > 1e-15 {
		t.Errorf("the wider side: %g", u)
	}
}

func TestAnOwnSpeedWinsAndIsMarked(t *testing.T) {
	m, _ := Of("polyethylene")
	own, err := m.With(0, 2300)
	if err != nil || own.Longitudinal.Value != 2300 || !own.Longitudinal.Own || own.Longitudinal.StandardUncertainty() != 0 || own.Shear.Own {
		t.Errorf("%+v %v", own, err)
	}
	if own, err = m.With(950, 0); err != nil || own.Shear.Value != 950 || !own.Shear.Own || own.Longitudinal != m.Longitudinal {
		t.Errorf("%+v %v", own, err)
	}
	for _, bad := range []float64{-1, math.NaN(), math.Inf(1)} {
		if _, err := m.With(bad, 0); !fault.Has(err, BadOwn) {
			t.Errorf("%g: %v", bad, err)
		}
	}
	if _, err := Of("cheese"); !fault.Has(err, Unknown) {
		t.Error(err)
	}
}
