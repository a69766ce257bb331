package web

import (
	"time"

	"rillmark/domain/access"
	"rillmark/service/capture"
	"rillmark/service/web/part"
)

// myTasks are the tasks that the person is booked for today, in the company's zone, each
// leading to its work sheet. Whoever fills no sheets has none.
func (x *exchange) myTasks() ([]part.Row, error) {
	if !access.Allowed(x.actor, access.FillSheet) {
		return nil, nil
	}
	now := x.Now().In(x.Zone)
	from := time.Date(now.Year(), now.Month(), now.Day(), 0, 0, 0, 0, x.Zone)
	tasks, err := x.Capture.Tasks(x.ctx(), x.actor, from, from.AddDate(0, 0, 1))
	if err != nil {
		return nil, err
	}
	rows := []part.Row{}
	for _, t := range tasks {
		row := part.Row{Href: "/tasks/" + t.TaskID.String() + "/sheet", Name: joined(" ", t.Tag, t.Point), More: joined(" · ", t.Client, t.Site), Much: hours(t)}
		switch {
		case t.Closed != nil && *t.Closed == "sent-back":
			row.Needs = x.text("sheet.today-sent-back")
		case t.Closed != nil:
			row.Much, row.Done = x.text("sheet.today-"+*t.Closed), true
		case t.Started:
			row.Much = x.text("sheet.today-begun")
		}
		rows = append(rows, row)
	}
	return rows, nil
}

// hours tells from when to when a visit is planned, in the site's time.
func hours(t capture.Mine) string {
	zone, err := time.LoadLocation(t.TimeZone)
	if err != nil {
		zone = time.UTC
	}
	return t.From.In(zone).Format("15:04") + " – " + t.To.In(zone).Format("15:04")
}

// sheetKeptFields are the fields by which a kept entry on a work sheet is told.
func sheetKeptFields() []field {
	return []field{
		{name: "entered", label: "sheet.entered-word"}, {name: "position", label: "sheet.position"}, {name: "spacing", label: "sheet.set-at"},
		{name: "clock_position", label: "sheet.clock"}, {name: "snr", label: "sheet.snr"}, {name: "sound_speed", label: "sheet.sound-speed"},
		{name: "transit_up", label: "sheet.transit-up"}, {name: "transit_down", label: "sheet.transit-down"}, {name: "signal", label: "sheet.signal"},
		{name: "isolated_by", label: "sheet.isolated-by"}, {name: "tightness", label: "sheet.tightness"}, {name: "mean_velocity", label: "sheet.zero-mean"},
		{name: "u_velocity", label: "sheet.zero-u"}, {name: "flow_point", label: "sheet.flow-point-word"}, {name: "references", label: "sheet.reference-word"},
		{name: "values", label: "sheet.values-word"}, {name: "what", label: "sheet.control-what"}, {name: "done_by", label: "sheet.control-who"},
		{name: "parameter", label: "sheet.parameter"}, {name: "old_entered", label: "sheet.old"}, {name: "new_entered", label: "sheet.new"},
		{name: "permission", label: "sheet.permission"}, {name: "reason", label: "sheet.aside-why"}, {name: "text", label: "sheet.note-text"},
		{name: "remark", label: "review.remark"}, {name: "changes", label: "review.amend-changes"}, {name: "opinions", label: "review.opinions"},
	}
}
