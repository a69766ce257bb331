package tracing

import (
	"context"
	"time"

	"rillmark/calc/fault"
	"rillmark/calc/trace"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/sheet"
	"rillmark/service/store"
)

// Stretch is what two aligned series say of each other over a time of the reference's
// clock.
type Stretch struct {
	From       time.Time `json:"from"`
	To         time.Time `json:"to"`
	Seconds    float64   `json:"seconds"`
	Reference  float64   `json:"reference_m3_s"`
	Indication float64   `json:"indication_m3_s"`
	Error      float64   `json:"error"`              // ratio
	TypeA      *float64  `json:"type_a,omitempty"`   // standard, ratio; nil: not estimable
	Expanded   *float64  `json:"expanded,omitempty"` // about 95 %, ratio: type A, or the resolution where that is larger
	Pooled     bool      `json:"pooled,omitempty"`   // the type A is that of the other stretches
	EffectiveN float64   `json:"effective_n"`
	Readings   int       `json:"readings"` // pairs, at the interval of the slower channel

	Warnings fault.List `json:"-"`
}

func (m matched) tell(s trace.Stretch) Stretch {
	t := Stretch{From: m.at(s.From), To: m.at(s.To), Seconds: s.To - s.From, Reference: s.ReferenceMean, Indication: s.IndicationMean,
		Error: s.Error, Pooled: s.Pooled, EffectiveN: s.EffectiveN, Readings: s.Readings}
	if s.Estimable {
		t.TypeA, t.Expanded = &s.TypeA, &s.Expanded
	}
	return t
}

// Steady is the steady stretches of an alignment, and what was decided on them so far.
type Steady struct {
	Alignment Alignment
	Proposed  []Stretch
	Decided   []Piece // of the task, by time; also those of other alignments
}

// Stretches proposes the steady stretches that both series of an alignment show.
func (s *Service) Stretches(ctx context.Context, a access.Actor, id domain.AlignmentID) (Steady, error) {
	if err := see(a); err != nil {
		return Steady{}, err
	}
	v, err := s.view(ctx, id)
	if err != nil {
		return Steady{}, domain.Wrap("stretches", err)
	}
	found, err := trace.Stretches(v.reference, v.meter, v.Alignment.on(v.matched), trace.SteadyOptions{Search: v.Search})
	steady := Steady{Alignment: v.Alignment, Decided: v.decided}
	for _, f := range found {
		one := v.tell(f)
		one.Warnings = v.warnings(one)
		steady.Proposed = append(steady.Proposed, one)
	}
	return steady, domain.Wrap("stretches", err)
}

// Over tells of any time of the reference's clock what Stretches tells of those it found.
func (s *Service) Over(ctx context.Context, a access.Actor, id domain.AlignmentID, from, to time.Time) (Stretch, error) {
	if err := see(a); err != nil {
		return Stretch{}, err
	}
	v, err := s.view(ctx, id)
	if err != nil {
		return Stretch{}, domain.Wrap("stretch", err)
	}
	one, _, err := v.over(from, to)
	return one, domain.Wrap("stretch", err)
}

// view is an alignment with its series and what is around it.
type view struct {
	matched
	Alignment Alignment
	decided   []Piece
	visit     visitTime
}

type visitTime struct {
	From time.Time `db:"from_at"`
	To   time.Time `db:"to_at"`
	Zone string    `db:"zone"`
}

func (s *Service) view(ctx context.Context, id domain.AlignmentID) (v view, err error) {
	if v.Alignment, err = s.alignment(ctx, id); err != nil {
		return v, err
	}
	if v.matched, err = s.match(ctx, v.Alignment.pair()); err != nil {
		return v, err
	}
	if v.decided, err = s.pieces(ctx, v.Alignment.TaskID); err != nil {
		return v, err
	}
	v.visit, err = store.Row[visitTime](ctx, s.store, "task", `SELECT lower(v.during) AS from_at, upper(v.during) AS to_at, x.time_zone AS zone
		FROM task t JOIN visit v ON v.id = t.visit_id JOIN site x ON x.id = v.site_id WHERE t.id = $1`, v.Alignment.TaskID)
	return v, err
}

