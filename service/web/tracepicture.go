package web

import (
	"html/template"
	"math"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"rillmark/calc/quantity"
	"rillmark/domain"
	"rillmark/service/capture"
	"rillmark/service/capture/tracing"
	"rillmark/service/logfile/chunk"
	"rillmark/service/plot"
)

// picture is two channels over time: a drawing that stands still, and what the scripts need
// to draw it themselves. Times are milliseconds since 1970.
type picture struct {
	Still                       template.HTML
	Reference, Meter            string // addresses of the series
	ReferenceFrom, ReferenceTo  int64  // each on its own clock
	MeterFrom, MeterTo          int64
	From, To                    int64  // what the picture shows, on the reference's clock
	LookFrom, LookTo            int64  // the stretch that is looked at; 0: none
	Lag, Delay                  string // s
	Drift                       string // s/s
	Middle                      int64  // at which the lag is Lag
	Per                         string // what flows in m³/s are multiplied by
	Zone                        string
	Days                        bool     // times need their day
	Nudges                      []string // s by which buttons move the meter's clock
	SayLag                      string
	Pick                        bool // a stretch can be picked
	Unit                        string
	Label, SayPick, SayAt, Keys string
}

// stillWidth is how many ranges a drawing that stands still has.
const stillWidth = 360

// shownPair is what a picture is made of.
type shownPair struct {
	reference, meter tracing.Channel
	lag, drift       float64   // s, s/s
	middle           time.Time // at which the lag is lag; zero without drift
	from, to         time.Time
	stretches        []plot.Stretch
}

// delay is by how much more the reference shows a change too late than the meter, s.
func (p shownPair) delay() float64 {
	return p.reference.Mapping.Channel().Delay() - p.meter.Mapping.Channel().Delay()
}

// picture draws a pair. from and to may be zero: all of both.
func (x *exchange) picture(w *capture.Work, p shownPair) (*picture, error) {
	shift := time.Duration((p.lag + p.delay()) * float64(time.Second))
	whole := [2]time.Time{earlier(p.reference.First, p.meter.First.Add(shift)), later(p.reference.Last, p.meter.Last.Add(shift))}
	out := &picture{Reference: seriesPath(p.reference.ID), Meter: seriesPath(p.meter.ID),
		ReferenceFrom: p.reference.First.UnixMilli(), ReferenceTo: p.reference.Last.UnixMilli() + 1,
		MeterFrom: p.meter.First.UnixMilli(), MeterTo: p.meter.Last.UnixMilli() + 1,
		From: whole[0].UnixMilli(), To: whole[1].UnixMilli(), Lag: plainSeconds(p.lag), Delay: plainSeconds(p.delay()),
		Drift: strconv.FormatFloat(p.drift, 'g', 6, 64), Per: strconv.FormatFloat(perFlowUnit(w), 'g', 12, 64), Middle: millis(p.middle), Zone: w.TimeZone, Days: severalDays(w, whole[0], whole[1]), Unit: unitText(w),
		Label:   x.text("trace.picture-label", "reference", p.reference.File, "meter", p.meter.File),
		SayPick: x.text("trace.say-pick", "unit", unitText(w)), SayAt: x.text("trace.say-at", "unit", unitText(w)), Keys: x.text("trace.keys")}
	from, to := whole[0], whole[1]
	if !p.from.IsZero() {
		from, to = later(p.from, from), earlier(p.to, to)
	}
	c := plot.Traces{Zone: w.Zone(), Flow: x.text("trace.flow-axis", "unit", unitText(w)), Percent: x.text("trace.error-axis"),
		ReferenceText: x.text("trace.key-reference"), MeterText: x.text("trace.key-meter"), Label: out.Label,
		From: seconds(from), To: seconds(to), Stretches: p.stretches}
	var err error
	if c.Reference, err = x.spans(w, p.reference, from, to, 0); err != nil {
		return nil, err
	}
	if c.Meter, err = x.spans(w, p.meter, from.Add(-shift), to.Add(-shift), shift.Seconds()); err != nil {
		return nil, err
	}
	for i, m := range c.Meter {
		by := p.drift * (m.From - seconds(p.middle))
		c.Meter[i].From, c.Meter[i].To = m.From+by, m.To+by
	}
	c.Error = errorSpans(c.Reference, c.Meter)
	out.Still = template.HTML(c.Draw(480, 340, 15, 1.3).SVG()) //nolint:gosec // written and escaped by the plot itself
	return out, nil
}

// one draws a single channel, for a file that is being read.
func (x *exchange) one(w *capture.Work, role tracing.Role, label string, ranges []chunk.Range) template.HTML {
	c := plot.Traces{Zone: w.Zone(), Flow: x.text("trace.flow-axis", "unit", unitText(w)), Label: label}
	spans := plotted(w, ranges, 0)
	if role == tracing.Reference {
		c.Reference = spans
	} else {
		c.Meter = spans
	}
	return template.HTML(c.Draw(480, 230, 15, 1.3).SVG()) //nolint:gosec // written and escaped by the plot itself
}

func (x *exchange) spans(w *capture.Work, c tracing.Channel, from, to time.Time, shift float64) ([]plot.Span, error) {
	e, err := x.Tracing.Envelope(x.ctx(), x.actor, c.ID, from, to, stillWidth)
	return plotted(w, e.Ranges, shift), err
}

// plotted are ranges in the unit that the pages tell flows in, moved by so many seconds.
func plotted(w *capture.Work, ranges []chunk.Range, shift float64) []plot.Span {
	per := perFlowUnit(w)
	spans := make([]plot.Span, len(ranges))
	for i, r := range ranges {
		spans[i] = plot.Span{From: float64(r.From)/1e6 + shift, To: float64(r.To)/1e6 + shift, Low: r.Low * per, High: r.High * per, Mean: r.Mean * per}
	}
	return spans
}

