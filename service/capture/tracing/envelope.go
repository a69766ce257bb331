package tracing

import (
	"context"
	"slices"
	"time"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/service/logfile"
	"rillmark/service/logfile/chunk"
	"rillmark/service/store"
)

// Envelope is a series ready for drawing: the least, the greatest and the mean flow, m³/s,
// over ranges of time on the logger's own clock. Between two ranges is a gap where the step
// from one to the other is more than Gap; a range spans one only in a series of very many.
type Envelope struct {
	Ranges []chunk.Range
	Exact  bool // every range is one point
	Gap    time.Duration
}

// mostUnpacked is how many chunks are unpacked for a picture; more are drawn from their
// outlines.
const mostUnpacked = 8

// mostWidth bounds what one picture asks for.
const mostWidth = 4000

// Envelope returns about width ranges of a series between two times, or the points where
// there are no more than twice as many; zero times are those of the series. The whole series is drawn from the envelope that was kept with it, a long
// part from the outlines of its chunks, a short one from its points.
func (s *Service) Envelope(ctx context.Context, a access.Actor, id domain.SeriesID, from, to time.Time, width int) (Envelope, error) {
	if err := see(a); err != nil {
		return Envelope{}, err
	}
	e, err := s.envelope(ctx, id, from, to, min(max(width, 1), mostWidth))
	return e, domain.Wrap("envelope", err)
}

func (s *Service) envelope(ctx context.Context, id domain.SeriesID, from, to time.Time, width int) (Envelope, error) {
	type whole struct {
		Points   int       `db:"points"`
		Chunks   int       `db:"chunks"`
		First    time.Time `db:"first_at"`
		Last     time.Time `db:"last_at"`
		Counter  bool      `db:"counter"`
		Interval float64   `db:"interval_s"`
		Envelope []byte    `db:"envelope"`
	}
	w, err := store.Row[whole](ctx, s.store, "series", "SELECT points, chunks, first_at, last_at, counter, interval_s, envelope FROM series WHERE id = $1", id)
	if err != nil {
		return Envelope{}, err
	}
	gap := time.Duration(w.Interval * 3 * float64(time.Second))
	all := (from.IsZero() || !from.After(w.First)) && (to.IsZero() || !to.Before(w.Last))
	if all && width <= chunk.MostRanges && w.Points > 2*width {
		ranges, err := chunk.UnpackRanges(w.Envelope)
		return drawn(ranges, width, gap), err
	}
	from, to = bounds(from, to)
	chunks, err := store.Scalars[int](ctx, s.store, "SELECT count(*)::int FROM series_chunk c WHERE"+chunksBetween, id, from, to)
	if err != nil {
		return Envelope{}, err
	}
	if chunks[0] > mostUnpacked {
		ranges, err := s.outlines(ctx, id, from, to)
		return drawn(ranges, width, gap), err
	}
	p, err := s.points(ctx, id, from, to, MaxCompared)
	if err != nil {
		return Envelope{}, err
	}
	flow := logfile.Mapping{Counter: w.Counter}.Flow(p)
	i, j := inside(p.Micro, from.UnixMicro(), to.UnixMicro())
	each := 1
	if j-i > 2*width {
		each = (j - i + width - 1) / width
	}
	return Envelope{chunk.RangesOf(p.Micro[i:j], flow[i:j], each, gap.Microseconds()), each == 1, gap}, nil
}

func (s *Service) outlines(ctx context.Context, id domain.SeriesID, from, to time.Time) ([]chunk.Range, error) {
	packed, err := store.Scalars[[]byte](ctx, s.store, "SELECT outline FROM series_chunk c WHERE"+chunksBetween+" ORDER BY c.n", id, from, to)
	var all []chunk.Range
	for _, b := range packed {
		ranges, err := chunk.UnpackRanges(b)
		if err != nil {
			return nil, err
		}
		all = append(all, ranges...)
	}
	i, j := 0, len(all)
	for i+1 < j && all[i+1].From <= from.UnixMicro() {
		i++
	}
	for j-1 > i && all[j-2].To >= to.UnixMicro() {
		j--
	}
	return all[i:j], err
}

// inside is the part of the times that meets a time, and one on either side, to which a line
// is drawn.
func inside(at []int64, from, to int64) (i, j int) {
	j = len(at)
	for i+1 < j && at[i+1] <= from {
		i++
	}
	for j-1 > i && at[j-2] >= to {
		j--
	}
	return i, j
}

// drawn joins neighbours until about width are left.
func drawn(all []chunk.Range, width int, gap time.Duration) Envelope {
	e := Envelope{Ranges: all, Gap: gap}
	if len(all) > width {
		e.Ranges = chunk.Joined(all, (len(all)+width-1)/width, gap.Microseconds())
	}
	e.Exact = !slices.ContainsFunc(e.Ranges, func(r chunk.Range) bool { return r.Points > 1 })
	return e
}
