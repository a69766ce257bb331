package store_test

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/service/store"
	"rillmark/service/store/storetest"
)

// client is as much of a client as these tests need.
type client struct {
	ID      domain.ClientID `db:"id" json:"id"`
	Name    string          `db:"name" audit:"text" json:"name"`
	Contact string          `db:"contact_name" audit:"private" json:"contact"`
	Note    string          `db:"note" audit:"text" json:"note"`
	Version int64           `db:"version" json:"-"`
}

// answer is the outcome of a write.
type answer struct {
	ID   string `json:"id"`
	Text string `json:"text"`
}

var actor = access.System("test")

func newClient(name string) client {
	return client{ID: domain.NewID[domain.ClientKind](storetest.IDs()), Name: name, Version: 1}
}

func adding(c client, operation domain.OperationID) store.Command {
	return store.Command{Actor: actor, Action: "client.add", Operation: operation, Request: c}
}

func insert(ctx context.Context, tx *store.Tx, c client) error {
	if err := tx.Run(ctx, `INSERT INTO client (id, name, address, contact_name, contact_email, contact_phone, note, version, created_at, changed_at)
		VALUES ($1, $2, '', $3, '', '', $4, 1, $5, $5)`, c.ID, c.Name, c.Contact, c.Note, tx.Now); err != nil {
		return err
	}
	tx.Changed(audit.Client, c.ID, 1, nil, c)
	return nil
}

// add adds a client in the one way to write.
func add(ctx context.Context, s *store.Store, c client, operation domain.OperationID) (answer, error) {
	return store.Write(ctx, s, adding(c, operation), func(ctx context.Context, tx *store.Tx) (answer, error) {
		return answer{c.ID.String(), tx.Now.Format(time.RFC3339Nano)}, insert(ctx, tx, c)
	})
}

