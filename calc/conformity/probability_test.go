package conformity_test

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"

	"rillmark/calc/conformity"
)

func TestPublishedProbabilities(t *testing.T) {
	for _, row := range readCSV(t, "testdata/probability.csv") {
		within, without := conformity.Probability(number(t, row["value"]), number(t, row["standard_uncertainty"]), limits(t, row))
		want, tolerance := number(t, row["expected"]), number(t, row["tolerance"])
		if !(math.Abs(within-want) <= tolerance) {
			t.Errorf("%s: %.17g, want %.17g within %g (%s; %s)", row["id"], within, want, tolerance, row["source"], row["basis"])
		}
		if math.Abs(within+without-1) > 1e-15 {
			t.Errorf("%s: %v and %v do not sum to 1", row["id"], within, without)
		}
	}
}

// A wrong pass that is one in a million million must not be told as none.
func TestSmallRisksKeepTheirDigits(t *testing.T) {
	_, without := conformity.Probability(0, 1, conformity.Between(-9, 8))
	const want = 6.220960574271784e-16 + 1.1285884059538408e-19 // Φ(−8) + Φ(−9), from memory
	if math.Abs(without/want-1) > 1e-12 {
		t.Errorf("%v, want %v", without, want)
	}
}

// The probability is that of a normal variable: it does not change when value, limits
// and uncertainty are shifted, mirrored or scaled together.
func TestProbabilityUnderShiftMirrorAndScale(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 5))
	for range 500 {
		y, u := random.NormFloat64(), 0.05+random.Float64()
		l := conformity.Between(-random.Float64()-0.1, random.Float64()+0.1)
		base, _ := conformity.Probability(y, u, l)
		shifted, _ := conformity.Probability(y+2, u, conformity.Between(l.Lower+2, l.Upper+2))
		mirrored, _ := conformity.Probability(-y, u, conformity.Between(-l.Upper, -l.Lower))
		scaled, _ := conformity.Probability(4*y, 4*u, conformity.Between(4*l.Lower, 4*l.Upper))
		upper, _ := conformity.Probability(y, u, conformity.AtMost(l.Upper))
		lower, _ := conformity.Probability(y, u, conformity.AtLeast(l.Lower))
		for name, got := range map[string]float64{"shift": shifted, "mirror": mirrored, "scale": scaled, "two one-sided": upper + lower - 1} {
			if math.Abs(got-base) > 1e-12 {
				t.Fatalf("%s: %v, want %v (y %v, u %v, %v)", name, got, base, y, u, l)
			}
		}
	}
}

func limits(t *testing.T, row map[string]string) conformity.Limits {
	t.Helper()
	l := conformity.Between(math.Inf(-1), math.Inf(1))
	if row["lower"] != "" {
		l.Lower = number(t, row["lower"])
	}
	if row["upper"] != "" {
		l.Upper = number(t, row["upper"])
	}
	return l
}

func readCSV(t *testing.T, path string) []map[string]string {
	t.Helper()
	file, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	lines, err := csv.NewReader(file).ReadAll()
	if err != nil || len(lines) < 2 {
		t.Fatalf("%s: %v, %d lines", path, err, len(lines))
	}
	var rows []map[string]string
	for _, line := range lines[1:] {
		row := map[string]string{}
		for i, name := range lines[0] {
			row[name] = line[i]
		}
		rows = append(rows, row)
	}
	return rows
}

func number(t *testing.T, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}
