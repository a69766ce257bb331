// Package visit holds trips to sites: when, by whom, with what, and what happened to
// them. A visit's state is derived from what happened, never stored. The work at each
// measuring point is domain/sheet.
package visit

import (
	"slices"
	"time"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/access"
)

// Codes of this package.
var (
	TooLong       = fault.Define("visit.too-long", fault.C("days"))
	StepUnknown   = fault.Define("visit.step-unknown", fault.T("step"))
	StepNotNow    = fault.Define("visit.step-not-now", fault.T("step"), fault.T("state"))
	ReasonMissing = fault.Define("visit.reason-missing", fault.T("step"))
	OpenTasks     = fault.Define("visit.open-tasks", fault.C("tasks"))
	Over          = fault.Define("visit.over", fault.T("state"))
)

// Visit is one trip to one site by one crew.
type Visit struct {
	ID        domain.VisitID  `db:"id"`
	ClientID  domain.ClientID `db:"client_id"`
	SiteID    domain.SiteID   `db:"site_id" audit:"text"`
	From      time.Time       `db:"starts_at" audit:"text"`
	Until     time.Time       `db:"ends_at" audit:"text"`
	Note      string          `db:"note" audit:"text"`
	Version   int64           `db:"version"`
	CreatedAt time.Time       `db:"created_at"`
	ChangedAt time.Time       `db:"changed_at"`
}

// Texts is a visit as typed; times are those of the site.
type Texts struct {
	From  string `json:"from" form:"from"`
	Until string `json:"until" form:"until"`
	Note  string `json:"note" form:"note"`
}

// Longest is how long a visit may be: what takes longer is several visits, or a slip of
// the pen in the date.
const Longest = 31 * 24 * time.Hour

// Read puts the typed texts into the visit and returns every problem, keyed by field.
func (v Visit) Read(t Texts, zone *time.Location) (Visit, error) {
	var check domain.Check
	v.From = check.Time("from", t.From, zone, true)
	v.Until = check.Time("until", t.Until, zone, true)
	v.Note = domain.Lines(t.Note)
	check.Lines("note", v.Note, 4000, false)
	if !v.From.IsZero() && !v.Until.IsZero() {
		switch {
		case !v.From.Before(v.Until):
			check.Add(domain.EndsBefore.At("until"))
		case v.Until.Sub(v.From) > Longest:
			check.Add(TooLong.At("until", int(Longest.Hours()/24)))
		}
	}
	return v, check.Err()
}

// Texts gives the visit back as it is typed.
func (v Visit) Texts(zone *time.Location) Texts {
	return Texts{From: v.From.In(zone).Format(domain.TimeLayout), Until: v.Until.In(zone).Format(domain.TimeLayout), Note: v.Note}
}

// State is how a visit stands. The zero value is no state.
type State string

// The states.
const (
	Planned   State = "planned"
	Confirmed State = "confirmed"
	OnSite    State = "on-site"
	InReview  State = "in-review"
	Closed    State = "closed"
	Cancelled State = "cancelled"
)

// Step is something that happened to a visit. The zero value is no step.
type Step string

// The steps.
const (
	Confirm  Step = "confirmed"
	Arrive   Step = "arrived"
	Leave    Step = "left"
	SendBack Step = "sent-back"
	Close    Step = "closed"
	Cancel   Step = "cancelled"
)

// after is the state that a step leads to.
var after = map[Step]State{Confirm: Confirmed, Arrive: OnSite, Leave: InReview, SendBack: OnSite, Close: Closed, Cancel: Cancelled}

// from are the states in which a step can happen. Steps of the day are facts: a crew that
// arrives unconfirmed has arrived, one that comes back has come back.
var from = map[Step][]State{
	Confirm:  {Planned},
	Arrive:   {Planned, Confirmed, InReview},
	Leave:    {OnSite},
	SendBack: {InReview},
	Close:    {InReview},
	Cancel:   {Planned, Confirmed},
}

// StateAfter derives the state from the last thing that happened; none: planned.
func StateAfter(last Step) State {
	if s, known := after[last]; known {
		return s
	}
	return Planned
}

// Steps returns the steps that can happen in the state, in the order of a day.
func (s State) Steps() []Step {
	var can []Step
	for _, step := range []Step{Confirm, Arrive, Leave, Close, SendBack, Cancel} {
		if slices.Contains(from[step], s) {
			can = append(can, step)
		}
	}
	return can
}

// Ended reports that nothing more is to come.
func (s State) Ended() bool { return s == Closed || s == Cancelled }

// Act is the rule that a step is under.
func (s Step) Act() access.Act {
	switch s {
	case Arrive, Leave:
		return access.WorkOnSite
	case SendBack:
		return access.SendBack
	}
	return access.ChangePlan
}

// Check judges whether the step can happen now. Cancelling and sending back need a reason;
// a visit with open tasks is not closed.
func (s Step) Check(now State, reason string, openTasks int) error {
	var check domain.Check
	if _, known := from[s]; !known {
		check.Add(StepUnknown.At("step", string(s)))
		return check.Err()
	}
	if !slices.Contains(from[s], now) {
		check.Add(StepNotNow.At("step", string(s), string(now)))
	}
	if (s == Cancel || s == SendBack) && reason == "" {
		check.Add(ReasonMissing.At("reason", string(s)))
	}
	if s == Close && openTasks > 0 {
		check.Add(OpenTasks.At("step", openTasks))
	}
	check.Lines("reason", reason, 1000, false)
	return check.Err()
}
