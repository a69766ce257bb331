package equipment

import (
	"context"
	"slices"

	"github.com/google/uuid"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/domain/kit"
	"rillmark/service/store"
)

// AddSet is the command to put a set together.
type AddSet struct {
	Operation domain.OperationID    `json:"operation" form:"operation"`
	ID        domain.EquipmentSetID `json:"id" form:"id"`
	kit.SetTexts
}

// ChangeSet is the command to rename a set, or to change what is in it.
type ChangeSet struct {
	Operation domain.OperationID    `json:"operation" form:"operation"`
	ID        domain.EquipmentSetID `json:"id" form:"id"`
	Version   int64                 `json:"version" form:"version"`
	kit.SetTexts
}

// SetRow is a set in a list, with the tags of what is in it.
type SetRow struct {
	ID   domain.EquipmentSetID `db:"id"`
	Name string                `db:"name"`
	Tags []string              `db:"tags"`
	Key  string                `db:"key"`
}

// setColumns reads kit.Set from equipment_set s.
const setColumns = `s.id, s.name, s.version, s.created_at, s.changed_at, ARRAY(SELECT i.kit_id::text FROM equipment_set_item i
	WHERE i.set_id = s.id AND upper_inf(i.during) ORDER BY i.kit_id::text COLLATE "C") AS members`

// Sets lists the sets by name.
func (s *Service) Sets(ctx context.Context, a access.Actor, f Filter) (Page[SetRow], error) {
	var none Page[SetRow]
	if err := access.May(a, access.SeeKit); err != nil {
		return none, err
	}
	from, err := f.From()
	if err != nil {
		return none, err
	}
	rows, err := store.Rows[SetRow](ctx, s.store, `SELECT s.id, s.name, lower(s.name) AS key,
		ARRAY(SELECT k.tag FROM equipment_set_item i JOIN kit_item k ON k.id = i.kit_id
		      WHERE i.set_id = s.id AND upper_inf(i.during) ORDER BY lower(k.tag)) AS tags
		FROM equipment_set s
		WHERE (lower(s.name), s.id) > ($1, $2) AND s.name ILIKE $3 ORDER BY lower(s.name), s.id LIMIT $4`,
		from.Key, from.ID, f.Pattern(), f.Rows()+1)
	if err != nil {
		return none, domain.Wrap("equipment sets", err)
	}
	return store.PageOf(rows, f, func(r SetRow) store.Mark { return store.Mark{Key: r.Key, ID: r.ID.UUID} }), nil
}

// Set returns one set and the items in it now, by tag.
func (s *Service) Set(ctx context.Context, a access.Actor, id domain.EquipmentSetID) (kit.Set, []kit.Item, error) {
	if err := access.May(a, access.SeeKit); err != nil {
		return kit.Set{}, nil, err
	}
	set, err := findSet(ctx, s.store, id, "")
	if err != nil {
		return kit.Set{}, nil, domain.Wrap("equipment set", err)
	}
	items, err := store.KitItems(ctx, s.store, set.Members)
	return set, items, domain.Wrap("equipment set", err)
}

func findSet(ctx context.Context, q store.Querier, id domain.EquipmentSetID, lock string) (kit.Set, error) {
	return store.Row[kit.Set](ctx, q, "equipment set", "SELECT "+setColumns+" FROM equipment_set s WHERE s.id = $1"+lock, id)
}

// AddSet puts a set together.
func (s *Service) AddSet(ctx context.Context, a access.Actor, c AddSet) (Written, error) {
	if err := access.May(a, access.ChangeKit); err != nil {
		return Written{}, err
	}
	set, problems := kit.Set{ID: c.ID, Version: 1}.Read(c.SetTexts)
	if err := domain.New(set.ID.Valid(), problems); err != nil {
		return Written{}, domain.Wrap("equipment_set.add", err)
	}
	command := store.Command{Actor: a, Action: "equipment_set.add", Operation: c.Operation, Request: c}
	return store.Write(ctx, s.store, command, func(ctx context.Context, tx *store.Tx) (Written, error) {
		if err := tx.Run(ctx, "INSERT INTO equipment_set (id, name, version, created_at, changed_at) VALUES ($1, $2, $3, $4, $4)",
			set.ID, set.Name, set.Version, tx.Now); err != nil {
			return Written{}, err
		}
		return putSet(ctx, tx, kit.Set{}, set)
	})
}

