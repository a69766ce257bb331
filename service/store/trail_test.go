package store_test

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/service/store"
	"rillmark/service/store/storetest"
)

// change writes a client's new texts; the caller says what they were.
func change(t *testing.T, s *store.Store, before, after client) {
	t.Helper()
	after.Version = before.Version + 1
	_, err := store.Write(t.Context(), s, store.Command{Actor: actor, Action: "client.change", Operation: storetest.Operation(), Request: after, Reason: "asked by telephone"},
		func(ctx context.Context, tx *store.Tx) (answer, error) {
			if err := tx.Run(ctx, "UPDATE client SET name = $2, contact_name = $3, note = $4, version = $5 WHERE id = $1",
				after.ID, after.Name, after.Contact, after.Note, after.Version); err != nil {
				return answer{}, err
			}
			tx.Changed(audit.Client, after.ID, after.Version, before, after)
			return answer{}, nil
		})
	if err != nil {
		t.Fatal(err)
	}
}

// told prints an entry's changes as a reader sees them.
func told(e store.Entry) (all []string) {
	show := func(v *audit.Value) string {
		text, known := e.Text(v)
		if !known {
			return "(erased)"
		}
		return text
	}
	for _, c := range e.Event.Changes {
		for _, f := range c.Fields {
			all = append(all, fmt.Sprintf("%s v%d %s: %q → %q", c.Kind, c.Version, f.Name, show(f.Before), show(f.After)))
		}
	}
	return all
}

func history(t *testing.T, s *store.Store, id fmt.Stringer) []store.Entry {
	t.Helper()
	list, err := s.Trail(t.Context(), &audit.Subject{Kind: audit.Client, ID: id.String()}, 0, 10)
	if err != nil {
		t.Fatal(err)
	}
	return list
}

func TestTrailTellsBeforeAndAfterAndForgetsWhatIsErased(t *testing.T) {
	t.Parallel()
	db := storetest.Clone(t)
	s := db.Open(t, store.App)
	before := newClient("Tidewater Works")
	before.Contact = "Ingrid Fell"
	mustAdd(t, s, before)
	after := before
	after.Contact, after.Note = "Per Holm", "new man"
	change(t, s, before, after)

	list := history(t, s, before.ID)
	if len(list) != 2 || list[0].Event.Action != "client.change" || list[1].Event.Action != "client.add" {
		t.Fatalf("newest first: %v", list)
	}
	want := []string{`client v2 contact_name: "Ingrid Fell" → "Per Holm"`, `client v2 note: "" → "new man"`}
	if got := told(list[0]); !slices.Equal(got, want) {
		t.Errorf("got %v", got)
	}
	if got := told(list[1]); !slices.Equal(got, []string{`client v1 name: "" → "Tidewater Works"`, `client v1 contact_name: "" → "Ingrid Fell"`}) {
		t.Errorf("got %v", got)
	}
	if e := list[0]; e.Actor != "system:test" || e.ActorID != "" || e.Event.Reason != "asked by telephone" || e.Seq != 2 || len(e.Hash) != 64 || e.At.IsZero() {
		t.Errorf("frame %+v", e)
	}
	for _, name := range []string{"Ingrid", "Per Holm"} {
		if n := one[int](t, db, "SELECT count(*) FROM audit.event WHERE payload LIKE '%' || $1 || '%'", name); n != 0 {
			t.Errorf("%d events hold %q", n, name)
		}
	}

	exec(t, db, "UPDATE private_text SET text = NULL WHERE text = 'Ingrid Fell'")
	if got := told(history(t, s, before.ID)[0]); got[0] != `client v2 contact_name: "(erased)" → "Per Holm"` {
		t.Errorf("after erasing: %v", got)
	}
	whole(t, s)
}

func TestTrailNamesThePersonAsTheyAreCalledToday(t *testing.T) {
	t.Parallel()
	db := storetest.Clone(t)
	s := db.Open(t, store.App)
	who := domain.NewID[domain.PersonKind](storetest.IDs())
	exec(t, db, fmt.Sprintf("INSERT INTO person VALUES ('%s', 'ida', 'Ida Brandt', '{auditor}', NULL, 1, now(), now())", who))
	c := newClient("x")
	_, err := store.Write(t.Context(), s, store.Command{Actor: access.Actor{Person: who}, Action: "client.add", Operation: storetest.Operation()},
		func(ctx context.Context, tx *store.Tx) (answer, error) { return answer{}, insert(ctx, tx, c) })
	if err != nil {
		t.Fatal(err)
	}
	if e := history(t, s, c.ID)[0]; e.Actor != "Ida Brandt" || e.ActorID != who.String() {
		t.Errorf("actor %q, %q", e.Actor, e.ActorID)
	}
}

