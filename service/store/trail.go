package store

import (
	"bytes"
	"context"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"rillmark/domain/audit"
)

// Entry is one event of the trail as it is read: with the texts about persons filled in
// where they have not been erased.
type Entry struct {
	Seq     int64
	At      time.Time
	Hash    string // hexadecimal
	ActorID string // the person's id, empty for the program
	Actor   string // the person's name today, or the program's
	Event   audit.Event
	Private map[string]string // erasable texts by reference; an erased one is absent
}

type entryRow struct {
	Seq     int64     `db:"seq"`
	At      time.Time `db:"at"`
	Payload string    `db:"payload"`
	Hash    []byte    `db:"hash"`
}

// TrailFilter says which events are wanted; what is zero does not matter.
type TrailFilter struct {
	About       *audit.Subject // one thing's events; without an id, those of every thing of the kind
	Actor       string         // as the trail names who did it: person:id
	Action      string         // what was done: client.add
	From, Until time.Time      // from this time on, before that one
	Before      int64          // events before this number: the mark of a page
}

// Trail returns the events before the number (0: from the newest), newest first. With a
// subject it returns that thing's events alone.
func (s *Store) Trail(ctx context.Context, about *audit.Subject, before int64, limit int) ([]Entry, error) {
	return s.TrailOf(ctx, TrailFilter{About: about, Before: before}, limit)
}

// actionOf and actorOf are what the indexes of the trail hold, word for word: what was done
// and by whom, as the canonical text begins.
const (
	actionOf = `substring(e.payload FROM '^\{"action":"([^"]{1,200})"')`
	actorOf  = `substring(e.payload FROM '^\{"action":"[^"]{1,200}","actor":"([^"]{1,200})"')`
)

// TrailOf returns the events that the filter leaves, newest first. Each condition has its
// index; the statement holds only those that are asked for, so that the index is used.
func (s *Store) TrailOf(ctx context.Context, f TrailFilter, limit int) ([]Entry, error) {
	sql, args := f.statement(limit)
	rows, err := Rows[entryRow](ctx, s, sql, args...)
	if err != nil {
		return nil, err
	}
	return s.entries(ctx, rows)
}

func (f TrailFilter) statement(limit int) (sql string, args []any) {
	from, order, where := "audit.event e", "e.seq", []string{}
	add := func(condition string, values ...any) {
		for _, v := range values {
			args = append(args, v)
			condition = strings.Replace(condition, "?", "$"+strconv.Itoa(len(args)), 1)
		}
		where = append(where, condition)
	}
	switch {
	case f.About == nil:
	case f.About.ID == "":
		add("EXISTS (SELECT FROM audit.subject u WHERE u.seq = e.seq AND u.kind = ?)", string(f.About.Kind))
	default:
		from, order = "audit.subject u JOIN audit.event e USING (seq)", "u.seq"
		add("u.kind = ? AND u.id = ?", string(f.About.Kind), f.About.ID)
	}
	if f.Actor != "" {
		add(actorOf+" = ?", f.Actor)
	}
	if f.Action != "" {
		add(actionOf+" = ?", f.Action)
	}
	if !f.From.IsZero() {
		add("e.at >= ?", f.From)
	}
	if !f.Until.IsZero() {
		add("e.at < ?", f.Until)
	}
	if f.Before > 0 {
		add(order+" < ?", f.Before)
	}
	args = append(args, limit)
	if len(where) > 0 {
		from += " WHERE " + strings.Join(where, " AND ")
	}
	return "SELECT e.seq, e.at, e.payload, e.hash FROM " + from + " ORDER BY " + order + " DESC LIMIT $" + strconv.Itoa(len(args)), args
}

func (s *Store) entries(ctx context.Context, rows []entryRow) ([]Entry, error) {
	all := make([]Entry, len(rows))
	references, people := []string{}, []string{}
	for i, r := range rows {
		event, err := audit.Parse(r.Payload)
		if err != nil {
			return nil, fmt.Errorf("event %d: %w", r.Seq, err)
		}
		if err := fetchLargeChanges(ctx, s.pool, &event); err != nil {
			return nil, fmt.Errorf("event %d: %w", r.Seq, err)
		}
		all[i] = Entry{Seq: r.Seq, At: r.At, Hash: hex.EncodeToString(r.Hash), Event: event, Actor: event.Actor}
		all[i].ActorID = personIn(event.Actor)
		people = append(people, all[i].ActorID)
		references = append(references, referencesIn(event)...)
	}
	texts, err := s.texts(ctx, "SELECT id::text AS id, text FROM private_text WHERE id = any($1::uuid[]) AND text IS NOT NULL", references)
	if err != nil {
		return nil, err
	}
	names, err := s.texts(ctx, "SELECT id::text AS id, name AS text FROM person WHERE id = any($1::uuid[])", people)
	if err != nil {
		return nil, err
	}
	for i := range all {
		all[i].Private = texts
		if name, known := names[all[i].ActorID]; known {
			all[i].Actor = name
		}
	}
	return all, nil
}

