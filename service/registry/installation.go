package registry

import (
	"context"
	"time"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/register"
	"rillmark/service/store"
)

// Install is the command to note that a meter was installed at a measuring point. Times
// are those of the site.
type Install struct {
	Operation domain.OperationID    `json:"operation" form:"operation"`
	ID        domain.InstallationID `json:"id" form:"id"`
	MeterID   domain.MeterID        `json:"meter_id" form:"meter_id"`
	PointID   domain.PointID        `json:"point_id" form:"point_id"`
	register.InstallTexts
}

// ChangeInstallation is the command to note the removal, or to correct the times.
type ChangeInstallation struct {
	Operation domain.OperationID    `json:"operation" form:"operation"`
	ID        domain.InstallationID `json:"id" form:"id"`
	Version   int64                 `json:"version" form:"version"`
	register.RemoveTexts
}

// Placed is an installation with the names of what it joins, for timelines.
type Placed struct {
	register.Installation
	Maker    string        `db:"maker"`
	Model    string        `db:"model"`
	Serial   string        `db:"serial"`
	PointTag string        `db:"point_tag"`
	SiteID   domain.SiteID `db:"site_id"`
	SiteName string        `db:"site_name"`
	TimeZone string        `db:"time_zone"`
}

// Meter names the meter as people do.
func (p Placed) Meter() string { return meterName(p.Maker, p.Model, p.Serial) }

func meterName(maker, model, serial string) string {
	name := serial
	for _, part := range []string{model, maker} {
		if part != "" {
			name = part + " " + name
		}
	}
	return name
}

const placedColumns = `i.id, i.client_id, i.meter_id, i.point_id, i.slot, lower(i.during) AS installed_at, upper(i.during) AS removed_at,
	i.installed_by, i.install_reason, i.removed_by, i.remove_reason, i.version, i.created_at, i.changed_at,
	m.maker, m.model, m.serial, p.tag AS point_tag, s.id AS site_id, s.name AS site_name, s.time_zone`

const placedTables = ` FROM installation i JOIN meter m ON m.id = i.meter_id
	JOIN measuring_point p ON p.id = i.point_id JOIN site s ON s.id = p.site_id `

// mostInstallations bounds a timeline; a meter is changed every few years.
const mostInstallations = 200

// InstalledAt returns the installations at a measuring point, the newest first.
func (s *Service) InstalledAt(ctx context.Context, a access.Actor, id domain.PointID) ([]Placed, error) {
	return s.placed(ctx, a, "WHERE i.point_id = $1", id)
}

// PlacesOf returns where a meter was, the newest first.
func (s *Service) PlacesOf(ctx context.Context, a access.Actor, id domain.MeterID) ([]Placed, error) {
	return s.placed(ctx, a, "WHERE i.meter_id = $1", id)
}

func (s *Service) placed(ctx context.Context, a access.Actor, where string, id any) ([]Placed, error) {
	if err := access.May(a, access.SeeRegister); err != nil {
		return nil, err
	}
	rows, err := store.Rows[Placed](ctx, s.store, "SELECT "+placedColumns+placedTables+where+
		" ORDER BY lower(i.during) DESC, i.slot LIMIT $2", id, mostInstallations)
	return rows, domain.Wrap("installations", err)
}

// Installation returns one installation with the names of what it joins.
func (s *Service) Installation(ctx context.Context, a access.Actor, id domain.InstallationID) (Placed, error) {
	if err := access.May(a, access.SeeRegister); err != nil {
		return Placed{}, err
	}
	p, err := findPlaced(ctx, s.store, id, "")
	return p, domain.Wrap("installation", err)
}

func findPlaced(ctx context.Context, q store.Querier, id domain.InstallationID, lock string) (Placed, error) {
	return store.Row[Placed](ctx, q, "installation", "SELECT "+placedColumns+placedTables+"WHERE i.id = $1"+lock, id)
}

// Install notes that a meter was installed. What stands in the way is named: the meter
// that is there, or the place where this one is.
func (s *Service) Install(ctx context.Context, a access.Actor, c Install) (Written, error) {
	if err := access.May(a, access.ChangeMeter); err != nil {
		return Written{}, err
	}
	point, zone, err := s.placeOf(ctx, c.PointID)
	if err != nil {
		return Written{}, domain.Wrap("installation.add", err)
	}
	i, problems := register.Installation{ID: c.ID, ClientID: point.ClientID, MeterID: c.MeterID, PointID: c.PointID, Version: 1}.Install(c.InstallTexts, zone)
	var check domain.Check
	if !c.MeterID.Valid() {
		check.Add(domain.Required.At("meter_id"))
	}
	check.Merge(problems)
	if err := domain.New(i.ID.Valid(), check.Err()); err != nil {
		return Written{}, domain.Wrap("installation.add", err)
	}
	command := store.Command{Actor: a, Action: "installation.add", Operation: c.Operation, Request: c}
	return store.Write(ctx, s.store, command, func(ctx context.Context, tx *store.Tx) (Written, error) {
		if err := lockPlace(ctx, tx, i); err != nil {
			return Written{}, err
		}
		if err := inTheWay(ctx, tx, i, zone); err != nil {
			return Written{}, err
		}
		if err := tx.Run(ctx, `INSERT INTO installation (id, client_id, meter_id, point_id, slot, during, installed_by, install_reason,
			removed_by, remove_reason, version, created_at, changed_at)
			VALUES ($1, $2, $3, $4, $5, tstzrange($6, $7), $8, $9, $10, $11, $12, $13, $13)`,
			i.ID, i.ClientID, i.MeterID, i.PointID, i.Slot, i.InstalledAt, i.RemovedAt, i.InstalledBy, i.InstallReason,
			i.RemovedBy, i.RemoveReason, i.Version, tx.Now); err != nil {
			return Written{}, err
		}
		return installationWritten(tx, nil, i)
	})
}

