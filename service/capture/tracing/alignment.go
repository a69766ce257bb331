package tracing

import (
	"context"
	"encoding/json"
	"time"

	"rillmark/calc/fault"
	"rillmark/calc/trace"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/evaluation"
	"rillmark/service/logfile"
	"rillmark/service/store"
)

// How says what decided on an alignment. The zero value is nothing.
type How string

// The ways of deciding.
const (
	BySignals How = "signals"    // what the signals tell, be it that they tell no lag
	ByNote    How = "clock-note" // both loggers read against one clock
	ByHand    How = "nudged"     // a person put the traces over each other
)

// Signals is what the signals of both series said when an alignment was decided.
type Signals struct {
	Found       bool
	Lag         *float64    // s; without Found the best that was seen, if any
	Uncertainty *float64    // s, expanded, about 95 %; nil without Found
	Reason      fault.Fault // why no lag was found; without a code where one was
}

// Alignment is what is to be added to the stamps of the meter's series to put them on the
// reference's clock, as it was decided.
type Alignment struct {
	ID                                 domain.AlignmentID
	TaskID                             domain.TaskID
	ReferenceID, MeterID               domain.SeriesID
	From, To                           time.Time // of the reference's series, what was compared
	ReferenceAveraging, MeterAveraging logfile.Averaging
	Search                             float64 // s
	Signals                            Signals
	How                                How
	Found                              bool
	Lag, Uncertainty, Drift            float64    // s, s expanded, s/s; 0 without Found
	Middle                             time.Time  // at which Lag is; zero without Found
	Note                               *ClockNote // of ByNote
	Reason                             string     // what the person said
	By                                 domain.PersonID
	CapturedAt, ReceivedAt             time.Time
}

type alignmentRow struct {
	ID                  domain.AlignmentID `db:"id"`
	TaskID              domain.TaskID      `db:"task_id"`
	ReferenceID         domain.SeriesID    `db:"reference_id"`
	MeterID             domain.SeriesID    `db:"meter_id"`
	From                time.Time          `db:"from_at"`
	To                  time.Time          `db:"to_at"`
	ReferenceAveraging  string             `db:"reference_averaging"`
	ReferenceAveragingS float64            `db:"reference_averaging_s"`
	MeterAveraging      string             `db:"meter_averaging"`
	MeterAveragingS     float64            `db:"meter_averaging_s"`
	Search              float64            `db:"search_s"`
	SignalsFound        bool               `db:"signals_found"`
	SignalsLag          *float64           `db:"signals_lag_s"`
	SignalsUncertainty  *float64           `db:"signals_uncertainty_s"`
	SignalsReason       string             `db:"signals_reason"`
	How                 How                `db:"how"`
	Found               bool               `db:"found"`
	Lag                 *float64           `db:"lag_s"`
	Uncertainty         *float64           `db:"uncertainty_s"`
	Drift               *float64           `db:"drift"`
	Middle              *time.Time         `db:"middle_at"`
	Note                string             `db:"note"`
	Reason              string             `db:"reason"`
	By                  domain.PersonID    `db:"by"`
	CapturedAt          time.Time          `db:"captured_at"`
	ReceivedAt          time.Time          `db:"received_at"`
}

const alignmentColumns = `SELECT id, task_id, reference_id, meter_id, from_at, to_at, reference_averaging, reference_averaging_s, meter_averaging, meter_averaging_s,
	search_s, signals_found, signals_lag_s, signals_uncertainty_s, signals_reason, how, found, lag_s, uncertainty_s, drift, middle_at, note, reason,
	by, captured_at, received_at FROM alignment`

func (r alignmentRow) alignment() (Alignment, error) {
	a := Alignment{ID: r.ID, TaskID: r.TaskID, ReferenceID: r.ReferenceID, MeterID: r.MeterID, From: r.From.UTC(), To: r.To.UTC(),
		ReferenceAveraging: logfile.Averaging{Kind: r.ReferenceAveraging, Seconds: r.ReferenceAveragingS},
		MeterAveraging:     logfile.Averaging{Kind: r.MeterAveraging, Seconds: r.MeterAveragingS}, Search: r.Search,
		Signals: Signals{Found: r.SignalsFound, Lag: r.SignalsLag, Uncertainty: r.SignalsUncertainty},
		How:     r.How, Found: r.Found, Reason: r.Reason, By: r.By, CapturedAt: r.CapturedAt.UTC(), ReceivedAt: r.ReceivedAt.UTC()}
	if r.Found {
		a.Lag, a.Uncertainty, a.Drift, a.Middle = *r.Lag, *r.Uncertainty, *r.Drift, r.Middle.UTC()
	}
	if r.SignalsReason != "" {
		var f evaluation.Finding
		if err := json.Unmarshal([]byte(r.SignalsReason), &f); err != nil {
			return a, err
		}
		a.Signals.Reason = f.Fault
	}
	if r.Note != "" {
		a.Note = &ClockNote{}
		return a, json.Unmarshal([]byte(r.Note), a.Note)
	}
	return a, nil
}

// Alignments are those of a task, newest first; the newest of two series holds.
func (s *Service) Alignments(ctx context.Context, a access.Actor, task domain.TaskID) ([]Alignment, error) {
	if err := see(a); err != nil {
		return nil, err
	}
	rows, err := store.Rows[alignmentRow](ctx, s.store, alignmentColumns+" WHERE task_id = $1 ORDER BY received_at DESC, id DESC", task)
	if err != nil {
		return nil, domain.Wrap("alignments", err)
	}
	all := make([]Alignment, len(rows))
	for i, r := range rows {
		if all[i], err = r.alignment(); err != nil {
			return nil, domain.Wrap("alignments", err)
		}
	}
	return all, nil
}

// AlignmentOf is one alignment.
func (s *Service) AlignmentOf(ctx context.Context, a access.Actor, id domain.AlignmentID) (Alignment, error) {
	if err := see(a); err != nil {
		return Alignment{}, err
	}
	one, err := s.alignment(ctx, id)
	return one, domain.Wrap("alignment", err)
}

func (s *Service) alignment(ctx context.Context, id domain.AlignmentID) (Alignment, error) {
	r, err := store.Row[alignmentRow](ctx, s.store, "alignment", alignmentColumns+" WHERE id = $1", id)
	if err != nil {
		return Alignment{}, err
	}
	return r.alignment()
}

// pair is what the alignment compared.
func (a Alignment) pair() Pair {
	return Pair{ReferenceID: a.ReferenceID, MeterID: a.MeterID, ReferenceAveraging: &a.ReferenceAveraging, MeterAveraging: &a.MeterAveraging,
		From: a.From, To: a.To, Search: a.Search}
}

// on is the alignment as package trace takes it, in the seconds of a comparison.
func (a Alignment) on(m matched) trace.Alignment {
	if !a.Found {
		return trace.Alignment{Reason: a.Signals.Reason}
	}
	return trace.Alignment{Found: true, Lag: a.Lag, Uncertainty: a.Uncertainty, Drift: a.Drift, Middle: m.seconds(a.Middle)}
}
