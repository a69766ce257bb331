package capture_test

import (
	"testing"
	"time"

	"rillmark/domain"
	"rillmark/domain/sheet"
	"rillmark/service/capture"
	"rillmark/service/store/storetest"
)

// TestWhereAStretchBelongs: by its time before or after the adjustment and to the mounting
// then in place, by its flow to the nearest flow point; anything else is asked about.
func TestWhereAStretchBelongs(t *testing.T) {
	at := time.Date(2026, 11, 20, 9, 0, 0, 0, time.UTC)
	stamp := func(minutes int) sheet.Stamp {
		return sheet.Stamp{CapturedAt: at.Add(time.Duration(minutes) * time.Minute)}
	}
	first, second, run := domain.NewID[domain.MountingKind](storetest.IDs()), domain.NewID[domain.MountingKind](storetest.IDs()), domain.NewID[domain.RunKind](storetest.IDs())
	var w capture.Work
	w.Facts.Sheet.Mountings = []sheet.Mounting{{ID: first, Number: 1, Stamp: stamp(0)}, {ID: second, Number: 2, Stamp: stamp(60)}}
	w.Facts.Sheet.Adjustments = []sheet.Adjustment{{Stamp: stamp(50)}}
	w.Facts.Sheet.Runs = []sheet.Run{{ID: run, MountingID: first, Phase: sheet.Before, Number: 1, FlowPoint: 2, Stamp: stamp(20)}}
	w.Facts.Sheet.Readings = []sheet.Reading{{ID: domain.NewID[domain.ReadingKind](storetest.IDs()), RunID: run, Number: 1, Reference: 0.02, Stamp: stamp(20)}}

	for _, tt := range []struct {
		minutes  int
		phase    sheet.Phase
		mounting domain.MountingID
		flow     float64
		point    int
	}{
		{-5, sheet.Before, first, 0.0201, 2}, {30, sheet.Before, first, 0.0228, 2}, {30, sheet.Before, first, 0.015, 0}, {70, sheet.After, second, 0.0201, 0},
	} {
		from := at.Add(time.Duration(tt.minutes) * time.Minute)
		phase, _ := w.PhaseAt(from)
		m, _ := w.MountingAt(from)
		point, _ := w.FlowPointOf(tt.phase, tt.flow)
		if phase != tt.phase || m.ID != tt.mounting || point != tt.point {
			t.Errorf("at %d min: phase %q, mounting %d, flow point %d", tt.minutes, phase, m.Number, point)
		}
	}
	for _, tt := range []struct {
		minutes  int
		phase    sheet.Phase
		mounting domain.MountingID
		flow     float64
		want     string
	}{
		{30, sheet.Before, first, 0.0201, ""}, {30, sheet.After, first, 0.0201, "capture.ask-after-adjustment"}, {70, sheet.Before, second, 0.0201, "capture.ask-before-adjustment"},
		{30, sheet.Before, second, 0.0201, "capture.ask-not-yet-mounted"}, {30, sheet.Before, first, 0.0264, "capture.ask-far-from-point"},
	} {
		asked := w.QuestionStretch(capture.StretchRun{Phase: tt.phase, MountingID: tt.mounting, FlowPoint: "2", From: at.Add(time.Duration(tt.minutes) * time.Minute), Reference: tt.flow})
		name := ""
		for _, f := range asked {
			name += f.Code.Name()
			if !capture.Asks(f.Code) {
				t.Errorf("%s is no question", f.Code.Name())
			}
		}
		if name != tt.want {
			t.Errorf("at %d min in %q with %v m³/s: asked %q, want %q", tt.minutes, tt.phase, tt.flow, name, tt.want)
		}
	}
}
