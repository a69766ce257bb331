package registry

import (
	"context"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/register"
	"rillmark/service/store"
)

// AddMeter is the command to add a meter of a client.
type AddMeter struct {
	Operation domain.OperationID `json:"operation" form:"operation"`
	ID        domain.MeterID     `json:"id" form:"id"`
	ClientID  domain.ClientID    `json:"client_id" form:"client_id"`
	register.MeterTexts
}

// ChangeMeter is the command to change one.
type ChangeMeter struct {
	Operation domain.OperationID `json:"operation" form:"operation"`
	ID        domain.MeterID     `json:"id" form:"id"`
	Version   int64              `json:"version" form:"version"`
	register.MeterTexts
}

// MeterRow is a meter in a list, with where it is now.
type MeterRow struct {
	ID        domain.MeterID `db:"id"`
	Maker     string         `db:"maker"`
	Model     string         `db:"model"`
	Serial    string         `db:"serial"`
	Principle string         `db:"principle"`
	PointTag  *string        `db:"point_tag"` // nil: nowhere at present
	SiteName  *string        `db:"site_name"`
	Key       string         `db:"key"`
}

const meterColumns = `id, client_id, principle, maker, model, serial, firmware, nominal_size, measurand,
	note, version, created_at, changed_at`

// Meters lists a client's meters by serial number.
func (s *Service) Meters(ctx context.Context, a access.Actor, of domain.ClientID, f Filter) (Page[MeterRow], error) {
	var none Page[MeterRow]
	if err := access.May(a, access.SeeRegister); err != nil {
		return none, err
	}
	from, err := f.From()
	if err != nil {
		return none, err
	}
	rows, err := store.Rows[MeterRow](ctx, s.store, `
		SELECT m.id, m.maker, m.model, m.serial, m.principle, p.tag AS point_tag, s.name AS site_name, lower(m.serial) AS key
		FROM meter m
		LEFT JOIN installation i ON i.meter_id = m.id AND upper_inf(i.during)
		LEFT JOIN measuring_point p ON p.id = i.point_id
		LEFT JOIN site s ON s.id = p.site_id
		WHERE m.client_id = $5 AND (lower(m.serial), m.id) > ($1, $2)
		  AND (m.serial ILIKE $3 OR m.maker ILIKE $3 OR m.model ILIKE $3)
		ORDER BY lower(m.serial), m.id LIMIT $4`, from.Key, from.ID, f.Pattern(), f.Rows()+1, of)
	if err != nil {
		return none, domain.Wrap("meters", err)
	}
	return store.PageOf(rows, f, func(r MeterRow) mark { return mark{Key: r.Key, ID: r.ID.UUID} }), nil
}

// Meter returns one meter.
func (s *Service) Meter(ctx context.Context, a access.Actor, id domain.MeterID) (register.Meter, error) {
	if err := access.May(a, access.SeeRegister); err != nil {
		return register.Meter{}, err
	}
	m, err := findMeter(ctx, s.store, id, "")
	return m, domain.Wrap("meter", err)
}

func findMeter(ctx context.Context, q store.Querier, id domain.MeterID, lock string) (register.Meter, error) {
	return store.Row[register.Meter](ctx, q, "meter", "SELECT "+meterColumns+" FROM meter WHERE id = $1"+lock, id)
}

// AddMeter adds a meter.
func (s *Service) AddMeter(ctx context.Context, a access.Actor, c AddMeter) (Written, error) {
	if err := access.May(a, access.ChangeMeter); err != nil {
		return Written{}, err
	}
	meter, problems := register.Meter{ID: c.ID, ClientID: c.ClientID, Version: 1}.Read(c.MeterTexts)
	if err := domain.New(meter.ID.Valid(), problems); err != nil {
		return Written{}, domain.Wrap("meter.add", err)
	}
	command := store.Command{Actor: a, Action: "meter.add", Operation: c.Operation, Request: c}
	return store.Write(ctx, s.store, command, func(ctx context.Context, tx *store.Tx) (Written, error) {
		if err := tx.Run(ctx, "INSERT INTO meter ("+meterColumns+") VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $12)",
			meter.ID, meter.ClientID, meter.Principle, meter.Maker, meter.Model, meter.Serial, meter.Firmware,
			meter.NominalSize, meter.Measurand, meter.Note, meter.Version, tx.Now); err != nil {
			return Written{}, err
		}
		tx.Changed(audit.Meter, meter.ID, meter.Version, nil, meter)
		tx.Concerns(audit.Client, meter.ClientID)
		return Written{ID: meter.ID.String(), Version: meter.Version}, nil
	})
}

// ChangeMeter changes a meter. The history of the point where it is shows the change too.
func (s *Service) ChangeMeter(ctx context.Context, a access.Actor, c ChangeMeter) (Written, error) {
	if err := access.May(a, access.ChangeMeter); err != nil {
		return Written{}, err
	}
	read, err := register.Meter{}.Read(c.MeterTexts)
	if err != nil {
		return Written{}, domain.Wrap("meter.change", err)
	}
	command := store.Command{Actor: a, Action: "meter.change", Operation: c.Operation, Request: c}
	return store.Write(ctx, s.store, command, func(ctx context.Context, tx *store.Tx) (Written, error) {
		before, err := findMeter(ctx, tx, c.ID, " FOR NO KEY UPDATE")
		if err != nil {
			return Written{}, err
		}
		if before.Version != c.Version {
			return Written{}, domain.StaleThing("meter", before)
		}
		after := read
		after.ID, after.ClientID = before.ID, before.ClientID
		after.Version, after.CreatedAt, after.ChangedAt = before.Version+1, before.CreatedAt, tx.Now
		if err := tx.Run(ctx, `UPDATE meter SET principle = $2, maker = $3, model = $4, serial = $5, firmware = $6,
			nominal_size = $7, measurand = $8, note = $9, version = $10, changed_at = $11 WHERE id = $1`,
			after.ID, after.Principle, after.Maker, after.Model, after.Serial, after.Firmware, after.NominalSize,
			after.Measurand, after.Note, after.Version, tx.Now); err != nil {
			return Written{}, err
		}
		tx.Changed(audit.Meter, after.ID, after.Version, before, after)
		tx.Concerns(audit.Client, after.ClientID)
		return Written{ID: after.ID.String(), Version: after.Version}, concernsPoint(ctx, tx, after.ID)
	})
}

// concernsPoint makes an event about a meter one of the measuring point where it is now.
func concernsPoint(ctx context.Context, tx *store.Tx, id domain.MeterID) error {
	points, err := store.Scalars[domain.PointID](ctx, tx, "SELECT point_id FROM installation WHERE meter_id = $1 AND upper_inf(during)", id)
	for _, p := range points {
		tx.Concerns(audit.Point, p)
	}
	return err
}
