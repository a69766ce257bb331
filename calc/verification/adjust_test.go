package verification_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"rillmark/calc/fault"
	"rillmark/calc/verification"
)

// A meter that shows 2 % too much. Each parameter is put to work in a meter of its own, so
// the direction is that of the thing and not of the formula.
func TestCorrectsInTheRightDirection(t *testing.T) {
	const truth, e = 100.0, 0.02 // m³ that pass, error before
	corrects := func(p verification.Parameter, old float64) float64 {
		got, err := p.Corrects(old, e)
		if err != nil {
			t.Fatal(err)
		}
		return got
	}
	raw := truth * (1 + e) / 1.1 // what a multiplier of 1.1 makes 2 % too much of
	near(t, "multiplier", raw*corrects(verification.Multiplier, 1.1), truth, 1e-12)
	// The sensor's cycles are counted by 500 pulses for each m³ that it believes; a flow
	// computer divides the pulses by what is stated to it.
	pulses := truth * (1 + e) * 500
	near(t, "pulses per volume", pulses/corrects(verification.PulsesPerVolume, 500), truth, 1e-12)
	near(t, "volume per pulse", pulses*corrects(verification.VolumePerPulse, 0.002), truth, 1e-12)
	near(t, "both tell the same", corrects(verification.PulsesPerVolume, 500)*corrects(verification.VolumePerPulse, 0.002), 1, 1e-12)
}

// A factor applied twice is not the factor: after the first the error is gone, and the
// second makes the opposite one.
func TestACorrectionAppliedTwice(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for range 500 {
		e := r.Float64()*0.6 - 0.3
		f, err := verification.Factor(e)
		if err != nil {
			t.Fatal(err)
		}
		once := verification.Predicted(e, f)
		if math.Abs(once) > 1e-15 {
			t.Errorf("%g leaves %g", e, once)
		}
		near(t, "twice", verification.Predicted(once, f), f-1, 1e-12)
		if again, _ := verification.Factor(once); math.Abs(again-1) > 1e-15 {
			t.Errorf("asked again it would multiply by %g", again)
		}
	}
}

// An output with a zero of 0.2 m³/s and a span 3 % too long.
func TestFitZeroAndSpan(t *testing.T) {
	var rows [][3]float64
	for _, q := range []float64{2, 5, 10, 20} {
		rows = append(rows, [3]float64{q, 100 * ((0.2+1.03*q)/q - 1), 0.3})
	}
	f, err := verification.FitZeroAndSpan(series(0.5, rows...))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "zero", f.Zero.Value, 0.2, 1e-12)
	near(t, "span", f.Span.Value, 1.03, 1e-12)
	for _, r := range rows {
		if left := f.Predicted(r[0], r[1]/100); math.Abs(left) > 1e-14 {
			t.Errorf("at %g is left %g", r[0], left)
		}
	}
	// The ends of the scale by which a receiver reads 4 and 20 mA as 0 and 25 m³/s.
	near(t, "low end", f.Corrected(0), -0.2/1.03, 1e-12)
	near(t, "high end", f.Corrected(25), 24.8/1.03, 1e-12)
	// A common relative error lengthens the span and leaves the zero.
	if u := standard(t, f.Span); u < 0.005 {
		t.Errorf("u(span) %g does not hold the common half per cent", u)
	}
	alone, err := verification.FitZeroAndSpan(series(0, rows...))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "u(zero)", standard(t, f.Zero), standard(t, alone.Zero), 1e-9)
}

func TestFitZero(t *testing.T) {
	f, err := verification.FitZero(series(0, [3]float64{1, 5, 0.2}, [3]float64{10, 0.5, 0.2}))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "zero", f.Zero.Value, 0.05, 1e-12)
	near(t, "predicted", 1+f.Predicted(1, 0.05), 1, 1e-12)
	near(t, "u", standard(t, f.Zero), 0.002/math.Sqrt(1+0.01), 1e-12)
}

func TestSignificantOnTheLimit(t *testing.T) {
	for _, c := range []struct {
		e, u float64
		want bool
	}{{0.01, 0.01, false}, {-0.01, 0.01, false}, {math.Nextafter(0.01, 1), 0.01, true}, {math.Nextafter(-0.01, -1), 0.01, true}, {0, 0, false}} {
		if got := verification.Significant(c.e, c.u); got != c.want {
			t.Errorf("%g against %g: %v", c.e, c.u, got)
		}
	}
}

func TestCorrectsRefuses(t *testing.T) {
	for i, c := range []struct {
		p      verification.Parameter
		old, e float64
		code   *fault.Code
	}{{verification.Multiplier, 0, 0.01, verification.OldValue}, {verification.Multiplier, 1, -1, verification.ErrorTotal},
		{verification.ZeroOnly, 1, 0.01, verification.ParameterUnknown}, {"colour", 1, 0.01, verification.ParameterUnknown}} {
		if _, err := c.p.Corrects(c.old, c.e); !fault.Has(err, c.code) {
			t.Errorf("%d: %v", i, err)
		}
	}
}