func mustAdd(t *testing.T, s *store.Store, c client) answer {
	t.Helper()
	got, err := add(t.Context(), s, c, storetest.Operation())
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// holds tells how many clients, operations and events there are.
func holds(t *testing.T, db storetest.DB, clients, operations, events int) {
	t.Helper()
	got := one[string](t, db, `SELECT format('%s clients, %s operations, %s events', (SELECT count(*) FROM client),
		(SELECT count(*) FROM operation), (SELECT count(*) FROM audit.event))`)
	if want := fmt.Sprintf("%d clients, %d operations, %d events", clients, operations, events); got != want {
		t.Errorf("there are %s, want %s", got, want)
	}
}

// whole checks that the trail is.
func whole(t *testing.T, s *store.Store) {
	t.Helper()
	if _, problems, err := s.Verify(context.WithoutCancel(t.Context())); err != nil || len(problems) > 0 {
		t.Errorf("the trail: %v, %v", problems, err)
	}
}

func wantKind(t *testing.T, err error, kind domain.Kind, code *fault.Code) {
	t.Helper()
	if err == nil || domain.KindOf(err) != kind || !fault.Has(err, code) {
		t.Errorf("want %v with %s, got %v", kind, code.Name(), err)
	}
}

func TestWriteTakesTheDatabasesTime(t *testing.T) {
	t.Parallel()
	db := storetest.Clone(t)
	s := db.Open(t, store.App)
	before := one[time.Time](t, db, "SELECT clock_timestamp()")
	var now time.Time
	_, err := store.Write(t.Context(), s, adding(client{}, storetest.Operation()), func(_ context.Context, tx *store.Tx) (answer, error) {
		now = tx.Now
		return answer{}, nil
	})
	after := one[time.Time](t, db, "SELECT clock_timestamp()")
	if err != nil || now.Before(before) || now.After(after) || now.Location() != time.UTC || now.Nanosecond()%1000 != 0 {
		t.Errorf("%v is not a UTC microsecond between %v and %v, %v", now, before, after, err)
	}
}

func TestSentTwiceHappensOnce(t *testing.T) {
	t.Parallel()
	db := storetest.Clone(t)
	s := db.Open(t, store.App)
	c, operation := newClient("Once"), storetest.Operation()
	first, err := add(t.Context(), s, c, operation)
	if err != nil {
		t.Fatal(err)
	}
	if again, err := add(t.Context(), s, c, operation); err != nil || again != first {
		t.Errorf("first %v, again %v, %v", first, again, err)
	}
	lost, done, err := store.Outcome[answer](t.Context(), s, adding(c, operation))
	if !done || lost != first || err != nil {
		t.Errorf("asked for the lost answer: %v, %v, %v", lost, done, err)
	}
	if _, done, err := store.Outcome[answer](t.Context(), s, adding(c, storetest.Operation())); done || err != nil {
		t.Errorf("an operation that never was is done: %v, %v", done, err)
	}
	holds(t, db, 1, 1, 1)
	whole(t, s)
}

func TestSentByEightAtOnceHappensOnce(t *testing.T) {
	t.Parallel()
	db := storetest.Clone(t)
	s := db.Open(t, store.App)
	c, operation := newClient("Once"), storetest.Operation()
	var all sync.WaitGroup
	answers, errs := [8]answer{}, [8]error{}
	var ran atomic.Int64
	for i := range answers {
		all.Go(func() {
			answers[i], errs[i] = store.Write(t.Context(), s, adding(c, operation), func(ctx context.Context, tx *store.Tx) (answer, error) {
				ran.Add(1)
				return answer{c.ID.String(), fmt.Sprint(i)}, insert(ctx, tx, c)
			})
		})
	}
	all.Wait()
	for i := range answers {
		if errs[i] != nil || answers[i] != answers[0] {
			t.Errorf("sender %d got %v, %v; another %v", i, answers[i], errs[i], answers[0])
		}
	}
	if ran.Load() != 1 {
		t.Errorf("it was done %d times", ran.Load())
	}
	holds(t, db, 1, 1, 1)
	whole(t, s)
}

func TestOperationWithOtherContentIsRefused(t *testing.T) {
	t.Parallel()
	db := storetest.Clone(t)
	s := db.Open(t, store.App)
	c, operation := newClient("Once"), storetest.Operation()
	if _, err := add(t.Context(), s, c, operation); err != nil {
		t.Fatal(err)
	}
	other := c
	other.Note = "something else"
	person := access.Actor{Person: domain.NewID[domain.PersonKind](storetest.IDs())}
	for name, command := range map[string]store.Command{
		"content": {Actor: actor, Action: "client.add", Operation: operation, Request: other},
		"action":  {Actor: actor, Action: "client.change", Operation: operation, Request: c},
		"actor":   {Actor: person, Action: "client.add", Operation: operation, Request: c},
	} {
		_, err := store.Write(t.Context(), s, command, func(context.Context, *store.Tx) (answer, error) {
			t.Errorf("%s: done", name)
			return answer{}, nil
		})
		wantKind(t, err, domain.Reused, domain.OperationReused)
		if got, done, err := store.Outcome[answer](t.Context(), s, command); done || err != nil {
			t.Errorf("%s: told %v, %v", name, got, err)
		}
	}
	holds(t, db, 1, 1, 1)
}

func TestNobodyWritesAndNothingWithoutAnOperation(t *testing.T) {
	t.Parallel()
	s := storetest.Shared(t).Open(t, store.App)
	do := func(context.Context, *store.Tx) (answer, error) {
		t.Error("done")
		return answer{}, nil
	}
	_, err := store.Write(t.Context(), s, store.Command{Action: "x", Operation: storetest.Operation()}, do)
	wantKind(t, err, domain.Unauthenticated, domain.NotLoggedIn)
	_, err = store.Write(t.Context(), s, store.Command{Actor: actor, Action: "x"}, do)
	wantKind(t, err, domain.Invalid, domain.NotAnID)
}

var errMine = errors.New("mine")

func TestErrorInTheCallbackLeavesNothing(t *testing.T) {
	t.Parallel()
	db := storetest.Clone(t)
	s := db.Open(t, store.App)
	c, operation := newClient("Never"), storetest.Operation()
	_, err := store.Write(t.Context(), s, adding(c, operation), func(ctx context.Context, tx *store.Tx) (answer, error) {
		return answer{"x", "x"}, errors.Join(insert(ctx, tx, c), errMine)
	})
	if !errors.Is(err, errMine) || !strings.HasPrefix(err.Error(), "client.add: ") {
		t.Errorf("got %v", err)
	}
	holds(t, db, 0, 0, 0)
	if _, err := add(t.Context(), s, c, operation); err != nil {
		t.Errorf("sent again: %v", err)
	}
	holds(t, db, 1, 1, 1)
}

func TestPanicInTheCallbackLeavesNothingAndNoConnectionOpen(t *testing.T) {
	t.Parallel()
	db := storetest.Clone(t)
	s, err := store.Open(t.Context(), store.Config{URL: db.URL, MaxConns: 1, IDs: storetest.IDs()})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	func() {
		defer func() {
			if recover() == nil {
				t.Error("the panic was swallowed")
			}
		}()
		c := newClient("Never")
		_, _ = store.Write(t.Context(), s, adding(c, storetest.Operation()), func(ctx context.Context, tx *store.Tx) (answer, error) {
			if err := insert(ctx, tx, c); err != nil {
				t.Error(err)
			}
			panic("a fault of the caller's")
		})
	}()
	ctx, cancel := context.WithTimeout(t.Context(), 2*time.Second)
	defer cancel()
	if err := s.Ping(ctx); err != nil {
		t.Errorf("the only connection is gone: %v", err)
	}
	holds(t, db, 0, 0, 0)
}

func TestCallerWhoGoesAwayLeavesNothing(t *testing.T) {
	t.Parallel()
	db := storetest.Clone(t)
	s := db.Open(t, store.App)
	ctx, cancel := context.WithCancel(t.Context())
	c := newClient("Never")
	_, err := store.Write(ctx, s, adding(c, storetest.Operation()), func(ctx context.Context, tx *store.Tx) (answer, error) {
		err := insert(ctx, tx, c)
		cancel()
		return answer{}, err
	})
	if !errors.Is(err, context.Canceled) {
		t.Errorf("got %v", err)
	}
	holds(t, db, 0, 0, 0)
}

// Two writers take the same two rows in opposite order; the database ends one of them, and
// it is done again.
func TestDeadlocksAreDoneAgain(t *testing.T) {
	t.Parallel()
	db := storetest.Clone(t)
	exec(t, db, "DO $$ BEGIN EXECUTE format('ALTER DATABASE %I SET deadlock_timeout = 100', current_database()); END $$") // ms; 1 s otherwise
	s := db.Open(t, store.App)
	a, b := newClient("A"), newClient("B")
	mustAdd(t, s, a)
	mustAdd(t, s, b)
	const pairs = 3
	var ran atomic.Int64
	for range pairs {
		var met, all sync.WaitGroup
		met.Add(2)
		errs := [2]error{}
		for i, order := range [][2]client{{a, b}, {b, a}} {
			all.Go(func() {
				var once sync.Once
				_, errs[i] = store.Write(t.Context(), s, adding(order[0], storetest.Operation()), func(ctx context.Context, tx *store.Tx) (answer, error) {
					ran.Add(1)
					if err := note(ctx, tx, order[0]); err != nil {
						return answer{}, err
					}
					once.Do(func() { // the first time both have their first row before either asks for the second
						met.Done()
						met.Wait()
					})
					return answer{}, note(ctx, tx, order[1])
				})
			})
		}
		all.Wait()
		if errs[0] != nil || errs[1] != nil {
			t.Errorf("%v; %v", errs[0], errs[1])
		}
	}
	if ran.Load() < 3*pairs {
		t.Errorf("the callbacks ran %d times: there was no deadlock", ran.Load())
	}
	if n := one[int64](t, db, "SELECT sum(version) FROM client"); n != 2+4*pairs {
		t.Errorf("the versions add up to %d, want %d", n, 2+4*pairs)
	}
	holds(t, db, 2, 2+2*pairs, 2+2*pairs)
	whole(t, s)
}

func note(ctx context.Context, tx *store.Tx, c client) error {
	return tx.Run(ctx, "UPDATE client SET note = note || 'x', version = version + 1 WHERE id = $1", c.ID)
}

func TestAskedToDoItAgain(t *testing.T) {
	t.Parallel()
	db := storetest.Clone(t)
	s := db.Open(t, store.App)
	for name, c := range map[string]struct {
		code     string
		failures int
		runs     int
		kind     domain.Kind
		fault    *fault.Code // nil: it succeeds
	}{
		"serialisation, thrice":      {"40001", 3, 4, 0, nil},
		"deadlock, thrice":           {"40P01", 3, 4, 0, nil},
		"serialisation, for ever":    {"40001", 99, 4, domain.Busy, domain.TryAgain},
		"deadlock, for ever":         {"40P01", 99, 4, domain.Busy, domain.TryAgain},
		"a full disk is not retried": {"53100", 99, 1, domain.Full, domain.DiskFull},
		"nor is a lock time-out":     {"55P03", 99, 1, domain.Busy, domain.TryAgain},
		"nor a shutdown":             {"57P01", 99, 1, domain.Busy, domain.DatabaseAway},
	} {
		t.Run(name, func(t *testing.T) {
			runs := 0
			thing := newClient(name)
			_, err := store.Write(t.Context(), s, adding(thing, storetest.Operation()), func(ctx context.Context, tx *store.Tx) (answer, error) {
				runs++
				if err := insert(ctx, tx, thing); err != nil {
					return answer{}, err
				}
				if runs <= c.failures {
					return answer{}, tx.Run(ctx, fmt.Sprintf("DO $$ BEGIN RAISE EXCEPTION 'asked' USING ERRCODE = '%s'; END $$", c.code))
				}
				return answer{}, nil
			})
			if runs != c.runs {
				t.Errorf("ran %d times, want %d", runs, c.runs)
			}
			if c.fault == nil && err != nil {
				t.Error(err)
			} else if c.fault != nil {
				wantKind(t, err, c.kind, c.fault)
			}
			want := 0
			if c.fault == nil {
				want = 1
			}
			// What a run that was done again had noted must not stand in the event twice.
			if n := one[int](t, db, "SELECT coalesce(sum(jsonb_array_length(payload::jsonb -> 'changes')), 0) FROM audit.event JOIN audit.subject USING (seq) WHERE id = $1", thing.ID); n != want {
				t.Errorf("%d changes told, want %d", n, want)
			}
		})
	}
	whole(t, s)
}

func TestTextThatIsNotUTF8IsInvalid(t *testing.T) {
	t.Parallel()
	db := storetest.Clone(t)
	s := db.Open(t, store.App)
	for _, name := range []string{"broken \xff", "nought \x00"} {
		c := newClient(name)
		_, err := store.Write(t.Context(), s, store.Command{Actor: actor, Action: "client.add", Operation: storetest.Operation()},
			func(ctx context.Context, tx *store.Tx) (answer, error) { return answer{}, insert(ctx, tx, c) })
		wantKind(t, err, domain.Invalid, domain.NotUTF8)
	}
	holds(t, db, 0, 0, 0)
}

func TestAddressThatLeadsNowhere(t *testing.T) {
	t.Parallel()
	for name, address := range map[string]string{"no server": "postgres://u@/d?host=/nowhere-at-all", "no address": "postgres://u:hush@h:port/d"} {
		_, err := store.Open(t.Context(), store.Config{URL: address})
		if err == nil || strings.Contains(err.Error(), "hush") {
			t.Errorf("%s: %v", name, err)
		}
		if name == "no server" {
			wantKind(t, err, domain.Busy, domain.DatabaseAway)
		}
	}
}
