package capture

import (
	"math"
	"slices"
	"strconv"
	"time"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/sheet"
)

// samePoint is by how much the flow of a run may differ from that of its flow point's other
// runs; common practice, without a source.
const samePoint = 0.15

// StretchRun is a stretch of loggers' files that is about to become a run.
type StretchRun struct {
	Phase      sheet.Phase
	MountingID domain.MountingID
	FlowPoint  string
	From, To   time.Time // on the reference's clock
	Reference  float64   // m³/s
}

// PhaseAt is the phase to which a time belongs by the adjustments on file; false where
// there is none to tell by.
func (w *Work) PhaseAt(t time.Time) (sheet.Phase, bool) {
	all := w.Facts.Sheet.Adjustments
	if len(all) == 0 {
		return sheet.Before, false
	}
	first := slices.MinFunc(all, func(a, b sheet.Adjustment) int { return a.CapturedAt.Compare(b.CapturedAt) }).CapturedAt
	if t.Before(first) {
		return sheet.Before, true
	}
	return sheet.After, true
}

// MountingAt is the mounting that was in force at a time: the last one set by then, the first
// one where none was.
func (w *Work) MountingAt(t time.Time) (m sheet.Mounting, there bool) {
	for _, one := range w.Facts.Sheet.Mountings {
		if !there || !one.CapturedAt.After(t) {
			m, there = one, true
		}
	}
	return m, there
}

// FlowPointOf is the flow point whose used runs lie nearest to a flow, none where they are all
// further away than runs of one point are.
func (w *Work) FlowPointOf(phase sheet.Phase, flow float64) (point int, there bool) {
	nearest := samePoint
	for n, mean := range w.pointMeans(phase) {
		if apart := math.Abs(flow/mean - 1); apart <= nearest {
			nearest, point, there = apart, n, true
		}
	}
	return point, there
}

// pointMeans are the mean flows of the used runs at each flow point.
func (w *Work) pointMeans(phase sheet.Phase) map[int]float64 {
	sums, counts := map[int]float64{}, map[int]float64{}
	for _, run := range w.Facts.Sheet.Taken(phase) {
		if !run.Used {
			continue
		}
		for _, r := range run.UsedReadings() {
			sums[run.FlowPoint] += r.Reference
			counts[run.FlowPoint]++
		}
	}
	means := map[int]float64{}
	for n, sum := range sums {
		if mean := sum / counts[n]; mean > 0 {
			means[n] = mean
		}
	}
	return means
}

// QuestionStretch asks about a stretch that belongs, by its time or its flow, elsewhere than
// where it is put.
func (w *Work) QuestionStretch(s StretchRun) (l fault.List) {
	if phase, known := w.PhaseAt(s.From); known && phase != s.Phase {
		code := AskAfter
		if s.Phase == sheet.Before {
			code = AskBefore
		}
		l = append(l, code.At("phase"))
	}
	for _, m := range w.Facts.Sheet.Mountings {
		if m.ID == s.MountingID && s.From.Before(m.CapturedAt) {
			l = append(l, AskUnmounted.At("mounting_id", m.Number))
		}
	}
	point, err := strconv.Atoi(domain.Line(s.FlowPoint))
	if mean := w.pointMeans(s.Phase)[point]; err == nil && mean > 0 {
		if apart := math.Abs(s.Reference/mean - 1); apart > samePoint {
			l = append(l, AskFar.At("flow_point", tenth(apart*100), point))
		}
	}
	return l
}
