package sheet_test

import (
	"math"
	"testing"
	"time"

	"github.com/google/uuid"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/sheet"
)

// TestRunSaysHowItWasSampled: interval and averaging come together, and are times.
func TestRunSaysHowItWasSampled(t *testing.T) {
	id := uuid.MustParse("0190aaaa-0000-7000-8000-000000000001")
	number := func(x float64) *float64 { return &x }
	for name, c := range map[string]struct {
		interval, averaging *float64
		code                *fault.Code
	}{
		"as planned":                 {nil, nil, nil},
		"its own":                    {number(5), number(0), nil},
		"an interval alone":          {number(5), nil, domain.Required},
		"an averaging alone":         {nil, number(5), domain.Required},
		"no time between readings":   {number(0), number(5), sheet.NotPositive},
		"averaged over less than no": {number(5), number(-1), sheet.Negative},
		"an interval that is none":   {number(math.NaN()), number(5), sheet.NotFinite},
	} {
		run := sheet.Run{ID: domain.RunID{UUID: id}, MountingID: domain.MountingID{UUID: id}, Phase: sheet.Before, Number: 1, FlowPoint: 1,
			Interval: c.interval, Averaging: c.averaging, Stamp: sheet.Stamp{By: domain.PersonID{UUID: id}, CapturedAt: time.Unix(1, 0)}}
		if err := run.Validate(); (err != nil) != (c.code != nil) || c.code != nil && !fault.Has(err, c.code) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
