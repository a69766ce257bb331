package planning

import (
	"cmp"
	"context"
	"slices"
	"time"

	"github.com/google/uuid"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/audit"
	"rillmark/domain/visit"
	"rillmark/service/store"
)

// party is who and what goes on a visit.
type party struct {
	people []domain.PersonID
	kit    []domain.KitID
}

func newParty(people []domain.PersonID, kit []domain.KitID) party {
	byID := func(a, b uuid.UUID) int { return cmp.Compare(a.String(), b.String()) }
	p := party{slices.Clone(people), slices.Clone(kit)}
	slices.SortFunc(p.people, func(a, b domain.PersonID) int { return byID(a.UUID, b.UUID) })
	slices.SortFunc(p.kit, func(a, b domain.KitID) int { return byID(a.UUID, b.UUID) })
	p.people, p.kit = slices.Compact(p.people), slices.Compact(p.kit)
	return p
}

// partyOf returns who and what is booked for a visit now.
func partyOf(ctx context.Context, q store.Querier, id domain.VisitID) (party, error) {
	people, err := store.Scalars[domain.PersonID](ctx, q, "SELECT person_id FROM booking WHERE visit_id = $1 AND person_id IS NOT NULL AND NOT released", id)
	if err != nil {
		return party{}, err
	}
	kit, err := store.Scalars[domain.KitID](ctx, q, "SELECT kit_id FROM booking WHERE visit_id = $1 AND kit_id IS NOT NULL AND NOT released", id)
	return newParty(people, kit), err
}

// toldParty is what the trail tells of a party.
type toldParty struct {
	People []string `db:"people" audit:"text"`
	Kit    []string `db:"kit" audit:"text"`
}

func (p party) told() toldParty { return toldParty{texts(p.people), texts(p.kit)} }

// tellParty tells the trail how a party changed, where it did.
func tellParty(tx *store.Tx, v visit.Visit, was, is party) {
	if !slices.Equal(was.people, is.people) || !slices.Equal(was.kit, is.kit) {
		tx.Changed(audit.Visit, v.ID, v.Version, was.told(), is.told())
	}
}

// texts is a list of ids as the database takes it: as uuid[] through their text.
func texts[K any](ids []domain.ID[K]) []string {
	list := make([]string, len(ids))
	for i, id := range ids {
		list[i] = id.String()
	}
	return list
}

// check judges the party before any lock is taken.
func (p party) check(c *domain.Check) {
	switch {
	case len(p.people) == 0:
		c.Add(NoCrew.At("people"))
	case len(p.people) > mostAtOnce:
		c.Add(TooMany.At("people", mostAtOnce))
	}
	if len(p.kit) > mostAtOnce {
		c.Add(TooMany.At("kit", mostAtOnce))
	}
}

// lock takes the booking locks of everyone and everything, sorted: two who book the same
// crew and kit in another order would otherwise stop each other.
func (p party) lock(ctx context.Context, tx *store.Tx) error {
	keys := append(texts(p.people), texts(p.kit)...)
	slices.Sort(keys)
	for _, key := range keys {
		if err := tx.Run(ctx, "SELECT pg_advisory_xact_lock(7230103, hashtext($1))", key); err != nil {
			return err
		}
	}
	return nil
}

type clash struct {
	Name     string    `db:"name"`
	Site     string    `db:"site"`
	TimeZone string    `db:"time_zone"`
	From     time.Time `db:"starts_at"`
	Until    time.Time `db:"ends_at"`
	IsPerson bool      `db:"is_person"`
}

// clashes names the bookings that stand in the way of the visit at its time.
func (p party) clashes(ctx context.Context, q store.Querier, v visit.Visit) error {
	found, err := store.Rows[clash](ctx, q, `
		SELECT coalesce(n.name, k.tag) AS name, s.name AS site, s.time_zone, lower(b.during) AS starts_at, upper(b.during) AS ends_at,
		       b.person_id IS NOT NULL AS is_person
		FROM booking b JOIN visit v ON v.id = b.visit_id JOIN site s ON s.id = v.site_id
		     LEFT JOIN person n ON n.id = b.person_id LEFT JOIN kit_item k ON k.id = b.kit_id
		WHERE NOT b.released AND b.visit_id <> $1 AND b.during && tstzrange($2, $3)
		  AND (b.person_id = any($4::uuid[]) OR b.kit_id = any($5::uuid[]))
		ORDER BY 1, 4 LIMIT 20`, v.ID, v.From, v.Until, texts(p.people), texts(p.kit))
	if err != nil {
		return err
	}
	var faults fault.List
	for _, c := range found {
		zone, err := time.LoadLocation(c.TimeZone)
		if err != nil {
			zone = time.UTC
		}
		from, until := c.From.In(zone).Format(worded), c.Until.In(zone).Format(worded)
		if c.IsPerson {
			faults = append(faults, PersonBooked.At("people", c.Name, c.Site, from, until))
		} else {
			faults = append(faults, KitBooked.At("kit", c.Name, c.Site, from, until))
		}
	}
	if len(faults) > 0 {
		return &domain.Error{Kind: domain.Taken, Faults: faults}
	}
	return p.disabled(ctx, q)
}

// worded is how a time stands in a sentence.
const worded = "2 January 2006, 15:04"

func (p party) disabled(ctx context.Context, q store.Querier) error {
	names, err := store.Scalars[string](ctx, q, "SELECT name FROM person WHERE id = any($1::uuid[]) AND disabled_at IS NOT NULL ORDER BY name", texts(p.people))
	if err != nil {
		return err
	}
	var check domain.Check
	for _, name := range names {
		check.Add(PersonDisabled.At("people", name))
	}
	return check.Err()
}

// book makes the bookings that are missing and releases those that are no longer wanted.
func (s *Service) book(ctx context.Context, tx *store.Tx, v visit.Visit, p party) error {
	if err := tx.Run(ctx, `UPDATE booking SET released = true WHERE visit_id = $1 AND NOT released
		AND NOT coalesce(person_id = any($2::uuid[]), false) AND NOT coalesce(kit_id = any($3::uuid[]), false)`, v.ID, texts(p.people), texts(p.kit)); err != nil {
		return err
	}
	for _, id := range p.people {
		if err := s.bookOne(ctx, tx, v, "person_id", id.UUID); err != nil {
			return err
		}
	}
	for _, id := range p.kit {
		if err := s.bookOne(ctx, tx, v, "kit_id", id.UUID); err != nil {
			return err
		}
	}
	return nil
}

func (s *Service) bookOne(ctx context.Context, tx *store.Tx, v visit.Visit, column string, whom uuid.UUID) error {
	return tx.Run(ctx, `INSERT INTO booking (id, client_id, visit_id, during, `+column+`)
		SELECT $1, $2, $3, tstzrange($4, $5), $6
		WHERE NOT exists(SELECT FROM booking WHERE visit_id = $3 AND `+column+` = $6 AND NOT released)`,
		domain.NewID[domain.BookingKind](s.ids), v.ClientID, v.ID, v.From, v.Until, whom)
}
