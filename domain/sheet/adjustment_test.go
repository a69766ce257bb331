package sheet_test

import (
	"testing"
	"time"

	"rillmark/domain"
	"rillmark/domain/sheet"
)

// A correction says what was mistyped; the adjustment was made once, and when it was made.
func TestAdjustmentsInForce(t *testing.T) {
	at := time.Date(2026, 3, 2, 10, 0, 0, 0, time.UTC)
	row := func(n int, corrects int, text string) sheet.Adjustment {
		a := sheet.Adjustment{ID: made[domain.AdjustmentKind](byte(n)), Number: n, NewEntered: text, Stamp: sheet.Stamp{CapturedAt: at.Add(time.Duration(n) * time.Hour)}}
		if corrects > 0 {
			of := made[domain.AdjustmentKind](byte(corrects))
			a.Corrects = &of
		}
		return a
	}
	s := sheet.Sheet{Adjustments: []sheet.Adjustment{row(4, 3, "0.985"), row(1, 0, "9,85"), row(3, 1, "0,958"), row(2, 0, "12")}}
	held := s.AdjustmentsInForce()
	if len(held) != 2 || held[0].NewEntered != "0.985" || held[0].Number != 1 || !held[0].CapturedAt.Equal(at.Add(time.Hour)) || held[1].NewEntered != "12" {
		t.Errorf("%+v", held)
	}
	if s.Adjustments[0].Number != 4 || !s.Adjustments[0].CapturedAt.Equal(at.Add(4*time.Hour)) {
		t.Error("the rows themselves were changed")
	}
}
