package tracing

import (
	"context"
	"time"

	"rillmark/calc/trace"
	"rillmark/domain"
)

// ClockNote is what both loggers and one clock showed at the start and, where End is not
// empty, at the end, as typed.
type ClockNote struct {
	Start Moment `json:"start"`
	End   Moment `json:"end"`
	Step  string `json:"step" form:"step"` // s to which each was read; empty: 1
}

// Moment is one reading of both loggers against the clock: times like 14:03:20, with the
// date before them where it is not that of the reference's first reading. The clock is in
// the site's zone, each logger in that of its file.
type Moment struct {
	ReferenceClock string `json:"reference_clock"`
	ReferenceShows string `json:"reference_shows"`
	MeterClock     string `json:"meter_clock"`
	MeterShows     string `json:"meter_shows"`
}

func (m Moment) empty() bool {
	return domain.Line(m.ReferenceClock+m.ReferenceShows+m.MeterClock+m.MeterShows) == ""
}

// noted reads a clock note in the seconds of a comparison.
func (s *Service) noted(ctx context.Context, n ClockNote, m matched) (trace.Alignment, error) {
	site, err := s.zoneOf(ctx, s.store, m.referenceChannel.TaskID)
	if err != nil {
		return trace.Alignment{}, err
	}
	var check domain.Check
	step := 1.0
	if domain.Line(n.Step) != "" {
		step = secondsIn(&check, "note.step", n.Step)
	}
	read := func(field string, given Moment) trace.Moment {
		one := func(name, text, zone string) float64 {
			return m.seconds(timeIn(&check, "note."+field+"."+name, text, location(zone), m.From))
		}
		return trace.Moment{
			ReferenceClock: one("reference_clock", given.ReferenceClock, site),
			ReferenceShows: one("reference_shows", given.ReferenceShows, m.referenceChannel.Zone),
			MeterClock:     one("meter_clock", given.MeterClock, site),
			MeterShows:     one("meter_shows", given.MeterShows, m.meterChannel.Zone),
		}
	}
	start := read("start", n.Start)
	var end *trace.Moment
	if !n.End.empty() {
		at := read("end", n.End)
		end = &at
	}
	if err := check.Err(); err != nil {
		return trace.Alignment{}, err
	}
	a, err := trace.Noted(start, end, step, m.To.Sub(m.From).Seconds())
	return a, inField("note", err)
}

// location is a zone as series hold it: checked when the file was read.
func location(zone string) *time.Location {
	if t, err := time.Parse("-07:00", zone); err == nil {
		return t.Location()
	}
	if z, err := time.LoadLocation(zone); err == nil {
		return z
	}
	return time.UTC
}