func TestTrailComesInPages(t *testing.T) {
	t.Parallel()
	db := storetest.Clone(t)
	s := db.Open(t, store.App)
	for range 7 {
		mustAdd(t, s, newClient(storetest.Operation().String()))
	}
	var seen []int64
	for before := int64(0); ; {
		page, err := s.Trail(t.Context(), nil, before, 3)
		if err != nil {
			t.Fatal(err)
		}
		if len(page) == 0 {
			break
		}
		for _, e := range page {
			seen = append(seen, e.Seq)
		}
		before = seen[len(seen)-1]
	}
	if !slices.Equal(seen, []int64{7, 6, 5, 4, 3, 2, 1}) {
		t.Errorf("got %v", seen)
	}
	if list := history(t, s, domain.NewID[domain.ClientKind](storetest.IDs())); len(list) != 0 {
		t.Errorf("a thing that is not there has %d events", len(list))
	}
}

func TestLargeChangesGoToAFileAndAreReadBack(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		length int
		file   bool
	}{"below the limit": {audit.InlineLimit - 2000, false}, "above it": {audit.InlineLimit + 1, true}, "in several parts": {3 << 20, true}} {
		t.Run(name, func(t *testing.T) {
			db := storetest.Clone(t)
			s := db.Open(t, store.App)
			big := newClient("Big")
			long := strings.Repeat("Pumpwerk ", c.length/9)
			_, err := store.Write(t.Context(), s, adding(big, storetest.Operation()), func(ctx context.Context, tx *store.Tx) (answer, error) {
				err := insert(ctx, tx, big)
				big := big
				big.Note, big.Contact = long, "Ingrid Fell"
				tx.Changed(audit.Client, big.ID, 2, nil, big)
				return answer{}, err
			})
			if err != nil {
				t.Fatal(err)
			}
			if size := one[int](t, db, "SELECT max(length(payload)) FROM audit.event"); c.file != (size < 1000) || size > audit.InlineLimit+1000 {
				t.Errorf("the event has %d characters", size)
			}
			if n := one[int](t, db, "SELECT count(*) FROM blob"); (n == 1) != c.file {
				t.Errorf("%d files", n)
			}
			if n := one[int](t, db, "SELECT count(*) FROM blob_part WHERE position('Ingrid' IN encode(data, 'escape')) > 0"); n != 0 {
				t.Error("the file holds a person's name")
			}
			got := told(history(t, s, big.ID)[0])
			want := []string{`client v1 name: "" → "Big"`, `client v2 name: "" → "Big"`, `client v2 contact_name: "" → "Ingrid Fell"`, fmt.Sprintf("client v2 note: %q → %q", "", long)}
			if !slices.Equal(got, want) {
				t.Errorf("%d lines, the last with %d characters", len(got), len(got[len(got)-1]))
			}
			whole(t, s)
		})
	}
}

// tamper does what a superuser can who switches the triggers off.
func tamper(t *testing.T, db storetest.DB, sql string) {
	t.Helper()
	exec(t, db, "ALTER TABLE audit.event DISABLE TRIGGER ALL; ALTER TABLE audit.subject DISABLE TRIGGER ALL; "+sql+"; ALTER TABLE audit.event ENABLE TRIGGER ALL")
}

// withEvents makes a trail of six events, of which the fourth has its changes in a file.
func withEvents(t *testing.T) (storetest.DB, *store.Store) {
	t.Helper()
	db := storetest.Clone(t)
	s := db.Open(t, store.App)
	for i := range 6 {
		c := newClient(fmt.Sprint("client ", i))
		if i != 3 {
			mustAdd(t, s, c)
			continue
		}
		big := c
		big.Note = strings.Repeat("long ", audit.InlineLimit/5)
		change(t, s, c, big)
	}
	return db, s
}

