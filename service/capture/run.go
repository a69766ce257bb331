package capture

import (
	"context"
	"fmt"
	"strings"

	"rillmark/calc/quantity"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/sheet"
	"rillmark/service/store"
)

// Shown are the readings of a run as typed: for each the reference, and what each
// indication showed, reading by reading in the order of Indications. A line that is empty
// throughout is no reading.
type Shown struct {
	Indications []string `json:"indications" form:"indications"` // ids, in the order of Values
	References  []string `json:"references" form:"references"`
	Values      []string `json:"values" form:"values"`
}

// AddRun is the command to add a run, with the readings there are: at least one.
type AddRun struct {
	At
	ID         domain.RunID      `json:"id" form:"id"`
	Phase      string            `json:"phase" form:"phase"`
	MountingID domain.MountingID `json:"mounting_id" form:"mounting_id"`
	FlowPoint  string            `json:"flow_point" form:"flow_point"`
	Note       string            `json:"note" form:"note"`
	Shown
}

// AddReadings is the command to add readings to a run, or to correct one of them: then
// Corrects names it and there is exactly one.
type AddReadings struct {
	At
	RunID    domain.RunID     `json:"run_id" form:"run_id"`
	Corrects domain.ReadingID `json:"corrects" form:"corrects"`
	Reason   string           `json:"reason" form:"reason"`
	Shown
}

// lines reads the readings that were typed. Fields of faults are "references.2" and
// "values.2.1", counted from 0.
func (t Shown) lines(w *Work, r *reader) []sheet.Reading {
	if len(t.Values) != len(t.References)*len(t.Indications) {
		r.Add(ListsDiffer.At("", len(t.References), len(t.Values)))
		return nil
	}
	var readings []sheet.Reading
	for i, text := range t.References {
		shown := t.Values[i*len(t.Indications) : (i+1)*len(t.Indications)]
		if domain.Line(text+strings.Join(shown, "")) == "" {
			continue
		}
		var one sheet.Reading
		one.Reference, one.ReferenceEntered = r.quantity(fmt.Sprintf("references.%d", i), text, quantity.KindFlow, w.FlowUnit())
		for j, value := range shown {
			if domain.Line(value) == "" {
				continue // this indication was not read
			}
			field := fmt.Sprintf("values.%d.%d", i, j)
			indication, there := w.Indication(t.Indications[j])
			if !there {
				r.Add(domain.NoSuchThing.At(field, "indication"))
				continue
			}
			flow, entered, err := indication.Read(value)
			r.take(field, err)
			one.Indications = append(one.Indications, sheet.Shown{IndicationID: indication.ID, Value: flow, Entered: entered})
		}
		if len(one.Indications) == 0 {
			r.Add(NothingShown.At(fmt.Sprintf("values.%d.0", i)))
		}
		readings = append(readings, one)
	}
	return readings
}

// AddRun adds a run with its readings.
func (s *Service) AddRun(ctx context.Context, a access.Actor, c AddRun) (Written, error) {
	type rows struct {
		run      sheet.Run
		readings []sheet.Reading
	}
	return preparing(ctx, s, a, "run.add", c.At, c, func(w *Work) (rows, error) {
		var r reader
		run := sheet.Run{ID: c.ID, MountingID: c.MountingID, Phase: sheet.Phase(c.Phase), Number: 1, Note: domain.Line(c.Note)}
		run.FlowPoint = r.count("flow_point", c.FlowPoint)
		if !run.ID.Valid() {
			r.Add(domain.NotAnID.At("id"))
		}
		readings := c.lines(w, &r)
		if len(r.Faults) == 0 && len(readings) == 0 {
			r.Add(NoReading.At("references.0")) // a stray tap makes no run that cannot be taken away
		}
		if err := r.Err(); err != nil {
			return rows{}, err
		}
		checked := run
		checked.Stamp = standIn
		return rows{run, readings}, checked.Validate()
	}, func(p *pen, ctx context.Context, rows rows) (Written, error) {
		run, err := p.putRun(ctx, rows.run)
		if err != nil {
			return Written{}, err
		}
		return Written{run.ID.String(), run.Number}, s.putReadings(ctx, p, run.ID, rows.readings)
	})
}

