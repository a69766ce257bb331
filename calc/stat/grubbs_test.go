package stat_test

import (
	"errors"
	"math"
	"testing"

	"rillmark/calc/fault"
	"rillmark/calc/stat"
)

func TestGrubbsCriticalOfPublishedTables(t *testing.T) {
	for _, row := range readCSV(t, "testdata/grubbs.csv") {
		got, err := stat.GrubbsCritical(int(number(t, row["n"])), number(t, row["significance"]))
		want := number(t, row["expected"])
		if err != nil || !(math.Abs(got-want) <= number(t, row["tolerance"])) {
			t.Errorf("%s = %.6f, %v; want %.6f (%s, %s)", row["id"], got, err, want, row["source"], row["basis"])
		}
	}
}

// The readings of the example in the NIST/SEMATECH handbook, 1.3.5.17.1, printed G 2.4687.
func TestGrubbsFindsTheOutlier(t *testing.T) {
	x := []float64{199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57}
	o, err := stat.Grubbs(x, stat.GrubbsSignificance)
	if err != nil || o.Index != 7 || !o.Significant || math.Abs(o.Statistic-2.4687) > 7e-5 {
		t.Errorf("got %+v, %v", o, err)
	}
	if o, err := stat.Grubbs(x[:7], stat.GrubbsSignificance); err != nil || o.Significant || o.Index != 0 {
		t.Errorf("without it: %+v, %v", o, err)
	}
	if o, err := stat.Grubbs(make([]float64, 6), stat.GrubbsSignificance); err != nil || o.Significant || o.Statistic != 0 {
		t.Errorf("readings that do not vary: %+v, %v", o, err)
	}
}

func TestGrubbsRefuses(t *testing.T) {
	six := []float64{1, 2, 3, 4, 5, math.NaN()}
	for _, c := range []struct {
		x    []float64
		a    float64
		code *fault.Code
	}{
		{six[:5], 0.01, stat.CodeTooFew},
		{six, 0.01, stat.CodeNotFinite},
		{[]float64{1, 2, 3, 4, 5, 6}, 0, stat.CodeSignificance},
		{[]float64{1, 2, 3, 4, 5, 6}, 1, stat.CodeSignificance},
	} {
		_, err := stat.Grubbs(c.x, c.a)
		holdCode(t, err, c.code)
	}
	_, err := stat.GrubbsCritical(2, 0.01)
	holdCode(t, err, stat.CodeTooFew)
}

func holdCode(t *testing.T, err error, code *fault.Code) {
	t.Helper()
	faults := fault.AllOf(err)
	if len(faults) == 0 || faults[0].Code != code {
		t.Errorf("%v, want %s (%v)", err, code.Name(), errors.Unwrap(err))
	}
}
