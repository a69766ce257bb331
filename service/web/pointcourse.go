package web

import (
	"html/template"
	"math"
	"time"

	"rillmark/calc/interval"
	"rillmark/domain/access"
	"rillmark/domain/evaluation"
	"rillmark/domain/register"
	"rillmark/service/issuing"
	"rillmark/service/plot"
	"rillmark/service/sentence"
	"rillmark/service/web/part"
)

// courseOf tells how the errors of a point's meter went over time, the newest visit first,
// for each indication: drawn, in figures, and what follows from it.
func (x *exchange) courseOf(m register.Point, s register.Site) ([]stretch, error) {
	if !access.Allowed(x.actor, access.SeeSheet) {
		return nil, nil
	}
	visits, courses, err := x.Issuing.Course(x.ctx(), x.actor, m.ID)
	if err != nil {
		return nil, err
	}
	var all []stretch
	for _, c := range courses {
		one, err := x.course(visits, c, zoneOf(s.TimeZone))
		if err != nil {
			return nil, err
		}
		all = append(all, one)
	}
	return all, nil
}

func (x *exchange) course(visits []issuing.Verified, c evaluation.Course, zone *time.Location) (stretch, error) {
	s := stretch{Title: x.text("course.title", "name", c.Name), Drawing: x.courseChart(visits, c, zone), Table: x.courseTable(visits, c, zone)}
	s.Text = x.text("course.mean")
	said := part.Notice{Lead: x.text("course.says")}
	if c.Trend == nil {
		said.Items = append(said.Items, x.Book.Fault(interval.TooFew.At("verifications", counting(c.Intervals), interval.LeastIntervals)))
	} else {
		rate, u := percents(c.Trend.Rate, &evaluation.Expanded{Expanded: c.Trend.Expanded})
		said.Items = append(said.Items, x.text("course.trend", "n", c.Trend.Intervals, "rate", rate, "u", u))
		said.Items = append(said.Items, x.courseReach(c, zone)...)
	}
	months := visits[c.Visits[len(c.Visits)-1].Kept].IntervalMonths
	if months == nil {
		said.Items = append(said.Items, x.text("course.no-interval-agreed"))
		s.Notices = append(s.Notices, said)
		return s, nil
	}
	if c.Trend == nil { // too few to say anything of the interval
		said.Items = append(said.Items, x.text("course.agreed-holds", "n", *months))
		s.Notices = append(s.Notices, said)
		return s, nil
	}
	advised, err := c.Recommend(*months, interval.DefaultPolicy)
	if err != nil {
		return s, err
	}
	for _, r := range advised {
		said.Items = append(said.Items, x.Book.Fault(r.Reason))
	}
	if n := shortest(advised); n > 0 {
		said.Items = append(said.Items, x.text("course.recommended", "n", n, "agreed", *months))
	}
	s.Notices = append(s.Notices, said)
	return s, nil
}

// counting is how many intervals count.
func counting(all []interval.Interval) (n int) {
	for _, one := range all {
		if one.Counts {
			n++
		}
	}
	return n
}

func shortest(all []interval.Recommendation) (months int) {
	for _, r := range all {
		if r.Months > 0 && (months == 0 || r.Months < months) {
			months = r.Months
		}
	}
	return months
}

// courseReach says when the limit is reached, or why that cannot be said.
func (x *exchange) courseReach(c evaluation.Course, zone *time.Location) (said []string) {
	if c.Reach == nil {
		return nil
	}
	on := func(at *time.Time) string { return at.In(zone).Format(wordedDay) }
	limit := sentence.Number(100 * c.Reach.Limit)
	switch r := c.Reach; {
	case len(r.Why) > 0:
		for _, f := range r.Why {
			said = append(said, x.Book.Fault(f))
		}
		if r.On == nil && r.Earliest != nil {
			said = append(said, x.text("course.earliest", "limit", limit, "earliest", on(r.Earliest)))
		}
	case r.On != nil && r.Latest != nil:
		said = append(said, x.text("course.reach", "limit", limit, "day", on(r.On), "earliest", on(r.Earliest), "latest", on(r.Latest)))
	case r.On != nil:
		said = append(said, x.text("course.reach-open", "limit", limit, "day", on(r.On), "earliest", on(r.Earliest)))
	}
	return said
}

