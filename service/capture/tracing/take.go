package tracing

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"time"

	"rillmark/calc/quantity"
	"rillmark/calc/trace"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/sheet"
	"rillmark/service/capture"
)

// mostReadings are the most that a stretch is told by as a run: what a result uses are
// ordinary rows. Of a longer stretch each reading is the mean of several.
const mostReadings = 120

// Take is the command to take a stretch as a run at a flow point, with the readings of both
// series as ordinary readings. Also are alignments of further indications with the same
// series of the reference: what they show stands beside in the same readings.
type Take struct {
	capture.At
	ID          domain.RunID         `json:"id" form:"id"`
	StretchID   domain.StretchID     `json:"stretch_id" form:"stretch_id"`
	AlignmentID domain.AlignmentID   `json:"alignment_id" form:"alignment_id"`
	Also        []domain.AlignmentID `json:"also,omitempty" form:"also"`
	From        time.Time            `json:"from" form:"from"`
	To          time.Time            `json:"to" form:"to"`
	Phase       string               `json:"phase" form:"phase"`
	MountingID  domain.MountingID    `json:"mounting_id" form:"mounting_id"`
	FlowPoint   string               `json:"flow_point" form:"flow_point"`
	Note        string               `json:"note" form:"note"`
}

// toldStretch is a stretch as the trail tells it.
type toldStretch struct {
	AlignmentID domain.AlignmentID // the trail tells it by the run, or the times
	RunID       *domain.RunID      `db:"run_id"`
	From        time.Time          `db:"from_at"`
	To          time.Time          `db:"to_at"`
	Reason      string             `db:"reason"`
	CapturedAt  time.Time          `db:"captured_at"`
}

// taking is a stretch that is about to become a run.
type taking struct {
	run      sheet.Run
	readings []sheet.Reading
	result   string
}

// Take takes a stretch as a run. The run's time is the stretch's beginning, a reading's its own,
// on the reference's clock: what was captured then is known then.
func (s *Service) Take(ctx context.Context, a access.Actor, c Take) (capture.Written, error) {
	const action = "stretch.take"
	if err := access.May(a, access.FillSheet); err != nil {
		return capture.Written{}, err
	}
	t, err := s.taking(ctx, c)
	if err != nil {
		return capture.Written{}, domain.Wrap(action, err)
	}
	return s.capture.Record(ctx, a, action, c.At, c, true, func(ctx context.Context, r capture.Row) (capture.Written, error) {
		run, err := r.AddRun(ctx, t.run, t.readings)
		if err != nil {
			return capture.Written{}, err
		}
		return capture.Written{ID: run.ID.String(), Number: run.Number},
			putStretch(ctx, r, c.StretchID, toldStretch{c.AlignmentID, &run.ID, c.From, c.To, "", r.Stamp.CapturedAt}, t.result)
	})
}

func (s *Service) taking(ctx context.Context, c Take) (t taking, err error) {
	var check domain.Check
	if !c.ID.Valid() {
		check.Add(domain.NotAnID.At("id"))
	}
	if !c.StretchID.Valid() {
		check.Add(domain.NotAnID.At("stretch_id"))
	}
	if !c.MountingID.Valid() {
		check.Add(domain.Required.At("mounting_id"))
	}
	t.run = sheet.Run{ID: c.ID, MountingID: c.MountingID, Phase: sheet.Phase(c.Phase), FlowPoint: whole(&check, "flow_point", c.FlowPoint),
		Note: domain.Line(c.Note)}
	if err := check.Err(); err != nil {
		return t, err
	}
	v, err := s.viewIn(ctx, c.AlignmentID, c.TaskID)
	if err != nil {
		return t, err
	}
	one, compared, err := v.over(c.From, c.To)
	if err != nil {
		return t, err
	}
	if t.readings, err = v.readings(compared); err != nil {
		return t, err
	}
	for _, id := range c.Also {
		if err := s.beside(ctx, &t, v, &compared, id); err != nil {
			return t, inField("also", err)
		}
	}
	t.run.Interval, t.run.Averaging = &compared.Sampling.Interval, &compared.Sampling.Averaging
	t.run.CapturedAt = one.From
	checked := t.run
	checked.Number, checked.By = 1, anybody
	if err := checked.Validate(); err != nil {
		return t, err
	}
	t.result, err = packStretch(one)
	return t, err
}

