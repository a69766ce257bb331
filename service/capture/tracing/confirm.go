package tracing

import (
	"context"
	"encoding/json"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/service/capture"
	"rillmark/service/logfile"
	"rillmark/service/logfile/chunk"
)

// Confirm is the command to decode a file as a person confirmed it. What the mapping leaves
// empty is as Propose proposes it; Remember keeps it as the company's map of the layout.
type Confirm struct {
	capture.At
	ID       domain.SeriesID  `json:"id" form:"id"`
	FileID   domain.LogFileID `json:"file_id" form:"file_id"`
	Mapping  logfile.Mapping  `json:"mapping" form:"-"`
	Remember bool             `json:"remember" form:"remember"`
}

// toldSeries is a series as the trail tells it.
type toldSeries struct {
	File       string    `db:"file"`
	Mapping    string    `db:"mapping"`
	Rows       int       `db:"rows"`
	Points     int       `db:"points"`
	First      time.Time `db:"first_at"`
	Last       time.Time `db:"last_at"`
	CapturedAt time.Time `db:"captured_at"`
}

// Confirm decodes a file and keeps the series in chunks. The transaction reads the file
// part by part as it goes, so that memory does not grow with it, and locks nothing that
// another one waits for.
func (s *Service) Confirm(ctx context.Context, a access.Actor, c Confirm) (capture.Written, error) {
	const action = "series.add"
	if err := access.May(a, access.FillSheet); err != nil {
		return capture.Written{}, err
	}
	if !c.ID.Valid() {
		return capture.Written{}, domain.Wrap(action, domain.Refuse(domain.Invalid, domain.NotAnID.At("id")))
	}
	r, source, err := s.reading(ctx, c.FileID, c.Mapping)
	switch {
	case err != nil:
	case r.File.TaskID != c.TaskID:
		err = domain.Refuse(domain.NotFound, domain.NoSuchThing.At("file_id", "log_file"))
	case !r.Proposal.Complete():
		err = r.Proposal.Questions
	}
	if err != nil {
		return capture.Written{}, domain.Wrap(action, err)
	}
	return s.capture.Record(ctx, a, action, c.At, c, false, func(ctx context.Context, row capture.Row) (capture.Written, error) {
		return capture.Written{ID: c.ID.String()}, s.decode(ctx, row, c, r, source)
	})
}

func (s *Service) decode(ctx context.Context, row capture.Row, c Confirm, r Reading, source logfile.Source) error {
	m := r.Proposal.Mapping
	blob, err := openFile(ctx, row, r.File)
	if err == nil && !source.Held() { // unpacking an XLSX again takes longer than a transaction may stand idle
		source, err = logfile.SourceOf(blob, r.File.Size, m.Sheet)
	}
	if err != nil {
		return err
	}
	w := chunkWriter{row: row, series: c.ID}
	packed, err := logfile.Pack(source, m, func(p logfile.Piece) error { return w.add(ctx, p) })
	if err == nil {
		err = w.flush(ctx)
	}
	if err == nil {
		err = blob.Check()
	}
	if err != nil {
		return err
	}
	var mapID *domain.ColumnMapID
	if c.Remember {
		id, err := s.remember(ctx, row, r.Proposal.Fingerprint, m.Lasting(r.Zone))
		if err != nil {
			return err
		}
		mapID = &id
	} else if r.Remembered != nil {
		mapID = &r.Remembered.ID
	}
	return putSeries(ctx, row, c, r.File.Name, m, mapID, packed)
}

// chunkWriter sends chunks a few at a time.
type chunkWriter struct {
	row    capture.Row
	series domain.SeriesID
	n      int
	batch  pgx.Batch
}

// together are sent at once: about half a mebibyte.
const together = 8

func (w *chunkWriter) add(ctx context.Context, p logfile.Piece) error {
	w.batch.Queue(`INSERT INTO series_chunk (series_id, client_id, n, points, first_at, last_at, outline, hash, data)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)`, w.series, w.row.Stamp.ClientID, w.n, p.Points,
		time.UnixMicro(p.First), time.UnixMicro(p.Last), chunk.PackRanges(p.Outline), p.Hash[:], p.Data)
	w.n++
	if w.batch.Len() < together {
		return nil
	}
	return w.flush(ctx)
}

func (w *chunkWriter) flush(ctx context.Context) error {
	if w.batch.Len() == 0 {
		return nil
	}
	err := w.row.SendBatch(ctx, &w.batch).Close()
	w.batch = pgx.Batch{}
	return err
}

func putSeries(ctx context.Context, row capture.Row, c Confirm, file string, m logfile.Mapping, mapID *domain.ColumnMapID, p logfile.Packed) error {
	mapping, err := json.Marshal(m)
	if err != nil {
		return fmt.Errorf("series: %w", err)
	}
	report, err := packReport(p.Report)
	if err != nil {
		return fmt.Errorf("series: %w", err)
	}
	averaging := m.Channel()
	first, last := time.UnixMicro(p.First).UTC(), time.UnixMicro(p.Last).UTC()
	row.Wrote(audit.Kind("series"), c.ID, toldSeries{file, string(mapping), p.Report.Rows, p.Report.Kept, first, last, row.Stamp.CapturedAt})
	if err := row.Run(ctx, `INSERT INTO series (id, client_id, task_id, log_file_id, column_map_id, mapping, zone, unit, counter, averaging, averaging_s,
			rows, points, report, codec, chunks, first_at, last_at, interval_s, resolution, envelope, by, captured_at, received_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20, $21, $22, $23, $24)`,
		c.ID, row.Stamp.ClientID, row.Stamp.TaskID, c.FileID, mapID, string(mapping), m.Zone, m.Unit, m.Counter, averaging.Kind.String(), averaging.Seconds,
		p.Report.Rows, p.Report.Kept, report, chunk.Codec, p.Chunks, first, last, p.Interval, p.Report.Resolution(), chunk.PackRanges(p.Envelope),
		row.Stamp.By, row.Stamp.CapturedAt, row.Stamp.ReceivedAt); err != nil {
		return err
	}
	// The chunks' key is looked at now and not at COMMIT, when the trail's head is locked.
	return row.Run(ctx, "SET CONSTRAINTS series_chunk_series_fk IMMEDIATE")
}