// texts reads id and text for the ids; empty ids are left out.
func (s *Store) texts(ctx context.Context, sql string, ids []string) (map[string]string, error) {
	wanted := []string{}
	for _, id := range ids {
		if id != "" {
			wanted = append(wanted, id)
		}
	}
	type row struct {
		ID   string `db:"id"`
		Text string `db:"text"`
	}
	rows, err := Rows[row](ctx, s, sql, wanted)
	found := make(map[string]string, len(rows))
	for _, r := range rows {
		found[r.ID] = r.Text
	}
	return found, err
}

func fetchLargeChanges(ctx context.Context, q rowQuerier, e *audit.Event) error {
	if e.ChangesBlob == "" {
		return nil
	}
	var sum [32]byte
	raw, err := hex.DecodeString(e.ChangesBlob)
	if err != nil || len(raw) != len(sum) {
		return errors.New("the changes' hash is malformed")
	}
	copy(sum[:], raw)
	var text bytes.Buffer
	if _, err := getBlob(ctx, q, sum, &text); err != nil {
		return err
	}
	return json.Unmarshal(text.Bytes(), &e.Changes)
}

func personIn(actor string) string {
	const prefix = "person:"
	if len(actor) > len(prefix) && actor[:len(prefix)] == prefix {
		return actor[len(prefix):]
	}
	return ""
}

func referencesIn(e audit.Event) (ids []string) {
	for _, c := range e.Changes {
		for _, f := range c.Fields {
			for _, v := range []*audit.Value{f.Before, f.After} {
				if v != nil && v.Private != nil {
					ids = append(ids, *v.Private)
				}
			}
		}
	}
	return ids
}

// Text returns a value as a person reads it; known is false when it was erased.
func (e Entry) Text(v *audit.Value) (text string, known bool) {
	switch {
	case v == nil:
		return "", true
	case v.Text != nil:
		return *v.Text, true
	case v.Private != nil:
		text, known = e.Private[*v.Private]
		return text, known
	}
	return "", true
}

// Problem is something that the check of the chain found.
type Problem struct {
	Seq int64  `db:"bad_seq"`
	Why string `db:"why"` // gap, link, hash, head, subject, changes
}

// Head is the newest event's number and hash, to be printed and compared later: the one
// thing that tells a trail whose end was cut off.
type Head struct {
	Seq  int64
	Hash string
}

// verifyAtOnce is how many events one statement checks: a second's work or two, so that a
// trail of any length is checked within the time-outs.
const verifyAtOnce = 20_000

// problemsMost is how many problems are listed; whoever finds so many knows enough.
const problemsMost = 100

// Verify recomputes the whole chain, the subject index and the files that hold large
// changes, as they stood at one instant. No problem means that the trail is whole.
func (s *Store) Verify(ctx context.Context) (Head, []Problem, error) {
	return s.verify(ctx, verifyAtOnce)
}

func (s *Store) verify(ctx context.Context, atOnce int64) (Head, []Problem, error) {
	tx, err := s.pool.BeginTx(ctx, pgx.TxOptions{IsoLevel: pgx.RepeatableRead, AccessMode: pgx.ReadOnly})
	if err != nil {
		return Head{}, nil, mapError(err)
	}
	defer tx.Rollback(context.WithoutCancel(ctx)) //nolint:errcheck // it has written nothing
	var head Head
	var hash []byte
	var last int64
	if err := tx.QueryRow(ctx, `SELECT h.seq, h.hash, greatest(h.seq, (SELECT max(seq) FROM audit.event))
		FROM audit.head h`).Scan(&head.Seq, &hash, &last); err != nil {
		return head, nil, mapError(err)
	}
	head.Hash = hex.EncodeToString(hash)
	var all []Problem
	for from := int64(math.MinInt64); len(all) < problemsMost; {
		upto := max(from, 0) + atOnce
		found, err := verifyRange(ctx, tx, from, upto)
		if err != nil {
			return head, nil, err
		}
		if all = append(all, found...); upto >= last {
			break
		}
		from = upto + 1
	}
	return head, all[:min(len(all), problemsMost)], nil
}

func verifyRange(ctx context.Context, tx pgx.Tx, from, upto int64) ([]Problem, error) {
	problems, err := Rows[Problem](ctx, tx, "SELECT bad_seq, why FROM audit.verify($1, $2)", from, upto)
	if err != nil {
		return nil, err
	}
	// Not by jsonb: a forged text need not be any.
	large, err := Rows[entryRow](ctx, tx, `SELECT seq, at, payload, hash FROM audit.event
		WHERE seq BETWEEN $1 AND $2 AND payload LIKE '%"changes_sha256":%' ORDER BY seq`, from, upto)
	if err != nil {
		return nil, err
	}
	for _, r := range large {
		event, err := audit.Parse(r.Payload)
		if err == nil {
			err = fetchLargeChanges(ctx, tx, &event)
		}
		if err != nil {
			problems = append(problems, Problem{Seq: r.Seq, Why: "changes"})
		}
	}
	return problems, nil
}
