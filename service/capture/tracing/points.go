package tracing

import (
	"context"
	"time"

	"rillmark/domain"
	"rillmark/service/logfile"
	"rillmark/service/logfile/chunk"
	"rillmark/service/store"
)

// chunkRow is a chunk as it is kept.
type chunkRow struct {
	Points int       `db:"points"`
	First  time.Time `db:"first_at"`
	Last   time.Time `db:"last_at"`
	Hash   []byte    `db:"hash"`
	Data   []byte    `db:"data"`
}

// chunksBetween is a condition over chunks c of the series $1: those that meet the time
// from $2 to $3, and the one before, in which the reading lies from which a counter's flow
// is told.
const chunksBetween = ` c.series_id = $1 AND c.first_at <= $3 AND c.n >= coalesce((SELECT max(b.n) FROM series_chunk b
	WHERE b.series_id = $1 AND b.first_at < $2), 0)`

// points reads the points of a series between two times, ends included; zero times are
// those of the series. A point before the first is there too where the series has one, so
// that a counter tells the flow at the first. Each chunk is held to its hash.
func (s *Service) points(ctx context.Context, id domain.SeriesID, from, to time.Time, limit int) (logfile.Points, error) {
	from, to = bounds(from, to)
	count, err := store.Scalars[int](ctx, s.store, "SELECT coalesce(sum(points), 0) FROM series_chunk c WHERE"+chunksBetween, id, from, to)
	if err != nil {
		return logfile.Points{}, err
	}
	if count[0] > limit+2*chunk.MostPoints {
		return logfile.Points{}, domain.Refuse(domain.TooLarge, TooManyPoints.At("from", count[0], limit))
	}
	rows, err := store.Rows[chunkRow](ctx, s.store, "SELECT points, first_at, last_at, hash::bytea AS hash, data FROM series_chunk c WHERE"+
		chunksBetween+" ORDER BY c.n", id, from, to)
	if err != nil {
		return logfile.Points{}, err
	}
	p := logfile.Points{Micro: make([]int64, 0, count[0]), Value: make([]float64, 0, count[0])}
	for _, r := range rows {
		c := chunk.Chunk{Points: r.Points, First: r.First.UnixMicro(), Last: r.Last.UnixMicro(), Data: r.Data}
		copy(c.Hash[:], r.Hash)
		micro, value, err := c.Unpack()
		if err != nil {
			return logfile.Points{}, err
		}
		p.Micro, p.Value = append(p.Micro, micro...), append(p.Value, value...)
	}
	return between(p, from.UnixMicro(), to.UnixMicro()), nil
}

// The ends of time that Postgres and microseconds both hold.
var (
	earliest = time.Date(1, 1, 1, 0, 0, 0, 0, time.UTC)
	latest   = time.Date(9999, 1, 1, 0, 0, 0, 0, time.UTC)
)

func bounds(from, to time.Time) (time.Time, time.Time) {
	if from.IsZero() || from.Before(earliest) {
		from = earliest
	}
	if to.IsZero() || to.After(latest) {
		to = latest
	}
	return from, to
}

// between keeps the points from one time to another, and one before.
func between(p logfile.Points, from, to int64) logfile.Points {
	i, j := 0, len(p.Micro)
	for j > 0 && p.Micro[j-1] > to {
		j--
	}
	for i+1 < j && p.Micro[i+1] <= from {
		i++
	}
	return logfile.Points{Micro: p.Micro[i:j], Value: p.Value[i:j]}
}