// unitText is the unit that pages tell flows in, as it is printed.
func unitText(w *capture.Work) string {
	if _, unit, found := strings.Cut(flow(w, 1), "\u00a0"); found {
		return unit
	}
	return w.FlowUnit()
}

// perFlowUnit is what a flow in m³/s is multiplied by.
func perFlowUnit(w *capture.Work) float64 {
	one, err := quantity.Parse("1 "+w.FlowUnit(), quantity.KindFlow, quantity.Options{})
	if err != nil || one.SI == 0 {
		return 1
	}
	return 1 / one.SI
}

// errorSpans are the errors of the meter, read between the means of its spans at the
// reference's times, in percent; none across a gap of either, and none without flow.
func errorSpans(reference, meter []plot.Span) []plot.Span {
	var out []plot.Span
	longest := 6 * math.Max(usual(reference), usual(meter))
	j := 0
	for _, r := range reference {
		at := (r.From + r.To) / 2
		for j+1 < len(meter) && (meter[j+1].From+meter[j+1].To)/2 <= at {
			j++
		}
		if j+1 >= len(meter) || r.Mean == 0 {
			continue
		}
		a, b := (meter[j].From+meter[j].To)/2, (meter[j+1].From+meter[j+1].To)/2
		if at < a || at > b || b-a > longest {
			continue
		}
		m := meter[j].Mean + (at-a)/(b-a)*(meter[j+1].Mean-meter[j].Mean)
		e := 100 * (m/r.Mean - 1)
		out = append(out, plot.Span{From: r.From, To: r.To, Low: e, High: e, Mean: e})
	}
	return out
}

// usual is the mean time from one span to the next.
func usual(spans []plot.Span) float64 {
	if len(spans) < 2 {
		return 0
	}
	return (spans[len(spans)-1].From - spans[0].From) / float64(len(spans)-1)
}

// drawnSeries is a part of a series for the scripts, m³/s. Times are milliseconds, each
// counted from the one before.
type drawnSeries struct {
	Origin int64     `json:"origin"`
	At     []int64   `json:"at"`
	Step   int64     `json:"step"`
	Mean   []float64 `json:"mean"`
	Low    []float64 `json:"low,omitempty"`
	High   []float64 `json:"high,omitempty"`
}

// envelope answers the scripts' question for a part of a series, in m³/s. A series never
// changes, so the browser may keep the answer.
func (w *Web) envelope(x *exchange) error {
	id, err := pathID[domain.SeriesKind](x, "series", "series")
	if err != nil {
		return err
	}
	q := x.r.URL.Query()
	from, errFrom := strconv.ParseInt(q.Get("from"), 10, 64)
	to, errTo := strconv.ParseInt(q.Get("to"), 10, 64)
	width, errWidth := strconv.Atoi(q.Get("width"))
	if errFrom != nil || errTo != nil || errWidth != nil || to <= from || width < 1 {
		return domain.Refuse(domain.Invalid, FieldMalformed.At("from", "whole numbers: from and to in ms, and width"))
	}
	e, err := w.Tracing.Envelope(x.ctx(), x.actor, id, time.UnixMilli(from), time.UnixMilli(to), width)
	if err != nil {
		return err
	}
	x.gin.Header("Cache-Control", "private, max-age=86400")
	return x.json(http.StatusOK, packedSeries(e))
}

func packedSeries(e tracing.Envelope) drawnSeries {
	d := drawnSeries{At: []int64{}, Mean: []float64{}}
	last := int64(0)
	for i, r := range e.Ranges {
		at := (r.From + r.To) / 2000
		if i == 0 {
			d.Origin, last = at, at
		}
		d.At, last = append(d.At, at-last), at
		d.Mean = append(d.Mean, sixDigits(r.Mean))
		if !e.Exact {
			d.Low, d.High = append(d.Low, sixDigits(r.Low)), append(d.High, sixDigits(r.High))
		}
	}
	d.Step = usualStep(d.At)
	return d
}

// usualStep is the median of the steps.
func usualStep(steps []int64) int64 {
	if len(steps) < 2 {
		return 0
	}
	sorted := slices.Clone(steps[1:])
	slices.Sort(sorted)
	return sorted[len(sorted)/2]
}

// seriesPath is the address at which the scripts ask for a series.
func seriesPath(id domain.SeriesID) string { return "/series/" + id.String() + "/envelope" }

func seconds(t time.Time) float64 { return float64(t.UnixMicro()) / 1e6 }

// millis is a time in milliseconds since 1970; none is 0.
func millis(t time.Time) int64 {
	if t.IsZero() {
		return 0
	}
	return t.UnixMilli()
}

func earlier(a, b time.Time) time.Time {
	if a.Before(b) {
		return a
	}
	return b
}

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

// plainSeconds writes seconds for a field, to the millisecond.
func plainSeconds(s float64) string {
	return strconv.FormatFloat(math.Round(s*1000)/1000, 'f', -1, 64)
}

// severalDays reports whether the site's clock passes midnight between two times.
func severalDays(w *capture.Work, from, to time.Time) bool {
	return from.In(w.Zone()).Format(time.DateOnly) != to.In(w.Zone()).Format(time.DateOnly)
}

// sixDigits keeps what a screen can show.
func sixDigits(v float64) float64 {
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0
	}
	place := math.Pow10(5 - int(math.Floor(math.Log10(math.Abs(v)))))
	return math.Round(v*place) / place
}
