package equipment

import (
	"context"
	"time"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/kit"
	"rillmark/service/store"
)

// AddItem is the command to add a piece of kit. Its kind stays what it is.
type AddItem struct {
	Operation domain.OperationID `json:"operation" form:"operation"`
	ID        domain.KitID       `json:"id" form:"id"`
	Kind      string             `json:"kind" form:"kind"`
	kit.ItemTexts
}

// ChangeItem is the command to change one.
type ChangeItem struct {
	Operation domain.OperationID `json:"operation" form:"operation"`
	ID        domain.KitID       `json:"id" form:"id"`
	Version   int64              `json:"version" form:"version"`
	kit.ItemTexts
}

// ItemRow is a piece of kit in a list.
type ItemRow struct {
	ID             domain.KitID `db:"id"`
	Kind           kit.Kind     `db:"kind"`
	Tag            string       `db:"tag"`
	Maker          string       `db:"maker"`
	Model          string       `db:"model"`
	Serial         string       `db:"serial"`
	OutOfServiceAt *time.Time   `db:"out_of_service_at"`
	ValidTo        *time.Time   `db:"valid_to"` // end of the last calibration it takes part in; nil: none on record
	SetName        *string      `db:"set_name"` // nil: in no set
	Key            string       `db:"key"`
}

// rowColumns reads ItemRow from kit_item k.
const rowColumns = `k.id, k.kind, k.tag, k.maker, k.model, k.serial, k.out_of_service_at, lower(k.tag) AS key,
	(SELECT max(upper(c.valid)) FROM calibration c WHERE c.kit_id = k.id OR c.pair_id = k.id OR c.cable_id = k.id) AS valid_to,
	(SELECT s.name FROM equipment_set_item i JOIN equipment_set s ON s.id = i.set_id WHERE i.kit_id = k.id AND upper_inf(i.during)) AS set_name`

// Items lists the kit by tag; a kind narrows it.
func (s *Service) Items(ctx context.Context, a access.Actor, kind kit.Kind, f Filter) (Page[ItemRow], error) {
	var none Page[ItemRow]
	if err := access.May(a, access.SeeKit); err != nil {
		return none, err
	}
	from, err := f.From()
	if err != nil {
		return none, err
	}
	rows, err := store.Rows[ItemRow](ctx, s.store, "SELECT "+rowColumns+` FROM kit_item k
		WHERE (lower(k.tag), k.id) > ($1, $2) AND (k.tag ILIKE $3 OR k.serial ILIKE $3 OR k.maker ILIKE $3 OR k.model ILIKE $3)
		  AND ($5 = '' OR k.kind = $5)
		ORDER BY lower(k.tag), k.id LIMIT $4`, from.Key, from.ID, f.Pattern(), f.Rows()+1, string(kind))
	if err != nil {
		return none, domain.Wrap("kit", err)
	}
	return store.PageOf(rows, f, func(r ItemRow) store.Mark { return store.Mark{Key: r.Key, ID: r.ID.UUID} }), nil
}

// mostLapsing bounds what is told about lapsing at once; the list has the rest.
const mostLapsing = 20

// Lapsing returns the items in service whose last calibration ends before the time, the
// one that ends first first. Those with none on record are not among them.
func (s *Service) Lapsing(ctx context.Context, a access.Actor, before time.Time) ([]ItemRow, error) {
	if err := access.May(a, access.SeeKit); err != nil {
		return nil, err
	}
	rows, err := store.Rows[ItemRow](ctx, s.store, "SELECT * FROM (SELECT "+rowColumns+` FROM kit_item k) AS r
		WHERE r.valid_to < $1 AND r.out_of_service_at IS NULL ORDER BY r.valid_to, r.key LIMIT $2`, before, mostLapsing)
	return rows, domain.Wrap("kit that lapses", err)
}

// Item returns one piece of kit.
func (s *Service) Item(ctx context.Context, a access.Actor, id domain.KitID) (kit.Item, error) {
	if err := access.May(a, access.SeeKit); err != nil {
		return kit.Item{}, err
	}
	i, err := findItem(ctx, s.store, id, "")
	return i, domain.Wrap("kit item", err)
}