// ChangeSet changes a set. What leaves it was in it until now, what joins is from now on.
func (s *Service) ChangeSet(ctx context.Context, a access.Actor, c ChangeSet) (Written, error) {
	if err := access.May(a, access.ChangeKit); err != nil {
		return Written{}, err
	}
	read, err := kit.Set{}.Read(c.SetTexts)
	if err != nil {
		return Written{}, domain.Wrap("equipment_set.change", err)
	}
	command := store.Command{Actor: a, Action: "equipment_set.change", Operation: c.Operation, Request: c}
	return store.Write(ctx, s.store, command, func(ctx context.Context, tx *store.Tx) (Written, error) {
		before, err := findSet(ctx, tx, c.ID, " FOR NO KEY UPDATE")
		if err != nil {
			return Written{}, err
		}
		if before.Version != c.Version {
			return Written{}, domain.StaleThing("equipment set", before)
		}
		after := before
		after.Name, after.Members, after.Version = read.Name, read.Members, before.Version+1
		if err := tx.Run(ctx, "UPDATE equipment_set SET name = $2, version = $3, changed_at = $4 WHERE id = $1",
			after.ID, after.Name, after.Version, tx.Now); err != nil {
			return Written{}, err
		}
		return putSet(ctx, tx, before, after)
	})
}

// putSet writes the difference of members and the trail.
func putSet(ctx context.Context, tx *store.Tx, before, after kit.Set) (Written, error) {
	if err := freeForSet(ctx, tx, after); err != nil {
		return Written{}, err
	}
	for _, id := range before.Members {
		if !slices.Contains(after.Members, id) {
			if err := tx.Run(ctx, `UPDATE equipment_set_item SET during = tstzrange(lower(during), $3)
				WHERE set_id = $1 AND kit_id = $2 AND upper_inf(during)`, after.ID, id, tx.Now); err != nil {
				return Written{}, err
			}
		}
	}
	for _, id := range after.Members {
		if !slices.Contains(before.Members, id) {
			if err := tx.Run(ctx, "INSERT INTO equipment_set_item (set_id, kit_id, during) VALUES ($1, $2, tstzrange($3, NULL))",
				after.ID, id, tx.Now); err != nil {
				return Written{}, err
			}
		}
	}
	for _, id := range slices.Concat(before.Members, after.Members) {
		if slices.Contains(before.Members, id) != slices.Contains(after.Members, id) {
			tx.Concerns(audit.KitItem, uuid.MustParse(id)) // Read has checked the form
		}
	}
	if after.Version == 1 {
		tx.Changed(audit.EquipmentSet, after.ID, after.Version, nil, after)
	} else {
		tx.Changed(audit.EquipmentSet, after.ID, after.Version, before, after)
	}
	return Written{ID: after.ID.String(), Version: after.Version}, nil
}

// freeForSet locks the items, in order, and names those that are in another set.
func freeForSet(ctx context.Context, tx *store.Tx, set kit.Set) error {
	type row struct {
		Tag   string  `db:"tag"`
		Other *string `db:"other"`
	}
	rows, err := store.Rows[row](ctx, tx, `SELECT k.tag, (SELECT s.name FROM equipment_set_item i JOIN equipment_set s ON s.id = i.set_id
			WHERE i.kit_id = k.id AND upper_inf(i.during) AND i.set_id <> $2) AS other
		FROM (SELECT id, tag FROM kit_item WHERE id = ANY($1::uuid[]) ORDER BY id FOR NO KEY UPDATE) AS k ORDER BY lower(k.tag)`, set.Members, set.ID)
	if err != nil {
		return err
	}
	if len(rows) != len(set.Members) {
		return domain.Refuse(domain.NotFound, domain.NoSuchThing.At("members", "kit item"))
	}
	var faults fault.List
	for _, r := range rows {
		if r.Other != nil {
			faults = append(faults, kit.InOtherSet.At("members", r.Tag, *r.Other))
		}
	}
	if len(faults) > 0 {
		return &domain.Error{Kind: domain.Taken, Faults: faults}
	}
	return nil
}
