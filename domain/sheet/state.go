package sheet

import "time"

// State is how far a task has come, derived from its rows. The zero value is none.
type State string

// The states of a task.
const (
	NotStarted State = "not-started"
	UnderWay   State = "under-way"
	Done       State = "finished"
	Part       State = "partly-done"
	Impossible State = "not-possible"
	Returned   State = "sent-back"
)

// State derives the task's state: what the last closing note says (finished, partly done,
// not possible, sent back), else whether anything was observed.
func (s Sheet) State() State {
	closing := map[NoteKind]State{Finished: Done, PartlyDone: Part, NotPossible: Impossible, SentBack: Returned}
	var last *TaskNote
	for i := range s.Notes {
		n := &s.Notes[i]
		if _, closes := closing[n.Kind]; !closes {
			continue
		}
		if last == nil || order(n.CapturedAt, last.CapturedAt, n.ID, last.ID) > 0 {
			last = n
		}
	}
	switch {
	case last != nil:
		return closing[last.Kind]
	case s.empty():
		return NotStarted
	}
	return UnderWay
}

func (s Sheet) empty() bool {
	return len(s.Survey)+len(s.Mountings)+len(s.SetupChecks)+len(s.ZeroChecks)+len(s.Plans)+len(s.Runs)+
		len(s.Controls)+len(s.Adjustments)+len(s.Notes) == 0
}

// Step is one part of the work at a point. The zero value is none.
type Step string

// The steps, in the usual order; each is a fact, none a gate.
const (
	StepSurvey   Step = "survey"
	StepMounting Step = "mounting"
	StepCheck    Step = "set-up-check"
	StepZero     Step = "zero-check"
	StepBefore   Step = "before"
	StepAdjust   Step = "adjust"
	StepAfter    Step = "after"
	StepRecheck  Step = "re-check" // of signal and sound speed, after the last run
	StepClose    Step = "close"
)

// Progress is a step with what there is of it: the number of rows, when the last was
// captured, and what is still missing (see Missing).
type Progress struct {
	Step    Step
	Rows    int
	Last    time.Time // zero without a row
	Missing int
}

// Steps returns every step in order with its progress.
func (s Sheet) Steps() []Progress {
	missing := map[Step]int{}
	for _, m := range s.Gaps() {
		missing[m.Step]++
	}
	steps := []Progress{
		progress(StepSurvey, s.Survey, func(v SurveyValue) (time.Time, bool) { return v.CapturedAt, true }),
		progress(StepMounting, s.Mountings, func(m Mounting) (time.Time, bool) { return m.CapturedAt, true }),
		progress(StepCheck, s.SetupChecks, func(c SetupCheck) (time.Time, bool) { return c.CapturedAt, c.Moment == Before }),
		progress(StepZero, s.ZeroChecks, func(z ZeroCheck) (time.Time, bool) { return z.CapturedAt, true }),
		progress(StepBefore, s.Runs, func(r Run) (time.Time, bool) { return r.CapturedAt, r.Phase == Before }),
		progress(StepAdjust, s.Adjustments, func(a Adjustment) (time.Time, bool) { return a.CapturedAt, true }),
		progress(StepAfter, s.Runs, func(r Run) (time.Time, bool) { return r.CapturedAt, r.Phase == After }),
		progress(StepRecheck, s.SetupChecks, func(c SetupCheck) (time.Time, bool) { return c.CapturedAt, c.Moment == After }),
		progress(StepClose, s.Notes, func(n TaskNote) (time.Time, bool) { return n.CapturedAt, true }),
	}
	for i := range steps {
		steps[i].Missing = missing[steps[i].Step]
	}
	return steps
}

func progress[R any](step Step, rows []R, of func(R) (time.Time, bool)) Progress {
	p := Progress{Step: step}
	for _, row := range rows {
		at, counts := of(row)
		if !counts {
			continue
		}
		p.Rows++
		if at.After(p.Last) {
			p.Last = at
		}
	}
	return p
}
