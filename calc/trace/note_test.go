package trace_test

import (
	"math"
	"testing"

	"rillmark/calc/fault"
	"rillmark/calc/trace"
)

// Worked with a pocket calculator: the reference's logger is 12 s behind the clock, the
// meter's 75 s behind at the start and 78 s an hour later. So 63 s are to be added to the
// meter's stamps at the start and 66 s at the end.
func TestClockNote(t *testing.T) {
	start := trace.Moment{ReferenceClock: 1012, ReferenceShows: 1000, MeterClock: 1040, MeterShows: 965}
	end := trace.Moment{ReferenceClock: 4612, ReferenceShows: 4600, MeterClock: 4640, MeterShows: 4562}
	both, err := trace.Noted(start, &end, 1, 3600)
	if err != nil || !both.Found {
		t.Fatal(err)
	}
	for at, want := range map[float64]float64{1000: 63, 2800: 64.5, 4600: 66} {
		if got := both.At(at); math.Abs(got-want) > 1e-9 {
			t.Errorf("lag at %g: %g, want %g", at, got, want)
		}
	}
	if want := 4 / math.Sqrt(3); math.Abs(both.Uncertainty-want) > 1e-12 { // 2·√(4·1²/3)
		t.Errorf("uncertainty %g, want %g", both.Uncertainty, want)
	}
	one, err := trace.Noted(start, nil, 1, 3600)
	if want := 2 * math.Sqrt(4.0/3+0.18*0.18); err != nil || one.Lag != 63 || math.Abs(one.Uncertainty-want) > 1e-12 { // 50e-6·3600 s = 0.18 s
		t.Errorf("one moment: %+v, want ±%g, %v", one, want, err)
	}
	for name, err := range map[string]error{
		"no step":               second(trace.Noted(start, &end, 0, 1)),
		"end before start":      second(trace.Noted(end, &start, 1, 1)),
		"a time that is no one": second(trace.Noted(trace.Moment{ReferenceClock: math.NaN()}, nil, 1, 1)),
	} {
		if !fault.Has(err, trace.CodeBadNote) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func second(_ trace.Alignment, err error) error { return err }
