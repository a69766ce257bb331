package store

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
)

// Command is the frame of one write: who does what, under which operation id. Request is
// the command itself; its JSON without secrets (tag them json:"-") is hashed, so that the
// same operation id with another content is told from the same command sent again.
type Command struct {
	Actor     access.Actor
	Action    string // what the trail calls it: "client.add"
	Operation domain.OperationID
	Request   any
	Reason    string
}

// attempts is how often a write is tried when the database asks for it to be done again
// (deadlock, serialisation): the first time and three more.
const attempts = 4

// Write is the one way to write. It opens a transaction, finds out whether the operation
// was done before (then its outcome is the answer), gives the database's time to the
// callback, and appends operation and audit event as the last statement before COMMIT.
// The callback may be run again and so touches nothing but the transaction; it holds
// locks and so does no rendering, parsing, mail or network.
func Write[T any](ctx context.Context, s *Store, c Command, do func(context.Context, *Tx) (T, error)) (T, error) {
	var none T
	if c.Actor.Nobody() {
		return none, domain.Refuse(domain.Unauthenticated, domain.NotLoggedIn.At(""))
	}
	if !c.Operation.Valid() {
		return none, domain.Refuse(domain.Invalid, domain.NotAnID.At("operation"))
	}
	request, err := requestHash(c)
	if err != nil {
		return none, domain.Wrap(c.Action, err)
	}
	for try := 1; ; try++ {
		outcome, err := writeOnce(ctx, s, c, request, do)
		if err == nil {
			return outcome, nil
		}
		if !again(err) || try == attempts {
			return none, domain.Wrap(c.Action, mapError(err))
		}
		select { // a little later each time: whoever was in the way shall be gone
		case <-time.After(time.Duration(try*try) * 10 * time.Millisecond):
		case <-ctx.Done():
			return none, domain.Wrap(c.Action, mapError(errors.Join(err, ctx.Err())))
		}
	}
}

func writeOnce[T any](ctx context.Context, s *Store, c Command, request [32]byte, do func(context.Context, *Tx) (T, error)) (outcome T, err error) {
	raw, err := s.pool.BeginTx(ctx, pgx.TxOptions{IsoLevel: pgx.ReadCommitted})
	if err != nil {
		return outcome, err
	}
	defer raw.Rollback(context.WithoutCancel(ctx)) //nolint:errcheck // after COMMIT it does nothing
	tx := &Tx{Tx: raw, ids: s.ids}
	done, found, err := tx.begin(ctx, c, request)
	if err != nil {
		return outcome, err
	}
	if found {
		return outcome, json.Unmarshal(done, &outcome)
	}
	if outcome, err = do(ctx, tx); err != nil {
		return outcome, err
	}
	if err := tx.append(ctx, c, request, outcome); err != nil {
		return outcome, err
	}
	return outcome, raw.Commit(ctx)
}

// begin serialises those who send the same operation, fixes the time, and looks whether
// the operation is done. Lock and look are two statements: the second one's snapshot must
// be younger than the lock.
func (tx *Tx) begin(ctx context.Context, c Command, request [32]byte) (outcome []byte, found bool, err error) {
	var b pgx.Batch
	b.Queue("SELECT pg_advisory_xact_lock(7230102, hashtext($1))", c.Operation.String())
	b.Queue(`SELECT clock_timestamp(), o.actor, o.action, o.request, o.outcome
	         FROM (VALUES (1)) AS one LEFT JOIN operation o ON o.id = $1`, c.Operation)
	results := tx.Tx.SendBatch(ctx, &b)
	defer func() { err = errors.Join(err, results.Close()) }()
	if _, err := results.Exec(); err != nil {
		return nil, false, err
	}
	var actor, action, text *string
	var hash []byte
	if err := results.QueryRow().Scan(&tx.Now, &actor, &action, &hash, &text); err != nil {
		return nil, false, err
	}
	tx.Now = tx.Now.UTC().Truncate(time.Microsecond)
	if actor == nil {
		return nil, false, nil
	}
	if *actor != c.Actor.Name() || *action != c.Action || !bytes.Equal(hash, request[:]) {
		return nil, false, domain.Refuse(domain.Reused, domain.OperationReused.At(""))
	}
	return []byte(*text), true, nil
}

// append writes the erasable texts, the operation and, last, the audit event.
func (tx *Tx) append(ctx context.Context, c Command, request [32]byte, outcome any) error {
	result, err := audit.Canonical(outcome)
	if err != nil {
		return err
	}
	event := audit.Event{V: 1, Action: c.Action, Actor: c.Actor.Name(), Operation: c.Operation.String(),
		Reason: c.Reason, Subjects: audit.SubjectsOf(tx.changes, tx.subjects), Changes: tx.changes}
	if err := tx.moveLargeChanges(ctx, &event); err != nil {
		return err
	}
	payload, err := audit.Canonical(event)
	if err != nil {
		return err
	}
	var b pgx.Batch
	for id, text := range tx.private {
		b.Queue("INSERT INTO private_text (id, text, at) VALUES ($1, $2, $3)", id, text, tx.Now)
	}
	b.Queue("INSERT INTO operation (id, actor, action, request, outcome, at) VALUES ($1, $2, $3, $4, $5, $6)",
		c.Operation, c.Actor.Name(), c.Action, request[:], string(result), tx.Now)
	b.Queue("SELECT audit.append($1)", string(payload))
	return tx.Tx.SendBatch(ctx, &b).Close()
}

// moveLargeChanges puts changes beyond the limit into a file and their hash into the event.
func (tx *Tx) moveLargeChanges(ctx context.Context, event *audit.Event) error {
	whole, err := audit.Canonical(event.Changes)
	if err != nil || len(whole) <= audit.InlineLimit {
		return err
	}
	hash, err := tx.PutBlob(ctx, event.Actor, "application/json", bytes.NewReader(whole))
	if err != nil {
		return err
	}
	event.Changes, event.ChangesBlob = nil, fmt.Sprintf("%x", hash)
	return nil
}

func requestHash(c Command) ([32]byte, error) {
	text, err := audit.Canonical(c.Request)
	if err != nil {
		return [32]byte{}, err
	}
	return sha256.Sum256(text), nil
}

// Outcome looks whether the command was done before, and with what outcome: for a caller
// whose checks would no longer hold once it was, and for a lost answer asked for again.
func Outcome[T any](ctx context.Context, s *Store, c Command) (outcome T, done bool, err error) {
	request, err := requestHash(c)
	if err != nil {
		return outcome, false, domain.Wrap(c.Action, err)
	}
	found, err := Scalars[string](ctx, s, `SELECT outcome FROM operation
		WHERE id = $1 AND actor = $2 AND action = $3 AND request = $4`, c.Operation, c.Actor.Name(), c.Action, request[:])
	if err != nil || len(found) == 0 {
		return outcome, false, domain.Wrap(c.Action, err)
	}
	return outcome, true, json.Unmarshal([]byte(found[0]), &outcome)
}
