package verification_test

import (
	"math"
	"testing"

	"rillmark/calc/fault"
	"rillmark/calc/num"
	"rillmark/calc/verification"
)

// points of a certificate, out of order on purpose.
var points = []verification.CalibrationPoint{
	{Velocity: 1, Error: 0.002, Expanded: 0.003, K: 2},
	{Velocity: 0.5, Error: 0.004, Expanded: 0.006, K: 2},
	{Velocity: 2, Error: -0.001, Expanded: 0.003, K: 2},
}

func TestCorrection(t *testing.T) {
	for _, c := range []struct {
		v, e, u, step float64
	}{
		{0.5, 0.004, 0.003, 0}, {1, 0.002, 0.0015, 0}, {2, -0.001, 0.0015, 0}, // the points and both ends
		{0.75, 0.003, 0.00225, 0.002}, {1.5, 0.0005, 0.0015, 0.003}, // by hand, half way
	} {
		got, err := verification.CorrectionAt(points, c.v)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "error", got.Error, c.e, 1e-12)
		near(t, "u", got.Standard, c.u, 1e-12)
		near(t, "step", got.Step, c.step, 1e-12)
	}
	if points[0].Velocity != 1 {
		t.Error("the caller's points were sorted")
	}
}

func TestCorrectionRefuses(t *testing.T) {
	for _, v := range []float64{math.Nextafter(0.5, 0), math.Nextafter(2, 3), math.NaN(), -1} {
		if _, err := verification.CorrectionAt(points, v); !fault.Has(err, verification.OutsideCalibration) {
			t.Errorf("at %v: %v", v, err)
		}
	}
	if _, err := verification.CorrectionAt(points[:1], 1); !fault.Has(err, verification.CalibrationPoints) {
		t.Errorf("one point: %v", err)
	}
	twice := append(points[:2:2], points[0])
	if _, err := verification.CorrectionAt(twice, 0.7); !fault.Has(err, num.NotIncreasing) {
		t.Errorf("a velocity twice: %v", err)
	}
	endless := []verification.CalibrationPoint{{Velocity: 1, Expanded: 1}, {Velocity: 2, Expanded: 1, K: 2}}
	if _, err := verification.CorrectionAt(endless, 1.5); !fault.Has(err, num.NotFinite) {
		t.Errorf("k of zero: %v", err)
	}
}

func TestCorrected(t *testing.T) {
	q, err := verification.Corrected(0.0201, 1.01, 0.005)
	near(t, "q", q, 0.0202, 1e-12)
	if err != nil {
		t.Error(err)
	}
	if _, err := verification.Corrected(1, 1, -1); !fault.Has(err, verification.ErrorTotal) {
		t.Errorf("a calibration error of −100 %%: %v", err)
	}
	if _, err := verification.Corrected(math.Inf(1), 1, 0); !fault.Has(err, verification.NotFinite) {
		t.Errorf("an infinite flow: %v", err)
	}
}

func TestAdjusting(t *testing.T) {
	f, err := verification.Factor(0.03)
	near(t, "factor", f, 1/1.03, 1e-15)
	if err != nil {
		t.Error(err)
	}
	if got := verification.Predicted(0.03, f); math.Abs(got) > 1e-15 {
		t.Errorf("predicted %v, want 0", got)
	}
	near(t, "predicted of another point", verification.Predicted(0.05, f), 1.05/1.03-1, 1e-13)
	if _, err := verification.Factor(-1); !fault.Has(err, verification.ErrorTotal) {
		t.Errorf("a meter at rest: %v", err)
	}
}

func TestExcessAndOffset(t *testing.T) {
	near(t, "excess", verification.Excess(0.5, 0.3), 0.4, 1e-15)
	if got := verification.Excess(0.3, 0.5); got != 0 {
		t.Errorf("a larger part leaves %v", got)
	}
	near(t, "offset", verification.Uncorrected(0.3, -0.4), 0.5, 1e-15)
}

func TestCalibrationCurveOfNothing(t *testing.T) {
	if _, err := (verification.CalibrationCurve{}).At(1); !fault.Has(err, verification.CalibrationPoints) {
		t.Errorf("the zero curve: %v", err)
	}
}