func (p *pen) putRun(ctx context.Context, run sheet.Run) (sheet.Run, error) {
	if err := p.inTask(ctx, run.MountingID); err != nil {
		return run, err
	}
	planned, err := p.planned(ctx, run.Phase)
	if err != nil {
		return run, err
	}
	switch {
	case planned == 0:
		return run, domain.Refuse(domain.Invalid, NoPlan.At("", string(run.Phase)))
	case run.FlowPoint > planned:
		return run, domain.Refuse(domain.Invalid, FlowPointBeyond.At("flow_point", run.FlowPoint, planned))
	}
	if run.Number, err = p.next(ctx, "SELECT coalesce(max(number), 0) FROM run WHERE task_id = $1 AND phase = $2", p.task.ID, run.Phase); err != nil {
		return run, err
	}
	run.Stamp = p.stamp()
	p.wrote("run", run.ID, run)
	return run, p.Run(ctx, `INSERT INTO run (id, client_id, task_id, mounting_id, phase, number, flow_point, note,
			interval_s, averaging_s, by, captured_at, received_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13)`,
		run.ID, run.ClientID, run.TaskID, run.MountingID, run.Phase, run.Number, run.FlowPoint, run.Note,
		run.Interval, run.Averaging, run.By, run.CapturedAt, run.ReceivedAt)
}

// AddReadings adds readings to a run, or corrects one.
func (s *Service) AddReadings(ctx context.Context, a access.Actor, c AddReadings) (Written, error) {
	return preparing(ctx, s, a, "reading.add", c.At, c, func(w *Work) ([]sheet.Reading, error) {
		var r reader
		readings := c.lines(w, &r)
		reason := domain.Lines(c.Reason)
		r.Lines("reason", reason, 1000, c.Corrects.Valid())
		if len(r.Faults) == 0 && (len(readings) == 0 || c.Corrects.Valid() && len(readings) > 1) {
			r.Add(NoReading.At("references.0"))
		}
		if c.Corrects.Valid() && len(readings) > 0 {
			readings[0].Corrects, readings[0].Reason = orNil(c.Corrects), reason
		}
		return readings, r.Err()
	}, func(p *pen, ctx context.Context, readings []sheet.Reading) (Written, error) {
		run, err := store.Scalars[int](ctx, p, "SELECT number FROM run WHERE id = $1 AND task_id = $2", c.RunID, p.task.ID)
		if err != nil {
			return Written{}, err
		}
		if len(run) == 0 {
			return Written{}, domain.Refuse(domain.NotFound, domain.NoSuchThing.At("run_id", "run"))
		}
		return Written{ID: c.RunID.String(), Number: run[0]}, s.putReadings(ctx, p, c.RunID, readings)
	})
}

func (s *Service) putReadings(ctx context.Context, p *pen, run domain.RunID, readings []sheet.Reading) error {
	next, err := p.next(ctx, "SELECT coalesce(max(number), 0) FROM reading WHERE run_id = $1", run)
	if err != nil {
		return err
	}
	for _, r := range readings {
		r.ID, r.RunID, r.Stamp = domain.NewID[domain.ReadingKind](s.ids), run, p.stamp()
		if r.Corrects == nil {
			r.Number, next = next, next+1
		} else if r.Number, err = p.correctedNumber(ctx, run, *r.Corrects); err != nil {
			return err
		}
		if err := p.putReading(ctx, r); err != nil {
			return err
		}
	}
	return nil
}

// correctedNumber is the number of the reading that is corrected: the new row takes it over.
func (p *pen) correctedNumber(ctx context.Context, run domain.RunID, id domain.ReadingID) (int, error) {
	if err := p.correctable(ctx, "reading", id.UUID); err != nil {
		return 0, err
	}
	number, err := store.Scalars[int](ctx, p, "SELECT number FROM reading WHERE id = $1 AND run_id = $2", id, run)
	if err == nil && len(number) == 0 {
		return 0, domain.Refuse(domain.NotFound, domain.NoSuchThing.At("corrects", "reading"))
	}
	if err != nil {
		return 0, err
	}
	return number[0], nil
}

// toldReading is a reading as the trail tells it, with what the indications showed.
type toldReading struct {
	sheet.Reading
	Shown string `db:"shown"`
}

func (p *pen) putReading(ctx context.Context, r sheet.Reading) error {
	var shown []string
	for _, x := range r.Indications {
		shown = append(shown, x.Entered)
	}
	p.wrote("reading", r.ID, toldReading{r, strings.Join(shown, "; ")})
	if err := p.Run(ctx, `INSERT INTO reading (id, client_id, task_id, run_id, number, reference, reference_entered, corrects, reason,
			by, captured_at, received_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)`,
		r.ID, r.ClientID, r.TaskID, r.RunID, r.Number, r.Reference, r.ReferenceEntered, r.Corrects, r.Reason,
		r.By, r.CapturedAt, r.ReceivedAt); err != nil {
		return err
	}
	for _, x := range r.Indications {
		if err := p.Run(ctx, `INSERT INTO reading_indication (reading_id, client_id, task_id, indication_id, value, entered)
			VALUES ($1, $2, $3, $4, $5, $6)`, r.ID, r.ClientID, r.TaskID, x.IndicationID, x.Value, x.Entered); err != nil {
			return err
		}
	}
	return nil
}

// take adds the faults of an error to a field.
func (r *reader) take(field string, err error) {
	for _, f := range faultsIn(err, field) {
		r.Add(f)
	}
}