func TestVerifyFindsWhatWasTamperedWith(t *testing.T) {
	t.Parallel()
	db, app := withEvents(t)
	reader := db.Open(t, store.Reader)
	var save, restore string
	for _, table := range []string{"audit.head", "audit.event", "audit.subject", "blob", "blob_part"} {
		copied := "saved." + strings.ReplaceAll(table, ".", "_")
		save += fmt.Sprintf("; CREATE TABLE %s AS TABLE %s", copied, table)
		restore += fmt.Sprintf("; DELETE FROM %s; INSERT INTO %s TABLE %s", table, table, copied)
	}
	exec(t, db, "CREATE SCHEMA saved"+save)
	restore = "ALTER TABLE blob DISABLE TRIGGER ALL; ALTER TABLE blob_part DISABLE TRIGGER ALL" + restore
	for name, c := range map[string]struct {
		sql  string
		want []store.Problem
	}{
		"nothing":                      {"SELECT", nil},
		"edited payload":               {`UPDATE audit.event SET payload = replace(payload, 'client 1', 'client 9') WHERE seq = 2`, []store.Problem{{2, "hash"}}},
		"edited and no event any more": {`UPDATE audit.event SET payload = 'gone' WHERE seq = 2`, []store.Problem{{2, "hash"}, {2, "subject"}}},
		"subjects no list any more":    {`UPDATE audit.event SET payload = '{"subjects":7}' WHERE seq = 2`, []store.Problem{{2, "hash"}, {2, "subject"}}},
		"edited time":                  {`UPDATE audit.event SET at = at - interval '1 microsecond' WHERE seq = 2`, []store.Problem{{2, "hash"}}},
		"edited, and its hash made anew": {`UPDATE audit.event e SET payload = replace(payload, 'client 1', 'client 9'),
				hash = audit.leaf(h.chain_id, e.seq, e.at, replace(payload, 'client 1', 'client 9'), e.prev_hash) FROM audit.head h WHERE e.seq = 2`,
			[]store.Problem{{3, "link"}}},
		"deleted middle row":    {`DELETE FROM audit.event WHERE seq = 3`, []store.Problem{{3, "subject"}, {4, "gap"}, {4, "link"}}},
		"deleted first row":     {`DELETE FROM audit.event WHERE seq = 1`, []store.Problem{{1, "subject"}, {2, "gap"}, {2, "link"}}},
		"event numbered nought": {`INSERT INTO audit.event SELECT 0, at, payload, hash, hash FROM audit.event WHERE seq = 6`, []store.Problem{{0, "gap"}, {0, "hash"}, {0, "link"}, {0, "subject"}, {1, "link"}}},
		"cut tail":              {`DELETE FROM audit.subject WHERE seq = 6; DELETE FROM audit.event WHERE seq = 6`, []store.Problem{{6, "head"}}},
		"head of another hash":  {`UPDATE audit.head SET hash = decode(repeat('ab', 32), 'hex')`, []store.Problem{{6, "head"}}},
		"another chain's":       {`UPDATE audit.head SET chain_id = gen_random_uuid()`, []store.Problem{{1, "hash"}, {2, "hash"}, {3, "hash"}, {4, "hash"}, {5, "hash"}, {6, "hash"}}},
		"two swapped": {`UPDATE audit.event SET seq = 99 WHERE seq = 2; UPDATE audit.event SET seq = 2 WHERE seq = 3; UPDATE audit.event SET seq = 3 WHERE seq = 99`,
			[]store.Problem{{2, "hash"}, {2, "link"}, {2, "subject"}, {2, "subject"}, {3, "hash"}, {3, "link"}, {3, "subject"}, {3, "subject"}, {4, "link"}}},
		"subject taken out": {`DELETE FROM audit.subject WHERE seq = 2`, []store.Problem{{2, "subject"}}},
		"subject changed":   {`UPDATE audit.subject SET id = gen_random_uuid() WHERE seq = 2`, []store.Problem{{2, "subject"}, {2, "subject"}}},
		"subject put in":    {`INSERT INTO audit.subject VALUES ('client', gen_random_uuid(), 2)`, []store.Problem{{2, "subject"}}},
		"byte of the file":  {`UPDATE blob_part SET data = set_byte(data, 100, get_byte(data, 100) # 1)`, []store.Problem{{4, "changes"}}},
		"file taken away":   {`DELETE FROM blob_part; DELETE FROM blob`, []store.Problem{{4, "changes"}}},
		"everything":        {`TRUNCATE audit.event, audit.subject`, []store.Problem{{6, "head"}}},
	} {
		t.Run(name, func(t *testing.T) {
			tamper(t, db, c.sql)
			defer tamper(t, db, restore)
			for name, verify := range map[string]func(context.Context) (store.Head, []store.Problem, error){
				"application": app.Verify, "reader": reader.Verify,
				"one by one": func(ctx context.Context) (store.Head, []store.Problem, error) { return app.VerifyBy(ctx, 1) },
				"by twos":    func(ctx context.Context) (store.Head, []store.Problem, error) { return app.VerifyBy(ctx, 2) },
			} {
				_, problems, err := verify(t.Context())
				if slices.SortFunc(problems, byEvent); err != nil || !slices.Equal(problems, c.want) {
					t.Errorf("%s finds %v, %v; want %v", name, problems, err, c.want)
				}
			}
		})
	}
	whole(t, app) // the restoring was right, or the cases would have disturbed each other
}

