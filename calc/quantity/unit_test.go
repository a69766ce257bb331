package quantity_test

import (
	"encoding/csv"
	"math"
	"math/big"
	"os"
	"strconv"
	"strings"
	"testing"

	"rillmark/calc/fault"
	"rillmark/calc/quantity"
)

func read(t *testing.T, path string) []map[string]string {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil || len(lines) < 2 {
		t.Fatalf("%s: %v, %d lines", path, err, len(lines))
	}
	var rows []map[string]string
	for _, line := range lines[1:] {
		r := map[string]string{}
		for i, name := range lines[0] {
			r[name] = line[i]
		}
		rows = append(rows, r)
	}
	return rows
}

func parse(t *testing.T, text, kind string) float64 {
	t.Helper()
	e, err := quantity.Parse(text, quantity.Kind(kind), quantity.Options{})
	if err != nil {
		t.Fatalf("%q: %v", text, err)
	}
	return e.SI
}

func TestFactorsAreExact(t *testing.T) {
	for _, r := range read(t, "testdata/factors.csv") {
		want, _ := new(big.Rat).SetString(r["expected_fraction"])
		x, _ := want.Float64()
		got := parse(t, r["text"], r["kind"]) / parse(t, "1 "+r["unit"], r["kind"])
		if math.Abs(got/x-1) > 1e-15 {
			t.Errorf("%s = %.17g %s, want %.17g (%s)", r["text"], got, r["unit"], x, r["source"])
		}
	}
}

func TestTemperatures(t *testing.T) {
	for _, r := range read(t, "testdata/temperatures.csv") {
		want, err := strconv.ParseFloat(r["expected"], 64)
		if err != nil {
			t.Fatal(err)
		}
		got := parse(t, r["text"], r["kind"])
		if r["unit"] == "degC" {
			got -= 273.15
		}
		if math.Abs(got-want) > 1.2e-13 { // two units in the last place at 300 K
			t.Errorf("%s = %.17g %s, want %v (%s)", r["text"], got, r["unit"], want, r["source"])
		}
	}
}

func TestFactorsRoundToThePrintedOnes(t *testing.T) {
	for _, r := range read(t, "testdata/printed.csv") {
		want, err := strconv.ParseFloat(r["expected"], 64)
		if err != nil {
			t.Fatal(err)
		}
		got, _ := strconv.ParseFloat(strconv.FormatFloat(parse(t, r["text"], r["kind"]), 'e', 6, 64), 64)
		if got != want {
			t.Errorf("%s prints as %v, want %v (%s)", r["text"], got, want, r["source"])
		}
	}
}

// A message that offers a unit must keep its word, and print it as offered.
func TestEveryOfferedUnitIsReadAndPrinted(t *testing.T) {
	for _, k := range quantity.Kinds() {
		list, _, _ := strings.Cut(k.Units(), ", each with")
		for _, unit := range strings.Split(list, ", ") {
			e, err := quantity.Parse("300 "+unit, k, quantity.Options{})
			if err != nil || e.Unit != unit {
				t.Errorf("%s offers %q and reads %q, %v", k, unit, e.Unit, err)
			}
			text, err := quantity.Format(e.SI, k, unit, 0.001, quantity.Options{})
			if err != nil || !strings.HasPrefix(text, "300.000 "+unit) {
				t.Errorf("%s: 300 %s is printed as %q, %v", k, unit, text, err)
			}
		}
	}
}

func TestKinds(t *testing.T) {
	want := map[quantity.Kind]string{
		l: "m", th: "K", td: "K", q: "m3/s", v: "m3", p: "Pa", c: "m/s", s: "s", i: "A",
		quantity.KindAngle: "rad", quantity.KindFrequency: "Hz", quantity.KindLevel: "dB",
		quantity.KindMass: "kg", quantity.KindMassFlow: "kg/s", quantity.KindDensity: "kg/m3", quantity.KindDynamicViscosity: "Pa.s",
		quantity.KindKinematicViscosity: "m2/s", quantity.KindAPIGravity: "degAPI", quantity.KindPulses: "pulse", quantity.KindPulseFactor: "pulse/m3",
	}
	if quantity.KindRatio.SIUnit() != "1" { // a bare number is asked for its unit all the same
		t.Errorf("a ratio is in %q", quantity.KindRatio.SIUnit())
	}
	if len(quantity.Kinds()) != len(want)+1 {
		t.Errorf("%d kinds, want %d", len(quantity.Kinds()), len(want)+1)
	}
	for k, unit := range want {
		if k.SIUnit() != unit {
			t.Errorf("%s is in %q, want %q", k, k.SIUnit(), unit)
		}
		if got, err := quantity.KindOf(string(k)); got != k || err != nil {
			t.Errorf("KindOf(%s) = %v, %v", k, got, err)
		}
		if e, err := quantity.Parse("2.5 "+unit, k, quantity.Options{}); err != nil || e.SI != 2.5 {
			t.Errorf("2.5 %s = %v, %v", unit, e.SI, err)
		}
	}
	if _, err := quantity.KindOf("weight"); !fault.Has(err, quantity.UnknownKind) {
		t.Errorf("weight: %v", err)
	}
}
