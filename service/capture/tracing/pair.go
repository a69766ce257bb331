package tracing

import (
	"context"
	"math"
	"time"

	"rillmark/calc/trace"
	"rillmark/domain"
	"rillmark/service/logfile"
)

// Pair is two series to be compared, and how.
type Pair struct {
	ReferenceID domain.SeriesID `json:"reference_id" form:"reference_id"`
	MeterID     domain.SeriesID `json:"meter_id" form:"meter_id"`
	// How each was averaged before it was logged; nil: as its column map says.
	ReferenceAveraging *logfile.Averaging `json:"reference_averaging,omitempty" form:"-"`
	MeterAveraging     *logfile.Averaging `json:"meter_averaging,omitempty" form:"-"`
	// The part of the reference's series to be compared; zero: all of it.
	From time.Time `json:"from,omitzero" form:"from"`
	To   time.Time `json:"to,omitzero" form:"to"`
	// How far apart the clocks may be, s; 0: trace.DefaultSearch.
	Search float64 `json:"search_s,omitempty" form:"-"`
}

// matched is a pair with its points. Seconds count from origin, the first point of the
// reference that is compared, in microseconds since 1970.
type matched struct {
	Pair
	referenceChannel, meterChannel Channel
	reference, meter               trace.Series
	points                         [2]logfile.Points // of reference and meter, as they were read
	origin                         int64
}

// match reads both series of a pair. The pair comes back complete.
func (s *Service) match(ctx context.Context, p Pair) (m matched, err error) {
	if m.referenceChannel, err = s.channel(ctx, p.ReferenceID); err != nil {
		return m, inField("reference_id", err)
	}
	if m.meterChannel, err = s.channel(ctx, p.MeterID); err != nil {
		return m, inField("meter_id", err)
	}
	var check domain.Check
	if m.referenceChannel.Role != Reference {
		check.Add(NotAReference.At("reference_id"))
	}
	if m.meterChannel.Role != Meter {
		check.Add(NotAMeter.At("meter_id"))
	}
	if m.referenceChannel.TaskID != m.meterChannel.TaskID {
		check.Add(OtherTask.At("meter_id"))
	}
	if p.Search == 0 {
		p.Search = trace.DefaultSearch
	}
	if !(p.Search > 0 && p.Search <= 86400) {
		check.Add(trace.CodeBadSearch.At("search_s", p.Search))
	}
	if err := check.Err(); err != nil {
		return m, err
	}
	m.Pair = p.complete(m.referenceChannel, m.meterChannel)
	return m, s.readBoth(ctx, &m)
}

func (p Pair) complete(reference, meter Channel) Pair {
	if p.ReferenceAveraging == nil {
		p.ReferenceAveraging = &reference.Averaging
	}
	if p.MeterAveraging == nil {
		p.MeterAveraging = &meter.Averaging
	}
	if p.From.IsZero() || p.From.Before(reference.First) {
		p.From = reference.First
	}
	if p.To.IsZero() || p.To.After(reference.Last) {
		p.To = reference.Last
	}
	p.From, p.To = p.From.UTC().Truncate(time.Microsecond), p.To.UTC().Truncate(time.Microsecond)
	return p
}

func (s *Service) readBoth(ctx context.Context, m *matched) error {
	if !m.From.Before(m.To) {
		return domain.Refuse(domain.Invalid, NoPoints.At("from"))
	}
	apart := time.Duration(m.Search * float64(time.Second))
	var err error
	if m.points[0], err = s.window(ctx, m.referenceChannel, m.From, m.To); err != nil {
		return err
	}
	if m.points[1], err = s.window(ctx, m.meterChannel, m.From.Add(-apart), m.To.Add(apart)); err != nil {
		return err
	}
	m.origin = m.points[0].Micro[0]
	if m.reference, err = seriesOf(m.referenceChannel, m.points[0], *m.ReferenceAveraging, m.origin); err != nil {
		return inField("reference_id", err)
	}
	m.meter, err = seriesOf(m.meterChannel, m.points[1], *m.MeterAveraging, m.origin)
	return inField("meter_id", err)
}

// window reads the points of a channel between two times. Only a counter needs the reading
// before.
func (s *Service) window(ctx context.Context, c Channel, from, to time.Time) (logfile.Points, error) {
	p, err := s.points(ctx, c.ID, from, to, MaxCompared)
	if err != nil {
		return p, err
	}
	if !c.Counter && len(p.Micro) > 0 && p.Micro[0] < from.UnixMicro() {
		p.Micro, p.Value = p.Micro[1:], p.Value[1:]
	}
	if len(p.Micro) == 0 {
		return p, domain.Refuse(domain.Invalid, NoPoints.At("from"))
	}
	return p, nil
}

// seriesOf is a channel as package trace compares it: made by the code that reads files for
// the command line.
func seriesOf(c Channel, p logfile.Points, a logfile.Averaging, origin int64) (trace.Series, error) {
	m := c.Mapping
	m.Averaging = &a
	return logfile.Channel{Points: p, Mapping: m, Report: c.Report}.Series(origin)
}

// at is a time of the reference's clock from seconds of the comparison.
func (m matched) at(seconds float64) time.Time {
	return time.UnixMicro(m.origin + int64(math.Round(seconds*1e6))).UTC()
}

// seconds is a time of the reference's clock in seconds of the comparison.
func (m matched) seconds(t time.Time) float64 { return float64(t.UnixMicro()-m.origin) / 1e6 }

// inField puts the faults of an error into a field, where they are about nothing narrower.
func inField(field string, err error) error {
	return renamed(err, func(was string) string {
		if was == "" {
			return field
		}
		return field + "." + was
	})
}