// over compares the series over a time, which must lie inside what was aligned.
func (v view) over(from, to time.Time) (Stretch, trace.Compared, error) {
	from, to = from.UTC().Truncate(time.Microsecond), to.UTC().Truncate(time.Microsecond)
	if !from.Before(to) || from.Before(v.From) || to.After(v.To) {
		zone := location(v.visit.Zone)
		return Stretch{}, trace.Compared{}, domain.Refuse(domain.Invalid, NotBetween.At("from", shownTime(v.From, zone), shownTime(v.To, zone)))
	}
	c, err := trace.Over(v.reference, v.meter, v.Alignment.on(v.matched), v.seconds(from)-rounded, v.seconds(to)+rounded, mostReadings)
	if err != nil {
		return Stretch{}, c, err
	}
	one := v.tell(c.Stretch)
	one.From, one.To = from, to
	one.Warnings = v.warnings(one)
	return one, c, nil
}

// rounded is what the microseconds of a stretch's ends may have cut off, s: a sample that
// lies at an end is in it.
const rounded = 1e-6

func shownTime(t time.Time, zone *time.Location) string {
	return t.In(zone).Format("2006-01-02 15:04:05")
}

// warnings are what a person should look at before taking a stretch.
func (v view) warnings(s Stretch) (l fault.List) {
	if !v.Alignment.Found {
		l = append(l, NoLag.At(""))
	}
	if s.To.Before(v.visit.From) || s.From.After(v.visit.To) {
		zone := location(v.visit.Zone)
		l = append(l, NotInVisit.At("", shownTime(v.visit.From, zone), shownTime(v.visit.To, zone)))
	}
	for _, p := range v.decided {
		if p.RunID != nil && p.IndicationID == *v.meterChannel.IndicationID && p.From.Before(s.To) && s.From.Before(p.To) {
			l = append(l, Overlaps.At("", p.Run))
		}
	}
	return l
}

// Piece is a stretch that was decided: taken as a run, or set aside with a reason.
type Piece struct {
	ID           domain.StretchID
	AlignmentID  domain.AlignmentID
	IndicationID domain.IndicationID // whose file the meter's series is of
	RunID        *domain.RunID       // nil: set aside
	Run          int                 // its number; 0 without
	Phase        sheet.Phase         // of the run
	FlowPoint    int
	From, To     time.Time // on the reference's clock
	Result       Stretch   // as it was decided
	Reason       string    // why it was set aside
	By           domain.PersonID
	CapturedAt   time.Time
}

// Pieces are the stretches of a task that were decided, in order of time. Runs that come
// from loggers' files are those that one of them names.
func (s *Service) Pieces(ctx context.Context, a access.Actor, task domain.TaskID) ([]Piece, error) {
	if err := see(a); err != nil {
		return nil, err
	}
	all, err := s.pieces(ctx, task)
	return all, domain.Wrap("pieces", err)
}

func (s *Service) pieces(ctx context.Context, task domain.TaskID) ([]Piece, error) {
	type row struct {
		ID           domain.StretchID    `db:"id"`
		AlignmentID  domain.AlignmentID  `db:"alignment_id"`
		IndicationID domain.IndicationID `db:"indication_id"`
		RunID        *domain.RunID       `db:"run_id"`
		Run          int                 `db:"number"`
		Phase        sheet.Phase         `db:"phase"`
		FlowPoint    int                 `db:"flow_point"`
		From         time.Time           `db:"from_at"`
		To           time.Time           `db:"to_at"`
		Result       string              `db:"result"`
		Reason       string              `db:"reason"`
		By           domain.PersonID     `db:"by"`
		CapturedAt   time.Time           `db:"captured_at"`
	}
	rows, err := store.Rows[row](ctx, s.store, `SELECT x.id, x.alignment_id, f.indication_id, x.run_id, coalesce(r.number, 0) AS number,
			coalesce(r.phase, '') AS phase, coalesce(r.flow_point, 0) AS flow_point, x.from_at, x.to_at, x.result, x.reason, x.by, x.captured_at
		FROM stretch x JOIN alignment a ON a.id = x.alignment_id JOIN series m ON m.id = a.meter_id JOIN log_file f ON f.id = m.log_file_id
		LEFT JOIN run r ON r.id = x.run_id WHERE x.task_id = $1 ORDER BY x.from_at, x.id`, task)
	if err != nil {
		return nil, err
	}
	all := make([]Piece, len(rows))
	for i, r := range rows {
		all[i] = Piece{ID: r.ID, AlignmentID: r.AlignmentID, IndicationID: r.IndicationID, RunID: r.RunID, Run: r.Run, Phase: r.Phase,
			FlowPoint: r.FlowPoint, From: r.From.UTC(), To: r.To.UTC(), Reason: r.Reason, By: r.By, CapturedAt: r.CapturedAt.UTC()}
		if all[i].Result, err = unpackStretch(r.Result); err != nil {
			return nil, err
		}
	}
	return all, nil
}
