package web

import (
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/service/capture"
	"rillmark/service/web/part"
)

// adjusted tells the adjustments made on the work sheets of a measuring point or of a meter,
// each leading to its sheet. Times are those of the site. Whoever may not see work sheets
// is told none.
func (x *exchange) adjusted(about audit.Subject) ([]dated, error) {
	if !access.Allowed(x.actor, access.SeeSheet) {
		return nil, nil
	}
	var rows []capture.Adjusted
	switch about.Kind {
	case audit.Point:
		id, err := domain.ParseID[domain.PointKind](about.ID)
		if err != nil {
			return nil, err
		}
		if rows, err = x.Capture.AdjustedAt(x.ctx(), x.actor, id); err != nil {
			return nil, err
		}
	case audit.Meter:
		id, err := domain.ParseID[domain.MeterKind](about.ID)
		if err != nil {
			return nil, err
		}
		if rows, err = x.Capture.AdjustmentsOf(x.ctx(), x.actor, id); err != nil {
			return nil, err
		}
	}
	moments := make([]dated, len(rows))
	for i, a := range rows {
		moments[i] = dated{a.At, x.adjustedMoment(about.Kind, a)}
	}
	return moments, nil
}

// adjustedMoment names the meter on the page of its point, and the point on the page of the meter.
func (x *exchange) adjustedMoment(page audit.Kind, a capture.Adjusted) part.Moment {
	what := a.Tag
	if page == audit.Point {
		what = meterName(a.Maker, a.Model, a.Serial)
	}
	return part.Moment{When: a.At.In(zoneOf(a.TimeZone)).Format(wordedTime), Href: "/tasks/" + a.TaskID.String() + "/adjust",
		Title: x.text("timeline.adjusted", "what", joined(", ", what, a.Indication)),
		Text: joined(". ", x.text("timeline.changed", "field", a.Parameter, "before", a.Old, "after", a.New),
			x.text("timeline.by", "who", a.By, "why", a.Reason))}
}
