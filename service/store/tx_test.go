package store_test

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/audit"
	"rillmark/service/store"
	"rillmark/service/store/storetest"
)

// everyKind has a field of each kind that the trail tells.
type everyKind struct {
	Text   string          `db:"text" audit:"text"`
	Maybe  *string         `db:"maybe" audit:"text"`
	Number float64         `db:"number" audit:"text"`
	Length *float64        `db:"length" audit:"text"`
	Count  int             `db:"count" audit:"text"`
	Yes    bool            `db:"yes" audit:"text"`
	Roles  []string        `db:"roles" audit:"text"`
	At     *time.Time      `db:"at" audit:"text"`
	Of     domain.ClientID `db:"of" audit:"text"`
	Name   *string         `db:"name" audit:"private"`
	Untold string          `db:"untold"`
}

func TestTrailTellsEveryKindOfField(t *testing.T) {
	t.Parallel()
	s := storetest.Clone(t).Open(t, store.App)
	text, length := "x", 0.1
	at := time.Date(2026, 3, 1, 12, 30, 0, 5000, time.FixedZone("somewhere", 3600))
	of, id := domain.NewID[domain.ClientKind](storetest.IDs()), domain.NewID[domain.ClientKind](storetest.IDs())
	before := everyKind{Text: "same", Roles: []string{"a"}, Of: of, Untold: "1"}
	after := everyKind{Text: "same", Maybe: &text, Number: 1e-7, Length: &length, Count: 7, Yes: true, Roles: []string{"a", "b"}, At: &at, Of: of, Name: &text, Untold: "2"}
	_, err := store.Write(t.Context(), s, store.Command{Actor: actor, Action: "x", Operation: storetest.Operation()},
		func(_ context.Context, tx *store.Tx) (answer, error) {
			tx.Changed(audit.Client, id, 2, before, after)
			tx.Concerns(audit.Client, of)
			tx.Concerns(audit.Client, of) // named once all the same
			return answer{}, nil
		})
	if err != nil {
		t.Fatal(err)
	}
	want := []string{`maybe: "" → "x"`, `number: "0" → "1e-07"`, `length: "" → "0.1"`, `count: "0" → "7"`, `yes: "false" → "true"`,
		`roles: "a" → "a, b"`, `at: "" → "2026-03-01T11:30:00.000005Z"`, `name: "" → "x"`}
	for i := range want {
		want[i] = "client v2 " + want[i]
	}
	for _, thing := range []fmt.Stringer{id, of} {
		list := history(t, s, thing)
		if len(list) != 1 || !slices.Equal(told(list[0]), want) {
			t.Errorf("history of %s has %d events", thing, len(list))
		}
	}
}

func TestUnknownAuditTagIsNotTakenForText(t *testing.T) {
	t.Parallel()
	s := storetest.Shared(t).Open(t, store.App)
	defer func() {
		if recover() == nil {
			t.Error("no panic: a name may have got into the trail")
		}
	}()
	_, _ = store.Write(t.Context(), s, store.Command{Actor: actor, Action: "x", Operation: storetest.Operation()},
		func(_ context.Context, tx *store.Tx) (answer, error) {
			tx.Changed(audit.Client, domain.ClientID{}, 1, nil, struct {
				Name string `db:"name" audit:"privat"`
			}{"Ingrid Fell"})
			return answer{}, nil
		})
}

func TestDoor(t *testing.T) {
	t.Parallel()
	db := storetest.Clone(t)
	s, err := store.Open(t.Context(), store.Config{URL: db.URL, MaxConns: 1, IDs: storetest.IDs()})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	log := func(ctx context.Context, tx pgx.Tx) error {
		_, err := tx.Exec(ctx, "INSERT INTO security_log (event, address, detail) VALUES ('x', '', '')")
		return err
	}
	if err := s.AtDoor(t.Context(), log); err != nil {
		t.Fatal(err)
	}
	err = s.AtDoor(t.Context(), func(ctx context.Context, tx pgx.Tx) error {
		if err := log(ctx, tx); err != nil {
			return err
		}
		return domain.Refuse(domain.Throttled, domain.TryAgain.At(""))
	})
	wantKind(t, err, domain.Throttled, domain.TryAgain)
	func() {
		defer func() { _ = recover() }()
		_ = s.AtDoor(t.Context(), func(ctx context.Context, tx pgx.Tx) error {
			if err := log(ctx, tx); err != nil {
				return err
			}
			panic("a fault of the caller's")
		})
	}()
	ctx, cancel := context.WithTimeout(t.Context(), 5*time.Second)
	defer cancel()
	if err := s.Ping(ctx); err != nil {
		t.Errorf("the only connection is gone: %v", err)
	}
	if n := one[int](t, db, "SELECT count(*) FROM security_log"); n != 1 {
		t.Errorf("%d rows, one was to stay", n)
	}
}

func TestSecurityLogCutsLongDetail(t *testing.T) {
	t.Parallel()
	db := storetest.Clone(t)
	s := db.Open(t, store.App)
	if err := s.LogSecurity(t.Context(), store.SecurityEvent{Event: "x", Address: "192.0.2.1", Detail: strings.Repeat("é", 2000)}); err != nil {
		t.Fatal(err)
	}
	if got := one[string](t, db, "SELECT length(detail) || ' ' || (person_id IS NULL) || ' ' || address FROM security_log"); got != "1000 true 192.0.2.1" {
		t.Errorf("kept %s", got)
	}
	if err := s.LogSecurity(t.Context(), store.SecurityEvent{Event: "x", Person: domain.NewID[domain.PersonKind](storetest.IDs())}); err == nil {
		t.Error("an event of a person who is not there")
	}
}

func TestAbsentRowIsNotFound(t *testing.T) {
	t.Parallel()
	s := storetest.Shared(t).Open(t, store.App)
	_, err := store.Row[client](t.Context(), s, "client", "SELECT id, name, contact_name, note, version FROM client WHERE id = $1", domain.NewID[domain.ClientKind](storetest.IDs()))
	wantKind(t, err, domain.NotFound, domain.NoSuchThing)
	if f, _ := fault.Of(err); f.Value("kind") != "client" {
		t.Errorf("it names %v", f.Value("kind"))
	}
	for name, sql := range map[string]string{"wrong SQL": "SELEC", "another shape": "SELECT 1 AS x"} {
		if _, err := store.Row[client](t.Context(), s, "client", sql); err == nil || domain.KindOf(err) != domain.Internal {
			t.Errorf("%s: %v", name, err)
		}
	}
}