func findItem(ctx context.Context, q store.Querier, id domain.KitID, lock string) (kit.Item, error) {
	return store.Row[kit.Item](ctx, q, "kit item", "SELECT "+store.KitColumns+" FROM kit_item k WHERE k.id = $1"+lock, id)
}

// AddItem adds a piece of kit.
func (s *Service) AddItem(ctx context.Context, a access.Actor, c AddItem) (Written, error) {
	if err := access.May(a, access.ChangeKit); err != nil {
		return Written{}, err
	}
	i, problems := kit.Item{ID: c.ID, Kind: kit.Kind(c.Kind), Version: 1}.Read(c.ItemTexts, s.zone)
	if err := domain.New(i.ID.Valid(), problems); err != nil {
		return Written{}, domain.Wrap("kit_item.add", err)
	}
	command := store.Command{Actor: a, Action: "kit_item.add", Operation: c.Operation, Request: c}
	return store.Write(ctx, s.store, command, func(ctx context.Context, tx *store.Tx) (Written, error) {
		if err := tx.Run(ctx, `INSERT INTO kit_item (id, kind, tag, maker, model, serial, firmware, works_by, takes_spacing, least_snr_db,
			resolution, resolution_entered, averaging_s, wave, wedge_angle, wedge_sound_speed, exit_offset, frequency, graduation,
			out_of_service_at, out_of_service_why, note, version, created_at, changed_at)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20, $21, $22, $23, $24, $24)`,
			append([]any{i.ID, i.Kind}, append(values(i), i.Version, tx.Now)...)...); err != nil {
			return Written{}, err
		}
		tx.Changed(audit.KitItem, i.ID, i.Version, nil, i)
		return Written{ID: i.ID.String(), Version: i.Version}, nil
	})
}

// values are the columns from tag to note.
func values(i kit.Item) []any {
	return []any{i.Tag, i.Maker, i.Model, i.Serial, i.Firmware, i.WorksBy, i.TakesSpacing, i.LeastSNR, i.Resolution, i.ResolutionEntered,
		i.Averaging, i.Wave, i.WedgeAngle, i.WedgeSoundSpeed, i.ExitOffset, i.Frequency, i.Graduation, i.OutOfServiceAt, i.OutOfServiceWhy, i.Note}
}

// ChangeItem changes a piece of kit, or takes it out of service.
func (s *Service) ChangeItem(ctx context.Context, a access.Actor, c ChangeItem) (Written, error) {
	if err := access.May(a, access.ChangeKit); err != nil {
		return Written{}, err
	}
	command := store.Command{Actor: a, Action: "kit_item.change", Operation: c.Operation, Request: c}
	return store.Write(ctx, s.store, command, func(ctx context.Context, tx *store.Tx) (Written, error) {
		before, err := findItem(ctx, tx, c.ID, " FOR NO KEY UPDATE")
		if err != nil {
			return Written{}, err
		}
		if before.Version != c.Version {
			return Written{}, domain.StaleThing("kit item", before)
		}
		after, err := before.Read(c.ItemTexts, s.zone)
		if err != nil {
			return Written{}, err
		}
		after.Version, after.ChangedAt = before.Version+1, tx.Now
		if err := tx.Run(ctx, `UPDATE kit_item SET tag = $2, maker = $3, model = $4, serial = $5, firmware = $6, works_by = $7,
			takes_spacing = $8, least_snr_db = $9, resolution = $10, resolution_entered = $11, averaging_s = $12, wave = $13,
			wedge_angle = $14, wedge_sound_speed = $15, exit_offset = $16, frequency = $17, graduation = $18,
			out_of_service_at = $19, out_of_service_why = $20, note = $21, version = $22, changed_at = $23 WHERE id = $1`,
			append([]any{after.ID}, append(values(after), after.Version, tx.Now)...)...); err != nil {
			return Written{}, err
		}
		tx.Changed(audit.KitItem, after.ID, after.Version, before, after)
		return Written{ID: after.ID.String(), Version: after.Version}, nil
	})
}
