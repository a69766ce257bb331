package store

import (
	"context"

	"rillmark/domain"
)

// SecurityEvent is something that happened at the door: a login, a failed one, refused
// access. It is not chained: an attacker must not be able to make the trail long.
type SecurityEvent struct {
	Event   string
	Person  domain.PersonID // zero: not known
	Address string
	Detail  string // at most 1000 characters; the rest is cut
}

// LogSecurity appends to the security log.
func (s *Store) LogSecurity(ctx context.Context, e SecurityEvent) error {
	var who any
	if e.Person.Valid() {
		who = e.Person
	}
	if r := []rune(e.Detail); len(r) > 1000 {
		e.Detail = string(r[:1000])
	}
	_, err := s.pool.Exec(ctx, "INSERT INTO security_log (event, person_id, address, detail) VALUES ($1, $2, $3, $4)",
		e.Event, who, e.Address, e.Detail)
	return mapError(err)
}