func (x *exchange) courseTable(visits []issuing.Verified, c evaluation.Course, zone *time.Location) *part.Table {
	t := part.Table{Stack: true, Columns: []part.Column{{Head: x.text("course.day")}, {Head: x.text("course.meter")}, {Head: x.text("course.found"), Unit: "%", Figure: true},
		{Head: x.text("course.left"), Unit: "%", Figure: true}, {Head: x.text("course.drift"), Unit: "%", Figure: true}}}
	for i := len(c.Visits) - 1; i >= 0; i-- {
		v := visits[c.Visits[i].Kept]
		row := []part.Cell{{Text: v.At.In(zone).Format(wordedDay), Href: courseLink(v)}, {Text: v.Serial}, x.errorCell(c.Visits[i].Found, "course.none"),
			x.errorCell(c.Visits[i].Left, "course.not-adjusted"), {Text: x.text("course.first"), None: true}}
		if i > 0 {
			one := c.Intervals[i-1]
			e, u := percents(one.Drift, &evaluation.Expanded{Expanded: one.Expanded})
			row[4] = part.Cell{Text: x.text("course.value", "error", e, "u", u)}
			if !one.Counts {
				row[4] = part.Cell{Text: x.text("course.break-" + string(one.Break)), None: true}
			}
		}
		t.Rows = append(t.Rows, row)
	}
	return &t
}

// courseLink leads to the certificate that states a verification, else to its work sheet.
func courseLink(v issuing.Verified) string {
	if v.CertificateID != nil {
		return "/certificates/" + v.CertificateID.String()
	}
	return "/tasks/" + v.TaskID.String()
}

func (x *exchange) errorCell(e *evaluation.CourseError, none string) part.Cell {
	if e == nil {
		return part.Cell{Text: x.text(none), None: true}
	}
	value, u := percents(e.Error, &evaluation.Expanded{Expanded: e.Expanded})
	return part.Cell{Text: x.text("course.value", "error", value, "u", u)}
}

// courseChart draws error against time: as found and as left, with the limits of the last.
func (x *exchange) courseChart(visits []issuing.Verified, c evaluation.Course, zone *time.Location) *chart {
	p := plot.Chart{Flow: x.text("course.time"), Error: x.text("course.error"), Label: x.text("course.label", "name", c.Name)}
	at := func(i int) time.Time { return visits[c.Visits[i].Kept].At.In(zone) }
	p.TimeTicks, p.FirstDay, p.EndDay = plot.DayTicks(at(0), at(len(c.Visits)-1))
	for i, v := range c.Visits {
		point := func(e *evaluation.CourseError) plot.Point {
			value, u := percents(e.Error, &evaluation.Expanded{Expanded: e.Expanded})
			return plot.Point{Flow: plot.Days(at(i)), Error: 100 * e.Error, U: 100 * e.Expanded,
				Title: x.text("course.point", "day", at(i).Format(wordedDay), "error", value, "u", u)}
		}
		p.Before = append(p.Before, point(v.Found))
		if v.Left != nil {
			p.After = append(p.After, point(v.Left))
		}
	}
	if l := c.Limits; !math.IsInf(l.Lower, 0) || !math.IsInf(l.Upper, 0) {
		p.Limits = []plot.Bound{{Flow: p.FirstDay, Lower: 100 * l.Lower, Upper: 100 * l.Upper}, {Flow: p.EndDay, Lower: 100 * l.Lower, Upper: 100 * l.Upper}}
	}
	return &chart{Key: x.text("course.key"), SVG: template.HTML(p.Draw(480, 230, 12, 1.2).SVG())} //nolint:gosec // written and escaped by the plot itself
}
