package capture

import (
	"context"
	"fmt"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/sheet"
	"rillmark/service/store"
)

// Row is what a command of a neighbouring room writes with: the transaction, and the stamp
// that says whose its rows are. A neighbour is a package below this one, whose rows belong
// to the same task and some of which become rows of the work sheet.
type Row struct {
	*store.Tx
	Stamp sheet.Stamp
	pen   *pen
	s     *Service
}

// Record is the frame of a neighbour's command: who may, the one transaction, whose task
// it is. With numbered the task is locked, as it must be where a run is written; without,
// others go on writing on the sheet meanwhile.
func (s *Service) Record(ctx context.Context, a access.Actor, action string, at At, request any, numbered bool,
	do func(context.Context, Row) (Written, error)) (Written, error) {
	put := func(ctx context.Context, p *pen) (Written, error) {
		return do(ctx, Row{Tx: p.Tx, Stamp: p.stamp(), pen: p, s: s})
	}
	lock := lockTask
	if !numbered {
		lock = findTask
	}
	return recordWith(ctx, s, a, action, at, request, lock, put)
}

// Wrote notes a new row in the trail.
func (r Row) Wrote(kind audit.Kind, id fmt.Stringer, row any) { r.pen.wrote(kind, id, row) }

// AddRun writes a run, with the next number, and its readings under the sheet's own rules:
// the phase is planned and the mounting is the task's. Readings have their own times; the
// run's is when.
func (r Row) AddRun(ctx context.Context, run sheet.Run, readings []sheet.Reading) (sheet.Run, error) {
	p := *r.pen
	p.captured = run.CapturedAt
	run, err := p.putRun(ctx, run)
	if err != nil {
		return run, err
	}
	for i, one := range readings {
		p.captured = one.CapturedAt
		one.ID, one.RunID, one.Number, one.Stamp = domain.NewID[domain.ReadingKind](r.s.ids), run.ID, i+1, p.stamp()
		if err := p.putReading(ctx, one); err != nil {
			return run, err
		}
	}
	return run, nil
}
