package uncertainty_test

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"rillmark/calc/uncertainty"
)

var infinite = uncertainty.Infinite

// line makes a component that is already a standard uncertainty.
func line(name string, u, c, freedom float64) uncertainty.Component {
	return uncertainty.Component{Name: name, Value: u, Distribution: uncertainty.Standard, Sensitivity: c, DegreesOfFreedom: freedom}
}

func one(d uncertainty.Distribution, value, k float64) uncertainty.Budget {
	return uncertainty.Budget{Coverage: uncertainty.CoverageDefault, Components: []uncertainty.Component{
		{Name: "x", Value: value, Distribution: d, CoverageK: k, Sensitivity: 1, DegreesOfFreedom: infinite}}}
}

// published holds the inputs of the examples whose results are in testdata/budget.csv.
func published() map[string]uncertainty.Budget {
	const rectangular = uncertainty.Rectangular
	// JCGM 100:2008, H.1: l = ls + d − ls·(δα·θ + αs·δθ); nm, °C. The first-order
	// sensitivities to αs and θ are zero.
	block := func(d ...uncertainty.Component) uncertainty.Budget {
		return uncertainty.Budget{Coverage: 0.99, Components: append(d,
			uncertainty.Component{Name: "ls", Value: 75, Distribution: uncertainty.Normal, CoverageK: 3, Sensitivity: 1, DegreesOfFreedom: 18},
			uncertainty.Component{Name: "alphas", Value: 2e-6, Distribution: rectangular, Sensitivity: 0, DegreesOfFreedom: infinite},
			uncertainty.Component{Name: "theta", Value: 0.5, Distribution: uncertainty.Arcsine, Sensitivity: 0, DegreesOfFreedom: infinite},
			uncertainty.Component{Name: "dalpha", Value: 1e-6, Distribution: rectangular, Sensitivity: -50000623 * -0.1, DegreesOfFreedom: 50},
			uncertainty.Component{Name: "dtheta", Value: 0.05, Distribution: rectangular, Sensitivity: -50000623 * 11.5e-6, DegreesOfFreedom: 2})}
	}
	// JCGM 100:2008, H.2: R = V/I·cos φ of five simultaneous observations, Table H.2.
	const volt, ampere, phase = 4.999, 19.661e-3, 1.04446
	resistance, reactance := volt/ampere*math.Cos(phase), volt/ampere*math.Sin(phase)
	tied := []uncertainty.Correlation{{A: "V", B: "I", R: -0.355311}, {A: "phi", B: "V", R: 0.857624}, {A: "I", B: "phi", R: -0.645111}}
	return map[string]uncertainty.Budget{
		"H.1":       block(line("d", 9.7, 1, 25.6)),
		"H.1 parts": block(line("d repeat", 5.8, 1, 24), line("d random", 3.9, 1, 5), line("d systematic", 6.7, 1, 8)),
		"G.4.1": {Coverage: 0.95, Components: []uncertainty.Component{
			line("X1", 0.25, 1, 9), line("X2", 0.57, 1, 4), line("X3", 0.82, 1, 14)}},
		"H.2 R": {Coverage: 0.95, Components: []uncertainty.Component{
			line("V", 0.0032094, resistance/volt, 4),
			line("I", 9.471e-6, -resistance/ampere, 4),
			line("phi", 0.00075206, -resistance*math.Tan(phase), 4)},
			Correlations: tied},
		// Reactance X = V/I·sin φ and impedance Z = V/I of the same observations.
		"H.2 X": {Coverage: 0.95, Components: []uncertainty.Component{
			line("V", 0.0032094, reactance/volt, 4),
			line("I", 9.471e-6, -reactance/ampere, 4),
			line("phi", 0.00075206, reactance/math.Tan(phase), 4)}, Correlations: tied},
		"H.2 Z": {Coverage: 0.95, Components: []uncertainty.Component{
			line("V", 0.0032094, 1/ampere, 4),
			line("I", 9.471e-6, -volt/ampere/ampere, 4)}, Correlations: tied[:1]},
		"4.4.5":   one(rectangular, 4, 0),
		"4.4.6":   one(uncertainty.Triangular, 4, 0),
		"H.1.3.4": one(uncertainty.Arcsine, 0.5, 0),
		"4.3.3":   one(uncertainty.Normal, 240e-6, 3),
		// EA-4/02 S3 by its printed contributions, mΩ.
		"S3": {Coverage: uncertainty.CoverageDefault, Components: []uncertainty.Component{
			line("R_S", 2.5, 1, infinite), line("drift", 5.8, 1, infinite), line("temperature", 1.6, 1, infinite),
			line("temperature of the item", 4.1, 1, infinite), line("leads", 0.7, 1, infinite), line("ratio", 3.2, 1, infinite)}},
	}
}

func TestPublishedBudgets(t *testing.T) {
	budgets := published()
	seen := map[string]bool{}
	for _, row := range readCSV(t, "testdata/budget.csv") {
		t.Run(row["budget"]+" "+row["quantity"], func(t *testing.T) {
			budget, known := budgets[row["budget"]]
			if !known {
				t.Fatal("no such budget")
			}
			seen[row["budget"]] = true
			result, err := uncertainty.Combine(budget)
			if err != nil {
				t.Fatal(err)
			}
			got := quantity(t, result, row["quantity"])
			want, tolerance := number(t, row["expected"]), number(t, row["tolerance"])
			if !(math.Abs(got-want) <= tolerance) {
				t.Errorf("got %.10g, want %g within %g (%s; %s)", got, want, tolerance, row["source"], row["basis"])
			}
		})
	}
	if len(seen) != len(budgets) {
		t.Errorf("%d budgets, %d checked", len(budgets), len(seen))
	}
}

func quantity(t *testing.T, r uncertainty.Result, name string) float64 {
	t.Helper()
	switch name {
	case "standard_uncertainty":
		return r.StandardUncertainty
	case "effective_degrees_of_freedom":
		return r.EffectiveDegreesOfFreedom
	case "degrees_of_freedom_used":
		return r.DegreesOfFreedomUsed
	case "coverage_factor":
		return r.CoverageFactor
	case "expanded_uncertainty":
		return r.ExpandedUncertainty
	}
	for _, c := range r.Contributions {
		if "contribution "+c.Name == name {
			return c.Contribution
		}
	}
	t.Fatalf("no quantity %q", name)
	return 0
}

func TestCoverageFactorsOfTableG2(t *testing.T) {
	for _, row := range readCSV(t, "testdata/student.csv") {
		k, err := uncertainty.CoverageFactor(number(t, row["coverage"]), number(t, row["degrees_of_freedom"]))
		want, tolerance := number(t, row["expected"]), number(t, row["tolerance"])
		if digits := printedHalf(row["expected"]); digits > tolerance {
			tolerance = digits
		}
		if err != nil || !(math.Abs(k-want) <= tolerance) {
			t.Errorf("%s: k = %v, %v; want %v within %v (%s)", row["id"], k, err, want, tolerance, row["source"])
		}
	}
}

// printedHalf is half a unit of the last printed digit.
func printedHalf(text string) float64 {
	_, decimals, _ := strings.Cut(text, ".")
	return 0.5*math.Pow(10, -float64(len(decimals))) + 1e-12
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
