package web

import (
	"time"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/service/planning"
	"rillmark/service/store"
	"rillmark/service/web/part"
)

// todayRows is how many lines a part of Today has at most; the page that it leads to has
// the rest.
const todayRows = 8

// needed gathers what needs the person, by what they may do: one query for each part.
func (x *exchange) needed(day time.Time) (parts []stretch, err error) {
	for _, find := range []struct {
		act  access.Act
		rows func(time.Time) (stretch, error)
	}{
		{access.FillSheet, x.workToday}, {access.FillSheet, x.ownUndone}, {access.Judge, x.toJudge},
		{access.StepVisit, x.visitsAhead}, {access.ChangePlan, x.allUndone}, {access.ChangePlan, x.pointsDue},
		{access.ChangeKit, x.kitLapsing}, {access.SeeMethods, x.authorisationsLapsing},
	} {
		if !access.Allowed(x.actor, find.act) {
			continue
		}
		s, err := find.rows(day)
		if err != nil {
			return nil, err
		}
		if len(s.Rows) > 0 || s.Empty != "" {
			parts = append(parts, s)
		}
	}
	return parts, nil
}

// workToday are the tasks that the person is booked for today.
func (x *exchange) workToday(time.Time) (stretch, error) {
	rows, err := x.myTasks()
	s := stretch{Title: x.text("sheet.today-title"), Rows: rows}
	return s.orEmpty(x.text("sheet.today-none")), err
}

// ownUndone are tasks of the person's earlier visits that nobody has ended.
func (x *exchange) ownUndone(day time.Time) (stretch, error) {
	return x.undone(x.actor.Person, day, "today.own-undone")
}

// allUndone are everyone's, for who plans; those of their own stand above.
func (x *exchange) allUndone(day time.Time) (stretch, error) {
	return x.undone(domain.PersonID{}, day, "today.undone")
}

func (x *exchange) undone(of domain.PersonID, day time.Time, title string) (stretch, error) {
	found, err := x.Planning.Undone(x.ctx(), x.actor, of, day, todayRows)
	s := stretch{Title: x.text(title)}
	for _, u := range found {
		row := part.Row{Href: "/visits/" + u.VisitID.String(), Name: joined(" ", u.Tag, u.Point),
			More: joined(" · ", u.Site, span(u.From, u.Until, zoneOf(u.TimeZone)))}
		if of.Valid() {
			row.Href = "/tasks/" + u.TaskID.String() + "/sheet"
		} else {
			row.More = joined(" · ", row.More, joined(", ", u.Crew...))
		}
		switch {
		case u.SentBack:
			row.Needs = x.text("sheet.today-sent-back")
		case u.Begun:
			row.Needs = x.text("today.half-done")
		default:
			row.Needs = x.text("today.not-begun")
		}
		s.Rows = append(s.Rows, row)
	}
	return s, err
}

// toJudge is what waits for an approver, or for its certificate.
func (x *exchange) toJudge(time.Time) (stretch, error) {
	found, err := x.Issuing.Waiting(x.ctx(), x.actor, store.Filter{Limit: todayRows})
	s := stretch{Title: x.text("today.judge")}
	for _, w := range found.Items {
		row := part.Row{Href: "/evaluations/" + w.EvaluationID.String(), Name: joined(" ", w.Tag, w.Point),
			More: joined(" · ", w.Site, x.text("review.evaluated-by", "who", w.By, "when", x.when(w.At)))}
		switch {
		case !w.Current:
			row.Much, row.Done = x.text("review.row-stale"), true
		case w.Approved:
			row.Needs = x.text("review.row-approved")
		case w.Own:
			row.Much, row.Done = x.text("review.row-own"), true
		default:
			row.Needs = x.text("review.row-judge")
		}
		s.Rows = append(s.Rows, row)
	}
	if found.Next != "" {
		s.Acts = []part.Link{{Href: "/review", Words: x.text("today.all-judge")}}
	}
	return s, err
}

// visitsAhead are the visits of this day and the six after it: one's own for a technician,
// whose tasks of today stand above; everyone's for who plans or judges.
func (x *exchange) visitsAhead(day time.Time) (stretch, error) {
	f := planning.Filter{From: day, Until: day.AddDate(0, 0, 7), Filter: store.Filter{Limit: todayRows}}
	s := stretch{Title: x.text("today.visits"), Calendar: true}
	if x.actor.Has(access.Technician) && !x.actor.Has(access.Coordinator) {
		f.Person, f.From, s.Title = x.actor.Person, day.AddDate(0, 0, 1), x.text("today.own-visits")
	}
	found, err := x.Planning.Visits(x.ctx(), x.actor, f)
	for _, v := range found.Items {
		if !v.State().Ended() {
			s.Rows = append(s.Rows, x.visitRow(v))
		}
	}
	if found.Next != "" {
		s.Acts = []part.Link{{Href: "/plan", Words: x.text("today.all-visits")}}
	}
	return s, err
}

// dueAhead is how far ahead a point that falls due is named: time to agree on a day.
const dueAhead = 30

// pointsDue are points to plan a visit for.
func (x *exchange) pointsDue(day time.Time) (stretch, error) {
	found, err := x.Planning.Due(x.ctx(), x.actor, x.Now(), day.AddDate(0, 0, dueAhead), todayRows)
	s := stretch{Title: x.text("today.due")}
	for _, d := range found {
		row := part.Row{Href: "/sites/" + d.SiteID.String() + "/visits/new?points=" + d.PointID.String(), Name: joined(" ", d.Tag, d.Point), More: joined(" · ", d.Client, d.Site)}
		if at := x.day(d.At); d.At.Before(x.Now()) {
			row.Needs = x.text("today.overdue", "day", at)
		} else {
			row.Needs = x.text("today.falls-due", "day", at)
		}
		if d.Last == nil {
			row.More = joined(" · ", row.More, x.text("today.never"))
		}
		s.Rows = append(s.Rows, row)
	}
	return s, err
}

// kitLapsing is kit whose calibration has ended or ends soon; each line leads to the next
// calibration.
func (x *exchange) kitLapsing(time.Time) (stretch, error) {
	found, err := x.Equipment.Lapsing(x.ctx(), x.actor, x.Now().Add(soon))
	s := stretch{Title: x.text("kit.lapsing")}
	if len(found) > todayRows {
		found = found[:todayRows]
		s.Acts = []part.Link{{Href: "/kit", Words: x.text("today.all-kit")}}
	}
	for _, i := range found {
		row := x.kitRow(i)
		row.Href += "/calibrations/new"
		s.Rows = append(s.Rows, row)
	}
	return s, err
}

// authorisationsLapsing are everyone's for who may prolong them, else one's own. What has
// lapsed stays named for as long as it was named ahead.
func (x *exchange) authorisationsLapsing(time.Time) (stretch, error) {
	all := access.Allowed(x.actor, access.Authorise)
	of, s := x.actor.Person, stretch{Title: x.text("today.own-authorisations")}
	if all {
		of, s.Title = domain.PersonID{}, x.text("today.authorisations")
	}
	now := x.Now()
	found, err := x.Agreeing.Lapsing(x.ctx(), x.actor, of, now.Add(-soon), now.Add(soon), todayRows)
	for _, z := range found {
		row := part.Row{Href: "/authorisations/" + z.ID.String(), Name: joined(", ", z.Person, z.Number), More: x.text("authorised." + string(z.Act))}
		if all {
			row.Href += "/change"
		}
		if z.To != nil {
			_, row.Needs = x.validity(*z.To)
		}
		s.Rows = append(s.Rows, row)
	}
	return s, err
}
