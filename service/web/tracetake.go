package web

import (
	"net/url"
	"strings"
	"time"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/sheet"
	"rillmark/service/capture"
	"rillmark/service/capture/tracing"
)

// stretchIn is a stretch as a form names it, in the site's time or exactly.
type stretchIn struct {
	FromText string `form:"from"`
	ToText   string `form:"to"`
}

// takeIn is a Take whose times are the site's.
type takeIn struct {
	capture.At
	ID          domain.RunID         `form:"id"`
	StretchID   domain.StretchID     `form:"stretch_id"`
	AlignmentID domain.AlignmentID   `form:"alignment_id"`
	Phase       string               `form:"phase"`
	MountingID  domain.MountingID    `form:"mounting_id"`
	FlowPoint   string               `form:"flow_point"`
	Note        string               `form:"note"`
	Also        []domain.AlignmentID `form:"also"`
	stretchIn
}

// between reads the times of a stretch and, where a picture's edge was meant, keeps to it.
func (x *exchange) between(task domain.TaskID, id domain.AlignmentID, s stretchIn) (from, to time.Time, err error) {
	a, err := x.Tracing.AlignmentOf(x.ctx(), x.actor, id)
	if err != nil {
		return from, to, err
	}
	w, err := x.Capture.Sheet(x.ctx(), x.actor, task)
	if err != nil {
		return from, to, err
	}
	var check domain.Check
	from, to = siteTime(&check, "from", s.FromText, w.Zone(), a.From), siteTime(&check, "to", s.ToText, w.Zone(), a.From)
	if err := check.Err(); err != nil {
		return from, to, err
	}
	if d := a.From.Sub(from); d > 0 && d < time.Second {
		from = a.From
	}
	if d := to.Sub(a.To); d > 0 && d < time.Second {
		to = a.To
	}
	return from, to, nil
}

// questionStretch asks about a stretch that is put where its time or its flow does not
// belong. What cannot be read is for the command to refuse.
func (x *exchange) questionStretch(w *capture.Work, c takeIn) fault.List {
	from, to, err := x.between(w.TaskID, c.AlignmentID, c.stretchIn)
	if err != nil {
		return nil
	}
	one, err := x.Tracing.Over(x.ctx(), x.actor, c.AlignmentID, from, to)
	if err != nil {
		return nil
	}
	return w.QuestionStretch(capture.StretchRun{Phase: sheet.Phase(c.Phase), MountingID: c.MountingID, FlowPoint: c.FlowPoint, From: from, To: to, Reference: one.Reference})
}

// takeStretch takes a stretch as a run and leads back to the picture.
func (w *Web) takeStretch(x *exchange) error {
	return captured(x, "pick", asking(x, x.questionStretch, func(c *takeIn) (capture.Written, error) {
		from, to, err := x.between(c.TaskID, c.AlignmentID, c.stretchIn)
		if err != nil {
			return capture.Written{}, err
		}
		return w.Tracing.Take(x.ctx(), x.actor, tracing.Take{At: c.At, ID: c.ID, StretchID: c.StretchID, AlignmentID: c.AlignmentID, Also: c.Also, From: from, To: to,
			Phase: c.Phase, MountingID: c.MountingID, FlowPoint: c.FlowPoint, Note: c.Note})
	}), func(work *capture.Work, c *takeIn, _ capture.Written) string {
		return tracePath(work, "alignments/"+c.AlignmentID.String())
	}, x.stretchesAgain)
}

// asideIn is a SetAside whose times are the site's.
type asideIn struct {
	capture.At
	ID          domain.StretchID   `form:"id"`
	AlignmentID domain.AlignmentID `form:"alignment_id"`
	Reason      string             `form:"reason"`
	stretchIn
}

// setStretchAside sets a stretch aside with a reason.
func (w *Web) setStretchAside(x *exchange) error {
	return captured(x, "aside", func(c *asideIn) (capture.Written, error) {
		from, to, err := x.between(c.TaskID, c.AlignmentID, c.stretchIn)
		if err != nil {
			return capture.Written{}, err
		}
		return w.Tracing.SetAside(x.ctx(), x.actor, tracing.SetAside{At: c.At, ID: c.ID, AlignmentID: c.AlignmentID, From: from, To: to, Reason: c.Reason})
	}, func(work *capture.Work, c *asideIn, _ capture.Written) string {
		return tracePath(work, "alignments/"+c.AlignmentID.String())
	}, x.stretchesAgain)
}

func (x *exchange) stretchesAgain(w *capture.Work, t *tried) error {
	return x.showStretches(w, t.values.Get("alignment_id"), url.Values{}, t)
}

// siteLayouts are the ways in which a time of the site's clock is typed.
var siteLayouts = []string{"2006-01-02 15:04:05", "2006-01-02T15:04:05", "2006-01-02 15:04", "2006-01-02T15:04"}

// siteTime reads a time by the site's clock, to parts of a second; one without its day is of
// the day given. A time with its zone, as a hidden field holds it, is taken as it is.
func siteTime(check *domain.Check, name, text string, zone *time.Location, day time.Time) time.Time {
	text = strings.Replace(domain.Line(text), ",", ".", 1)
	if text == "" {
		check.Add(domain.Required.At(name))
		return time.Time{}
	}
	if t, err := time.Parse(time.RFC3339Nano, text); err == nil {
		return t.UTC()
	}
	full := text
	if !strings.Contains(text, "-") {
		full = day.In(zone).Format(time.DateOnly) + " " + text
	}
	for _, layout := range siteLayouts {
		if t, err := time.ParseInLocation(layout, full, zone); err == nil {
			return t.UTC()
		}
	}
	check.Add(tracing.NotATime.At(name, shortened(text, 40)))
	return time.Time{}
}

// siteClock writes a time by the site's clock as a field holds it, to the tenth of a second.
func siteClock(w *capture.Work, t time.Time) string {
	return strings.TrimSuffix(t.In(w.Zone()).Round(100*time.Millisecond).Format("2006-01-02 15:04:05.0"), ".0")
}
