package account

import (
	"context"
	"encoding/hex"
	"math"
	"time"

	"github.com/jackc/pgx/v5"

	"rillmark/domain"
)

// limit is one counter of the login throttle. Failures halve every halfLife; beyond free
// ones each further failure doubles the wait, from a second up to waitMost.
type limit struct {
	kind string
	key  string
	free int
}

const (
	halfLife = 10 * time.Minute
	waitMost = time.Minute
)

// limits are the counters that a try touches. By account, so that nobody guesses at one
// person from many places; by address, so that nobody guesses at many persons from one
// place. A browser from which the person has logged in before counts by itself instead of
// by account: strangers can make the account wait for ever without keeping its owner out.
// From a new browser the owner still gets in: an address with no recent failure has one
// try even while the account waits.
func limits(login, address string, device []byte) []limit {
	place := limit{"address", address, 30}
	if device != nil {
		return []limit{place, {"device", hex.EncodeToString(device), 10}}
	}
	return []limit{place, {"account", login, 5}}
}

// try counts a try before it is made, so that many at once cannot slip through together;
// a success takes it back. It returns an error while a counter makes the caller wait.
func (s *Service) try(ctx context.Context, login, address string, device []byte) error {
	return s.store.AtDoor(ctx, func(ctx context.Context, tx pgx.Tx) error {
		fresh := false
		for _, l := range limits(login, address, device) {
			failures, wait, err := count(ctx, tx, l)
			if err != nil {
				return err
			}
			if l.kind == "address" {
				fresh = failures < 1.5 // this try alone
			}
			if wait > 0 && !(l.kind == "account" && fresh) {
				return domain.Refuse(domain.Throttled, LoginWait.At("", int(math.Ceil(wait.Seconds()))))
			}
		}
		return nil
	})
}

// count adds a failure unless the counter makes wait; a try while waiting does not
// lengthen the wait.
func count(ctx context.Context, tx pgx.Tx, l limit) (failures float64, wait time.Duration, err error) {
	rows, err := tx.Query(ctx, `
		WITH t AS (SELECT clock_timestamp() AS now)
		INSERT INTO login_throttle AS c (kind, key, failures, at, until) SELECT $1, $2, 1, t.now, t.now FROM t
		ON CONFLICT (kind, key) DO UPDATE SET
			failures = c.failures * power(0.5, extract(epoch FROM excluded.at - c.at) / $4) + 1,
			until = excluded.at + CASE
				WHEN c.failures * power(0.5, extract(epoch FROM excluded.at - c.at) / $4) + 1 > $3
				THEN least($5, power(2, least(20, c.failures * power(0.5, extract(epoch FROM excluded.at - c.at) / $4) - $3))) * interval '1 second'
				ELSE interval '0' END,
			at = excluded.at
		WHERE c.until <= excluded.at
		RETURNING c.failures`, l.kind, l.key, float64(l.free), halfLife.Seconds(), waitMost.Seconds())
	if err != nil {
		return 0, 0, err
	}
	counted, err := pgx.CollectRows(rows, pgx.RowTo[float64])
	if err != nil || len(counted) == 1 {
		return append(counted, 0)[0], 0, err
	}
	var until, now time.Time
	err = tx.QueryRow(ctx, "SELECT until, clock_timestamp(), failures FROM login_throttle WHERE kind = $1 AND key = $2", l.kind, l.key).
		Scan(&until, &now, &failures)
	return failures, max(until.Sub(now), time.Millisecond), err
}

// forgive takes a counted try back after a success: the person's own counter is cleared,
// the address's is one less.
func forgive(ctx context.Context, tx pgx.Tx, login, address string, device []byte) error {
	for _, l := range limits(login, address, device) {
		sql := "DELETE FROM login_throttle WHERE kind = $1 AND key = $2"
		if l.kind == "address" {
			sql = "UPDATE login_throttle SET failures = greatest(0, failures - 1) WHERE kind = $1 AND key = $2"
		}
		if _, err := tx.Exec(ctx, sql, l.kind, l.key); err != nil {
			return err
		}
	}
	return nil
}
