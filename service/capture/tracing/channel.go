package tracing

import (
	"context"
	"time"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/service/logfile"
	"rillmark/service/store"
)

// Channel is a series as it was decoded, without its points. Times are on the logger's own
// clock.
type Channel struct {
	ID           domain.SeriesID
	FileID       domain.LogFileID
	TaskID       domain.TaskID
	Role         Role
	IndicationID *domain.IndicationID
	Indication   string // its name; empty of the reference
	File         string // its name
	Mapping      logfile.Mapping
	Report       logfile.Report
	Zone         string // of stamps that do not say theirs
	Unit         string // in the file
	Counter      bool   // the file counts volume
	Averaging    logfile.Averaging
	Points       int
	First, Last  time.Time
	Interval     float64 // s, median step at the beginning
	Resolution   float64 // m³/s, of a counter m³; 0: not known
	By           domain.PersonID
	CapturedAt   time.Time
	ReceivedAt   time.Time
}

type channelRow struct {
	ID           domain.SeriesID      `db:"id"`
	FileID       domain.LogFileID     `db:"log_file_id"`
	TaskID       domain.TaskID        `db:"task_id"`
	Role         Role                 `db:"role"`
	IndicationID *domain.IndicationID `db:"indication_id"`
	Indication   string               `db:"indication"`
	File         string               `db:"file"`
	Mapping      string               `db:"mapping"`
	Report       string               `db:"report"`
	Zone         string               `db:"zone"`
	Unit         string               `db:"unit"`
	Counter      bool                 `db:"counter"`
	Averaging    string               `db:"averaging"`
	AveragingS   float64              `db:"averaging_s"`
	Points       int                  `db:"points"`
	First        time.Time            `db:"first_at"`
	Last         time.Time            `db:"last_at"`
	Interval     float64              `db:"interval_s"`
	Resolution   float64              `db:"resolution"`
	By           domain.PersonID      `db:"by"`
	CapturedAt   time.Time            `db:"captured_at"`
	ReceivedAt   time.Time            `db:"received_at"`
}

const channelColumns = `SELECT s.id, s.log_file_id, s.task_id, f.role, f.indication_id, coalesce(i.name, '') AS indication, f.name AS file,
	s.mapping, s.report, s.zone, s.unit, s.counter, s.averaging, s.averaging_s, s.points, s.first_at, s.last_at, s.interval_s, s.resolution,
	s.by, s.captured_at, s.received_at
	FROM series s JOIN log_file f ON f.id = s.log_file_id LEFT JOIN indication i ON i.id = f.indication_id`

// newestOfFile leaves out a series that was decoded again.
const newestOfFile = ` AND NOT EXISTS (SELECT FROM series n WHERE n.log_file_id = s.log_file_id AND n.task_id = s.task_id
	AND (n.received_at, n.id) > (s.received_at, s.id))`

func (r channelRow) channel() (Channel, error) {
	c := Channel{ID: r.ID, FileID: r.FileID, TaskID: r.TaskID, Role: r.Role, IndicationID: r.IndicationID, Indication: r.Indication,
		File: r.File, Zone: r.Zone, Unit: r.Unit, Counter: r.Counter, Averaging: logfile.Averaging{Kind: r.Averaging, Seconds: r.AveragingS},
		Points: r.Points, First: r.First.UTC(), Last: r.Last.UTC(), Interval: r.Interval, Resolution: r.Resolution,
		By: r.By, CapturedAt: r.CapturedAt.UTC(), ReceivedAt: r.ReceivedAt.UTC()}
	var err error
	if c.Mapping, err = logfile.ParseMapping([]byte(r.Mapping)); err != nil {
		return c, err
	}
	c.Report, err = unpackReport(r.Report)
	return c, err
}

// Channels are the series of a task, the newest of each file, the reference's first.
func (s *Service) Channels(ctx context.Context, a access.Actor, task domain.TaskID) ([]Channel, error) {
	if err := see(a); err != nil {
		return nil, err
	}
	rows, err := store.Rows[channelRow](ctx, s.store, channelColumns+" WHERE s.task_id = $1"+newestOfFile+
		" ORDER BY f.role DESC, f.received_at, f.id", task)
	if err != nil {
		return nil, domain.Wrap("channels", err)
	}
	all := make([]Channel, len(rows))
	for i, r := range rows {
		if all[i], err = r.channel(); err != nil {
			return nil, domain.Wrap("channels", err)
		}
	}
	return all, nil
}

// ChannelOf is one series, whether or not it was decoded again later.
func (s *Service) ChannelOf(ctx context.Context, a access.Actor, id domain.SeriesID) (Channel, error) {
	if err := see(a); err != nil {
		return Channel{}, err
	}
	c, err := s.channel(ctx, id)
	return c, domain.Wrap("channel", err)
}

func (s *Service) channel(ctx context.Context, id domain.SeriesID) (Channel, error) {
	r, err := store.Row[channelRow](ctx, s.store, "series", channelColumns+" WHERE s.id = $1", id)
	if err != nil {
		return Channel{}, err
	}
	return r.channel()
}