// ChangeInstallation notes a removal, or corrects when a meter was there.
func (s *Service) ChangeInstallation(ctx context.Context, a access.Actor, c ChangeInstallation) (Written, error) {
	if err := access.May(a, access.ChangeMeter); err != nil {
		return Written{}, err
	}
	known, err := findPlaced(ctx, s.store, c.ID, "")
	if err != nil {
		return Written{}, domain.Wrap("installation.change", err)
	}
	zone, err := time.LoadLocation(known.TimeZone)
	if err != nil {
		return Written{}, domain.Wrap("installation.change", err)
	}
	read, err := register.Installation{}.Remove(c.RemoveTexts, zone)
	if err != nil {
		return Written{}, domain.Wrap("installation.change", err)
	}
	command := store.Command{Actor: a, Action: "installation.change", Operation: c.Operation, Request: c}
	return store.Write(ctx, s.store, command, func(ctx context.Context, tx *store.Tx) (Written, error) {
		if err := lockPlace(ctx, tx, known.Installation); err != nil {
			return Written{}, err
		}
		placed, err := findPlaced(ctx, tx, c.ID, " FOR NO KEY UPDATE OF i")
		if err != nil {
			return Written{}, err
		}
		before := placed.Installation
		if before.Version != c.Version {
			return Written{}, domain.StaleThing("installation", before)
		}
		after := before
		after.InstalledAt, after.RemovedAt, after.RemovedBy, after.RemoveReason = read.InstalledAt, read.RemovedAt, read.RemovedBy, read.RemoveReason
		after.Version, after.ChangedAt = before.Version+1, tx.Now
		if err := inTheWay(ctx, tx, after, zone); err != nil {
			return Written{}, err
		}
		if err := tx.Run(ctx, `UPDATE installation SET during = tstzrange($2, $3), removed_by = $4, remove_reason = $5,
			version = $6, changed_at = $7 WHERE id = $1`,
			after.ID, after.InstalledAt, after.RemovedAt, after.RemovedBy, after.RemoveReason, after.Version, tx.Now); err != nil {
			return Written{}, err
		}
		return installationWritten(tx, before, after)
	})
}

func (s *Service) placeOf(ctx context.Context, id domain.PointID) (register.Point, *time.Location, error) {
	point, err := findPoint(ctx, s.store, id, "")
	if err != nil {
		return point, nil, err
	}
	site, err := findSite(ctx, s.store, point.SiteID, "")
	if err != nil {
		return point, nil, err
	}
	zone, err := time.LoadLocation(site.TimeZone)
	return point, zone, err
}

// lockPlace holds the point and the meter, in that order, so that nobody else installs or
// removes there meanwhile. A meter of another client is refused.
func lockPlace(ctx context.Context, tx *store.Tx, i register.Installation) error {
	if _, err := findPoint(ctx, tx, i.PointID, " FOR NO KEY UPDATE"); err != nil {
		return err
	}
	meter, err := findMeter(ctx, tx, i.MeterID, " FOR NO KEY UPDATE")
	if err == nil && meter.ClientID != i.ClientID {
		return domain.Refuse(domain.Invalid, register.OfOtherClient.At("meter_id"))
	}
	return err
}

// inTheWay names what the installation would meet: another meter at its place, or its
// meter at another place. Postgres holds the same rule; this gives it words.
func inTheWay(ctx context.Context, tx *store.Tx, i register.Installation, zone *time.Location) error {
	others, err := store.Rows[Placed](ctx, tx, "SELECT "+placedColumns+placedTables+`
		WHERE i.id <> $1 AND i.during && tstzrange($2, $3) AND (i.meter_id = $4 OR i.point_id = $5 AND i.slot = $6)
		ORDER BY lower(i.during) LIMIT 5`, i.ID, i.InstalledAt, i.RemovedAt, i.MeterID, i.PointID, i.Slot)
	if err != nil {
		return err
	}
	var faults fault.List
	for _, o := range others {
		since, until := o.InstalledAt.In(zone).Format(wordedDay), "today"
		if o.RemovedAt != nil {
			until = o.RemovedAt.In(zone).Format(wordedDay)
		}
		if o.MeterID == i.MeterID {
			faults = append(faults, register.MeterElsewhere.At("meter_id", o.PointTag, o.SiteName, since, until))
		} else {
			faults = append(faults, register.SlotTaken.At("installed_at", o.Meter(), since, until))
		}
	}
	if len(faults) == 0 {
		return nil
	}
	return &domain.Error{Kind: domain.Taken, Faults: faults}
}

// wordedDay is a date in a sentence.
const wordedDay = "2 January 2006, 15:04"

func installationWritten(tx *store.Tx, before any, i register.Installation) (Written, error) {
	tx.Changed(audit.Installation, i.ID, i.Version, before, i)
	tx.Concerns(audit.Meter, i.MeterID)
	tx.Concerns(audit.Point, i.PointID)
	tx.Concerns(audit.Client, i.ClientID)
	return Written{ID: i.ID.String(), Version: i.Version}, nil
}
