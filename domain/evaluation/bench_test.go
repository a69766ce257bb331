package evaluation_test

import (
	"testing"

	"github.com/google/uuid"

	"rillmark/domain"
	"rillmark/domain/evaluation"
	"rillmark/domain/sheet"
)

// many makes ten flow points of five runs with thirty readings of the worked example's
// first nine runs.
func many(t testing.TB) evaluation.Facts {
	f := facts(t)
	base := f.Sheet
	f.Sheet.Runs, f.Sheet.Readings = nil, nil
	n := 0
	id := func() uuid.UUID {
		n++
		u := f.Task.ID.UUID
		u[14], u[15], u[8] = byte(n>>8), byte(n), 0x8f
		return u
	}
	f.Sheet.Plans[0].FlowPoints, f.Sheet.Plans[0].Runs = 10, 5
	for point := range 10 {
		for run := range 5 {
			r := base.Runs[(point+run)%9]
			r.ID, r.Phase, r.FlowPoint, r.Number = domain.RunID{UUID: id()}, sheet.Before, point+1, point*5+run+1
			f.Sheet.Runs = append(f.Sheet.Runs, r)
			for i := range 30 {
				reading := base.Readings[(point%9)*5+i%5]
				reading.ID, reading.RunID, reading.Number = domain.ReadingID{UUID: id()}, r.ID, i+1
				f.Sheet.Readings = append(f.Sheet.Readings, reading)
			}
		}
	}
	return f
}

func BenchmarkEvaluate(b *testing.B) { benchmark(b, evaluation.Evaluate) }
func BenchmarkConclude(b *testing.B) { benchmark(b, evaluation.Conclude) }

func benchmark(b *testing.B, of func(evaluation.Facts) (evaluation.Result, error)) {
	f := many(b)
	b.ReportAllocs()
	for b.Loop() {
		if r, err := of(f); err != nil || len(r.Phases[0].Indications[0].Points) != 10 {
			b.Fatal(err, len(r.Phases[0].Indications[0].Points))
		}
	}
}