// viewIn is the view of an alignment of the task.
func (s *Service) viewIn(ctx context.Context, id domain.AlignmentID, task domain.TaskID) (view, error) {
	v, err := s.view(ctx, id)
	if err == nil && v.Alignment.TaskID != task {
		err = domain.Refuse(domain.NotFound, domain.NoSuchThing.At("alignment_id", "alignment"))
	}
	return v, err
}

// readings are the compared readings as rows: each as the text in its file's unit, and the
// value that this text says.
func (v view) readings(c trace.Compared) ([]sheet.Reading, error) {
	all := make([]sheet.Reading, len(c.Readings))
	for i, r := range c.Readings {
		var err error
		one := sheet.Reading{Stamp: sheet.Stamp{CapturedAt: v.at(r.Time)}}
		if one.Reference, one.ReferenceEntered, err = written(v.referenceChannel, r.Reference); err != nil {
			return nil, err
		}
		shown := sheet.Shown{IndicationID: *v.meterChannel.IndicationID}
		if shown.Value, shown.Entered, err = written(v.meterChannel, r.Indication); err != nil {
			return nil, err
		}
		one.Indications = []sheet.Shown{shown}
		all[i] = one
	}
	return all, nil
}

// beside adds what a further indication showed to the readings. What ties its readings
// together ties the run's, where it is longer.
func (s *Service) beside(ctx context.Context, t *taking, v view, c *trace.Compared, id domain.AlignmentID) error {
	other, err := s.viewIn(ctx, id, v.Alignment.TaskID)
	if err != nil {
		return err
	}
	if other.ReferenceID != v.ReferenceID {
		return domain.Refuse(domain.Invalid, OtherReference.At(""))
	}
	_, own, err := other.over(v.at(c.From), v.at(c.To))
	if err != nil {
		return err
	}
	c.Sampling.Averaging = math.Max(c.Sampling.Averaging, own.Sampling.Averaging)
	shift := other.seconds(v.at(0))
	times := make([]float64, len(c.Readings))
	for i, r := range c.Readings {
		times[i] = r.Time + shift
	}
	for i, flow := range trace.Beside(other.meter, other.Alignment.on(other.matched), times, c.Sampling.Interval) {
		if math.IsNaN(flow) {
			continue // this one wrote nothing then
		}
		shown := sheet.Shown{IndicationID: *other.meterChannel.IndicationID}
		if shown.Value, shown.Entered, err = written(other.meterChannel, flow); err != nil {
			return err
		}
		if _, twice := t.readings[i].Of(shown.IndicationID); twice {
			return domain.Refuse(domain.Invalid, sheet.IndicationTwice.At(""))
		}
		t.readings[i].Indications = append(t.readings[i].Indications, shown)
	}
	return nil
}

// written is a flow in the unit of the channel's file with two decimals more than that was
// written with, and what it says in m³/s.
func written(c Channel, flow float64) (si float64, entered string, err error) {
	unit, factor, decimals := c.Unit, c.Report.Factor, c.Report.Decimals+2
	if c.Counter {
		unit, factor, decimals = "m³/h", 1.0/3600, 5
	}
	entered = strconv.FormatFloat(flow/factor, 'f', min(decimals, 15), 64) + " " + unit
	entry, err := quantity.Parse(entered, quantity.KindFlow, quantity.Options{})
	return entry.SI, entered, err
}

// putStretch keeps what was decided on a stretch.
func putStretch(ctx context.Context, r capture.Row, id domain.StretchID, row toldStretch, result string) error {
	row.From, row.To = row.From.UTC().Truncate(time.Microsecond), row.To.UTC().Truncate(time.Microsecond)
	r.Wrote(audit.Kind("stretch"), id, row)
	return r.Run(ctx, `INSERT INTO stretch (id, client_id, task_id, alignment_id, run_id, from_at, to_at, result, reason, by, captured_at, received_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)`,
		id, r.Stamp.ClientID, r.Stamp.TaskID, row.AlignmentID, row.RunID, row.From, row.To, result, row.Reason,
		r.Stamp.By, r.Stamp.CapturedAt, r.Stamp.ReceivedAt)
}

func packStretch(s Stretch) (string, error) {
	text, err := json.Marshal(s)
	if err != nil {
		return "", fmt.Errorf("stretch: %w", err)
	}
	return string(text), nil
}

func unpackStretch(text string) (s Stretch, err error) {
	if text != "" {
		err = json.Unmarshal([]byte(text), &s)
	}
	return s, err
}
