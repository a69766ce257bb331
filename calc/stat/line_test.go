package stat_test

import (
	"math"
	"testing"

	"rillmark/calc/fault"
	"rillmark/calc/stat"
)

func TestLineThroughPublishedPoints(t *testing.T) {
	x, y := map[string][]float64{}, map[string][]float64{}
	for _, row := range readCSV(t, "testdata/points.csv") {
		x[row["set"]] = append(x[row["set"]], number(t, row["x"]))
		y[row["set"]] = append(y[row["set"]], number(t, row["y"]))
	}
	for _, row := range readCSV(t, "testdata/line.csv") {
		set := row["set"]
		fit := stat.FitLine
		if set == "NoInt1" || set == "NoInt2" {
			fit = stat.FitProportion
		}
		l, err := fit(x[set], y[set])
		if err != nil {
			t.Fatal(row["id"], err)
		}
		at, u := l.At(10)
		got, known := map[string]float64{"intercept": l.Intercept, "u(intercept)": l.InterceptUncertainty, "slope": l.Slope,
			"u(slope)": l.SlopeUncertainty, "correlation": l.Correlation, "s": l.ResidualDeviation, "at 10": at, "u(at 10)": u}[row["quantity"]]
		want := number(t, row["expected"])
		if !known || !(math.Abs(got-want) <= number(t, row["tolerance"])) {
			t.Errorf("%s = %.15g, want %.15g (%s, %s)", row["id"], got, want, row["source"], row["basis"])
		}
	}
}

func TestLineRefuses(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		name string
		fit  func(x, y []float64) (stat.Line, error)
		x, y []float64
		code *fault.Code
	}{
		{"lengths", stat.FitLine, []float64{1, 2, 3}, []float64{1}, stat.CodeLengthsDiffer},
		{"two points", stat.FitLine, []float64{1, 2}, []float64{1, 2}, stat.CodeTooFew},
		{"x not finite", stat.FitLine, []float64{1, nan, 3}, []float64{1, 2, 3}, stat.CodeNotFinite},
		{"y not finite", stat.FitLine, []float64{1, 2, 3}, []float64{1, nan, 3}, stat.CodeNotFinite},
		{"one flow", stat.FitLine, []float64{2, 2, 2}, []float64{1, 2, 3}, stat.CodeOneAbscissa},
		{"overflow", stat.FitLine, []float64{1, 2, 4}, []float64{1e308, -1e308, 1e308}, stat.CodeTooLarge},
		{"one point", stat.FitProportion, []float64{1}, []float64{1}, stat.CodeTooFew},
		{"no flow", stat.FitProportion, []float64{0, 0}, []float64{1, 2}, stat.CodeOneAbscissa},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := c.fit(c.x, c.y)
			holdCode(t, err, c.code)
		})
	}
}
