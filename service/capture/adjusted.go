package capture

import (
	"context"
	"time"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/service/store"
)

// Adjusted is one parameter of a meter that was changed on a work sheet, as the history of
// its point and of the meter tells it.
type Adjusted struct {
	TaskID     domain.TaskID `db:"task_id"`
	At         time.Time     `db:"captured_at"`
	TimeZone   string        `db:"time_zone"`
	Tag        string        `db:"tag"`
	Maker      string        `db:"maker"`
	Model      string        `db:"model"`
	Serial     string        `db:"serial"`
	Indication string        `db:"indication"` // empty: it acts on all
	Parameter  string        `db:"parameter"`
	Old        string        `db:"old_entered"`
	New        string        `db:"new_entered"`
	By         string        `db:"by_name"`
	Reason     string        `db:"reason"`
}

// adjustedAtMost bounds what one timeline tells of adjustments; the newest are told.
const adjustedAtMost = 50

const adjustedQuery = `
	SELECT a.task_id, a.captured_at, s.time_zone, p.tag, m.maker, m.model, m.serial, coalesce(n.name, '') AS indication,
	       a.parameter, a.old_entered, a.new_entered, coalesce(who.name, '') AS by_name, a.reason
	FROM adjustment a
	JOIN task t ON t.id = a.task_id
	JOIN measuring_point p ON p.id = t.point_id
	JOIN site s ON s.id = p.site_id
	JOIN installation i ON i.id = t.installation_id
	JOIN meter m ON m.id = i.meter_id
	LEFT JOIN indication n ON n.id = a.indication_id
	LEFT JOIN person who ON who.id = a.by `

// AdjustedAt tells the adjustments made at a measuring point, the newest first, whichever
// meter was there.
func (s *Service) AdjustedAt(ctx context.Context, a access.Actor, id domain.PointID) ([]Adjusted, error) {
	return s.adjusted(ctx, a, "WHERE t.point_id = $1", id)
}

// AdjustmentsOf tells the adjustments of a meter, the newest first, wherever it was.
func (s *Service) AdjustmentsOf(ctx context.Context, a access.Actor, id domain.MeterID) ([]Adjusted, error) {
	return s.adjusted(ctx, a, "WHERE i.meter_id = $1", id)
}

func (s *Service) adjusted(ctx context.Context, a access.Actor, where string, id any) ([]Adjusted, error) {
	if err := access.May(a, access.SeeSheet); err != nil {
		return nil, err
	}
	all, err := store.Rows[Adjusted](ctx, s.store, adjustedQuery+where+" AND NOT EXISTS (SELECT FROM adjustment c WHERE c.corrects = a.id) ORDER BY a.captured_at DESC, a.id DESC LIMIT $2", id, adjustedAtMost)
	return all, domain.Wrap("adjustments", err)
}
