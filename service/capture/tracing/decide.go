package tracing

import (
	"context"
	"encoding/json"
	"fmt"
	"time"

	"rillmark/calc/trace"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/evaluation"
	"rillmark/service/capture"
)

// Decide is the command to decide how the clocks of two series are aligned: as the signals
// tell, by a clock note, or by a lag that a person set by hand, with a reason. Typed numbers
// are seconds.
type Decide struct {
	capture.At
	ID domain.AlignmentID `json:"id" form:"id"`
	Pair
	How         string    `json:"how" form:"how"`
	Lag         string    `json:"lag" form:"lag"`                 // of ByHand
	Uncertainty string    `json:"uncertainty" form:"uncertainty"` // of ByHand: expanded, about 95 %
	Note        ClockNote `json:"note"`                           // of ByNote
	Reason      string    `json:"reason" form:"reason"`
}

// decision is an alignment ready to be written.
type decision struct {
	Pair
	signals, used trace.Alignment
	signalsReason string
	files         [2]string // of reference and meter, by name
	middle        *time.Time
	note          string
	reason        string
}

// toldAlignment is an alignment as the trail tells it.
type toldAlignment struct {
	Reference    string    `db:"reference_file"`
	Meter        string    `db:"meter_file"`
	How          string    `db:"how"`
	Found        bool      `db:"found"`
	Lag          *float64  `db:"lag_s"`
	Uncertainty  *float64  `db:"uncertainty_s"`
	SignalsFound bool      `db:"signals_found"`
	SignalsLag   *float64  `db:"signals_lag_s"`
	Reason       string    `db:"reason"`
	CapturedAt   time.Time `db:"captured_at"`
}

// Decide keeps an alignment, with what the signals said of it.
func (s *Service) Decide(ctx context.Context, a access.Actor, c Decide) (capture.Written, error) {
	const action = "alignment.decide"
	if err := access.May(a, access.FillSheet); err != nil {
		return capture.Written{}, err
	}
	d, err := s.decision(ctx, c)
	if err != nil {
		return capture.Written{}, domain.Wrap(action, err)
	}
	return s.capture.Record(ctx, a, action, c.At, c, false, func(ctx context.Context, r capture.Row) (capture.Written, error) {
		return capture.Written{ID: c.ID.String()}, d.put(ctx, r, c)
	})
}

func (s *Service) decision(ctx context.Context, c Decide) (decision, error) {
	var check domain.Check
	if !c.ID.Valid() {
		check.Add(domain.NotAnID.At("id"))
	}
	how := How(c.How)
	if how != BySignals && how != ByNote && how != ByHand {
		check.Add(UnknownHow.At("how"))
	}
	d := decision{reason: domain.Lines(c.Reason)}
	check.Lines("reason", d.reason, 1000, how == ByHand)
	var byHand trace.Alignment
	if how == ByHand {
		byHand = trace.Alignment{Found: true, Lag: secondsIn(&check, "lag", c.Lag), Uncertainty: secondsIn(&check, "uncertainty", c.Uncertainty)}
		if byHand.Uncertainty < 0 {
			check.Add(NotASecond.At("uncertainty", clipped(c.Uncertainty)))
		}
	}
	if err := check.Err(); err != nil {
		return d, err
	}
	m, err := s.match(ctx, c.Pair)
	if err != nil {
		return d, err
	}
	if m.referenceChannel.TaskID != c.TaskID {
		return d, domain.Refuse(domain.NotFound, domain.NoSuchThing.At("reference_id", "series"))
	}
	d.Pair, d.files = m.Pair, [2]string{m.referenceChannel.File, m.meterChannel.File}
	if d.signals, err = trace.Align(m.reference, m.meter, m.Search); err != nil {
		return d, err
	}
	switch how {
	case BySignals:
		d.used = d.signals
	case ByHand:
		d.used = byHand
		d.used.Drift = d.signals.Drift
		d.used.Middle = m.seconds(m.From.Add(m.To.Sub(m.From) / 2))
		if d.signals.Found {
			d.used.Middle = d.signals.Middle
		}
	case ByNote:
		if d.used, err = s.noted(ctx, c.Note, m); err != nil {
			return d, err
		}
		text, err := json.Marshal(c.Note)
		if err != nil {
			return d, fmt.Errorf("clock note: %w", err)
		}
		d.note = string(text)
	}
	return d, d.tell(m)
}

// tell puts what trace says into what is kept.
func (d *decision) tell(m matched) error {
	if d.used.Found {
		middle := m.at(d.used.Middle)
		d.middle = &middle
	}
	if d.signals.Found {
		return nil
	}
	text, err := json.Marshal(evaluation.Finding{Fault: d.signals.Reason})
	d.signalsReason = string(text)
	return err
}

// where returns the number where there is one.
func where(there bool, x float64) *float64 {
	if !there {
		return nil
	}
	return &x
}

func (d decision) put(ctx context.Context, r capture.Row, c Decide) error {
	found := d.used.Found
	row := toldAlignment{d.files[0], d.files[1], c.How, found, where(found, d.used.Lag), where(found, d.used.Uncertainty),
		d.signals.Found, where(d.signals.Found, d.signals.Lag), d.reason, r.Stamp.CapturedAt}
	r.Wrote(audit.Kind("alignment"), c.ID, row)
	return r.Run(ctx, `INSERT INTO alignment (id, client_id, task_id, reference_id, meter_id, from_at, to_at, reference_averaging, reference_averaging_s,
			meter_averaging, meter_averaging_s, search_s, signals_found, signals_lag_s, signals_uncertainty_s, signals_reason, how, found,
			lag_s, uncertainty_s, drift, middle_at, note, reason, by, captured_at, received_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20, $21, $22, $23, $24, $25, $26, $27)`,
		c.ID, r.Stamp.ClientID, r.Stamp.TaskID, d.ReferenceID, d.MeterID, d.From, d.To, d.ReferenceAveraging.Kind, d.ReferenceAveraging.Seconds,
		d.MeterAveraging.Kind, d.MeterAveraging.Seconds, d.Search, d.signals.Found, row.SignalsLag, where(d.signals.Found, d.signals.Uncertainty),
		d.signalsReason, c.How, found, row.Lag, row.Uncertainty, where(found, d.used.Drift), d.middle, d.note, d.reason,
		r.Stamp.By, r.Stamp.CapturedAt, r.Stamp.ReceivedAt)
}