func byEvent(a, b store.Problem) int {
	return cmp.Or(cmp.Compare(a.Seq, b.Seq), cmp.Compare(a.Why, b.Why))
}

// Whoever finds a hundred problems knows enough.
func TestVerifyStopsAtAHundredProblems(t *testing.T) {
	t.Parallel()
	db := storetest.Clone(t)
	s := db.Open(t, store.App)
	mustAdd(t, s, newClient("x"))
	exec(t, db, `DO $$ BEGIN FOR i IN 1..149 LOOP PERFORM audit.append((SELECT payload FROM audit.event WHERE seq = 1)); END LOOP; END $$`)
	whole(t, s)
	tamper(t, db, "UPDATE audit.event SET at = at + interval '1 second'")
	for _, n := range []int64{7, 1000} {
		if head, problems, err := s.VerifyBy(t.Context(), n); err != nil || len(problems) != 100 || head.Seq != 150 {
			t.Errorf("by %d: head %d, %d problems, %v", n, head.Seq, len(problems), err)
		}
	}
}

// A tail cut off together with its head leaves a chain that is whole: the head's hash that
// was printed before tells it, and nothing else can.
func TestCutTailWithARewoundHeadIsToldByThePrintedHead(t *testing.T) {
	t.Parallel()
	db, s := withEvents(t)
	printed, _, err := s.Verify(t.Context())
	if err != nil || printed.Seq != 6 {
		t.Fatalf("%+v, %v", printed, err)
	}
	tamper(t, db, `DELETE FROM audit.subject WHERE seq = 6; DELETE FROM audit.event WHERE seq = 6;
		UPDATE audit.head SET seq = 5, hash = (SELECT hash FROM audit.event WHERE seq = 5)`)
	now, problems, err := s.Verify(t.Context())
	if err != nil || len(problems) != 0 {
		t.Errorf("found %v, %v: tell so where the function says that it cannot", problems, err)
	}
	if now == printed {
		t.Error("the head is as it was printed")
	}
}

func TestVerifyOfAnEmptyTrail(t *testing.T) {
	t.Parallel()
	head, problems, err := storetest.Shared(t).Open(t, store.Reader).Verify(t.Context())
	if err != nil || len(problems) != 0 || head.Seq != 0 || head.Hash != strings.Repeat("0", 64) {
		t.Errorf("%+v, %v, %v", head, problems, err)
	}
}

// Two chains of the same events differ: an event cannot be carried over.
func TestChainsDiffer(t *testing.T) {
	t.Parallel()
	a, b := storetest.Clone(t), emptyDatabase(t)
	if _, err := store.MigrateUp(t.Context(), b.URL); err != nil {
		t.Fatal(err)
	}
	const chain = "SELECT chain_id::text FROM audit.head"
	if one[string](t, a, chain) == one[string](t, b, chain) {
		t.Error("two databases have the same chain")
	}
}

// The database keeps the exact text: it is the one whose hash is chained.
func TestEventIsKeptAsItWasHashed(t *testing.T) {
	t.Parallel()
	db, _ := withEvents(t)
	rows, _ := db.Connect(t, store.Reader).Query(t.Context(), "SELECT payload FROM audit.event ORDER BY seq")
	payloads, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil || len(payloads) != 6 {
		t.Fatalf("%d, %v", len(payloads), err)
	}
	for _, p := range payloads {
		e, err := audit.Parse(p)
		if err != nil {
			t.Fatal(err)
		}
		again, err := audit.Canonical(e)
		if err != nil || string(again) != p {
			t.Errorf("not canonical: %s, %v", p, err)
		}
	}
}

