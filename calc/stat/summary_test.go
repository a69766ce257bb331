package stat_test

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"rillmark/calc/stat"
)

func TestSummaryOfPublishedReadings(t *testing.T) {
	readings := readReadings(t)
	for _, row := range readCSV(t, "testdata/summary.csv") {
		t.Run(row["id"], func(t *testing.T) {
			x := readings[row["readings"]]
			if len(x) == 0 {
				t.Fatalf("no readings %q", row["readings"])
			}
			got := map[string]float64{
				"mean":               stat.Mean(x),
				"standard deviation": stat.StandardDeviation(x),
				"autocorrelation":    stat.Autocorrelation(x, 1),
			}[row["quantity"]]
			want, tolerance := number(t, row["expected"]), number(t, row["tolerance"])
			if !(math.Abs(got-want) <= tolerance) {
				t.Errorf("%s = %.17g, want %.17g within %g (%s, %s)",
					row["quantity"], got, want, tolerance, row["source"], row["basis"])
			}
		})
	}
}

// The relative standard deviation of s itself, √(1/(2(n−1))) about, is why fewer than
// four readings tell no uncertainty: JCGM 100:2008, Table E.1 gives 42 % for n = 4.
func TestDeviationOfFewReadings(t *testing.T) {
	for name, got := range map[string]float64{
		"mean of none":      stat.Mean(nil),
		"deviation of none": stat.StandardDeviation(nil),
		"deviation of one":  stat.StandardDeviation([]float64{3}),
	} {
		if !math.IsNaN(got) {
			t.Errorf("%s = %v, want NaN", name, got)
		}
	}
	if got := stat.StandardDeviation([]float64{1, 3}); math.Abs(got-math.Sqrt2) > 1e-15 {
		t.Errorf("deviation of 1 and 3 = %v, want √2", got)
	}
}

func TestAutocorrelationOutsideItsLags(t *testing.T) {
	x := []float64{1, 2, 3, 4}
	for _, lag := range []int{-1, 0, 4, 9} {
		if got := stat.Autocorrelation(x, lag); got != 0 {
			t.Errorf("lag %d: %v, want 0", lag, got)
		}
	}
	if got := stat.Autocorrelation([]float64{7, 7, 7}, 1); got != 0 {
		t.Errorf("constant readings: %v, want 0", got)
	}
	// deviations −1.5 −0.5 0.5 1.5: lag 2 gives (−0.75 −0.75)/5
	if got := stat.Autocorrelation(x, 2); math.Abs(got+0.3) > 1e-15 {
		t.Errorf("lag 2 of 1 2 3 4 = %v, want -0.3", got)
	}
}

func readReadings(t *testing.T) map[string][]float64 {
	t.Helper()
	readings := map[string][]float64{}
	for _, row := range readCSV(t, "testdata/readings.csv") {
		readings[row["readings"]] = append(readings[row["readings"]], number(t, row["value"]))
	}
	// NumAcc2 and NumAcc4 by their published rules: 1.2, then 500 times 1.1 and 1.3; the
	// same with 10000000 for 1.
	readings["NumAcc2"], readings["NumAcc4"] = []float64{1.2}, []float64{10000000.2}
	for range 500 {
		readings["NumAcc2"] = append(readings["NumAcc2"], 1.1, 1.3)
		readings["NumAcc4"] = append(readings["NumAcc4"], 10000000.1, 10000000.3)
	}
	return readings
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