func TestTrailIsLookedThroughByWhoWhatAndWhen(t *testing.T) {
	t.Parallel()
	db := storetest.Clone(t)
	s := db.Open(t, store.App)
	first := newClient("Tidewater Works")
	mustAdd(t, s, first)
	other := domain.NewID[domain.PersonKind](storetest.IDs())
	second := newClient("Lockgate Paper")
	if _, err := store.Write(t.Context(), s, store.Command{Actor: access.Actor{Person: other}, Action: "client.add", Operation: storetest.Operation(), Request: second},
		func(ctx context.Context, tx *store.Tx) (answer, error) { return answer{}, insert(ctx, tx, second) }); err != nil {
		t.Fatal(err)
	}
	after := first
	after.Note = "moved"
	change(t, s, first, after)
	all, err := s.Trail(t.Context(), nil, 0, 10)
	if err != nil || len(all) != 3 {
		t.Fatalf("%d events, %v", len(all), err)
	}
	about := &audit.Subject{Kind: audit.Client, ID: first.ID.String()}
	for name, c := range map[string]struct {
		filter store.TrailFilter
		want   []int64
	}{
		"who":               {store.TrailFilter{Actor: "person:" + other.String()}, []int64{2}},
		"what":              {store.TrailFilter{Action: "client.add"}, []int64{2, 1}},
		"what, next page":   {store.TrailFilter{Action: "client.add", Before: 2}, []int64{1}},
		"who and what":      {store.TrailFilter{Actor: actor.Name(), Action: "client.add"}, []int64{1}},
		"from":              {store.TrailFilter{From: all[1].At}, []int64{3, 2}},
		"until, without it": {store.TrailFilter{Until: all[1].At}, []int64{1}},
		"a thing and what":  {store.TrailFilter{About: about, Action: "client.change"}, []int64{3}},
		"a kind":            {store.TrailFilter{About: &audit.Subject{Kind: audit.Client}}, []int64{3, 2, 1}},
		"another kind":      {store.TrailFilter{About: &audit.Subject{Kind: audit.Site}}, nil},
		"nobody":            {store.TrailFilter{Actor: "person:' OR true --"}, nil},
	} {
		list, err := s.TrailOf(t.Context(), c.filter, 10)
		var got []int64
		for _, e := range list {
			got = append(got, e.Seq)
		}
		if err != nil || !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, %v, want %v", name, got, err, c.want)
		}
	}
}

// With many events the filters are answered from their indexes, not by reading the trail.
func TestTrailFiltersHaveTheirIndexes(t *testing.T) {
	t.Parallel()
	db := storetest.Clone(t)
	owner := db.Connect(t, "")
	for _, sql := range []string{"ALTER TABLE audit.event DISABLE TRIGGER ALL",
		`INSERT INTO audit.event (seq, at, payload, prev_hash, hash)
		 SELECT n, '2026-01-01'::timestamptz + n * interval '1 minute', format('{"action":"a.%s","actor":"person:%s","x":1}', n % 500, n % 700),
		        sha256(int8send(n - 1)), sha256(int8send(n)) FROM generate_series(1, 6000) AS n`, "ANALYZE audit.event"} {
		if _, err := owner.Exec(t.Context(), sql); err != nil {
			t.Fatal(err)
		}
	}
	app := db.Connect(t, store.App)
	for condition, index := range map[string]string{store.ActorOf + " = 'person:8'": "event_by_actor", store.ActionOf + " = 'a.8'": "event_by_action",
		"e.at >= '2026-01-02' AND e.at < '2026-01-02 01:00'": "event_by_time"} {
		rows, err := app.Query(t.Context(), "EXPLAIN SELECT e.seq, e.at, e.payload, e.hash FROM audit.event e WHERE "+condition+" ORDER BY e.seq DESC LIMIT 51")
		if err != nil {
			t.Fatal(err)
		}
		plan, err := pgx.CollectRows(rows, pgx.RowTo[string])
		if err != nil || !strings.Contains(strings.Join(plan, "\n"), index) {
			t.Errorf("%s: %v\n%s", condition, err, strings.Join(plan, "\n"))
		}
	}
}
