package main

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"rillmark/service/store/storetest"
)

var killsAsked = flag.Int("kills", 0, "how many kills of each kind; 0: a few, or 500 with RILLMARK_FULL=1")

// killSeed chooses the instants of the kills.
const killSeed = 20260105

func kills() int {
	return storetest.Kills(*killsAsked, 500, 10)
}

// addition is one thing that a sender wants done: to add a client. Its ids are made once,
// as in a form, so that it can be sent again.
type addition struct {
	Operation string `json:"operation"`
	ID        string `json:"id"`
	Name      string `json:"name"`
}

// ledger is what those know who send commands to the program and read its answers.
type ledger struct {
	client  *http.Client
	address string

	mu        sync.Mutex
	confirmed []addition
	open      []addition // sent, and no answer came that says that it was done
}

// newLedger logs a coordinator in.
func newLedger(t *testing.T, db storetest.DB, address string) *ledger {
	t.Helper()
	addPerson(t, db.URL)
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	l := &ledger{client: &http.Client{Jar: jar, Timeout: 20 * time.Second}, address: address}
	answer, err := l.client.PostForm(address+"/login", url.Values{"login": {"late"}, "password": {"a first password"}})
	if err != nil {
		t.Fatal(err)
	}
	answer.Body.Close()
	if answer.Request.URL.Path != "/" {
		t.Fatalf("led to %s", answer.Request.URL)
	}
	return l
}

// take gives the next command to send: one without an answer, else a new one.
func (l *ledger) take() addition {
	l.mu.Lock()
	defer l.mu.Unlock()
	if n := len(l.open); n > 0 {
		a := l.open[n-1]
		l.open = l.open[:n-1]
		return a
	}
	ids := storetest.IDs()
	a := addition{Operation: ids().String(), ID: ids().String()}
	a.Name = "Client " + a.ID
	return a
}

func (l *ledger) note(a addition, done bool) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if done {
		l.confirmed = append(l.confirmed, a)
	} else {
		l.open = append(l.open, a)
	}
}

// send sends a command and reports whether the answer says that it was done.
func (l *ledger) send(a addition) error {
	body, err := json.Marshal(a)
	if err != nil {
		return err
	}
	answer, err := l.client.Post(l.address+"/clients", "application/json", bytes.NewReader(body))
	if err != nil {
		return err
	}
	defer answer.Body.Close()
	said, err := io.ReadAll(answer.Body)
	if err != nil {
		return err
	}
	var written struct{ ID string }
	if answer.StatusCode != http.StatusCreated || json.Unmarshal(said, &written) != nil || written.ID != a.ID {
		return fmt.Errorf("%s: %s", answer.Status, said)
	}
	return nil
}

// writing starts senders that go on until something fails after stop is closed. Before,
// they try again: a server that has just come back may refuse at first. It returns when
// the first command of theirs is confirmed.
func (l *ledger) writing(t *testing.T, stop <-chan struct{}) *sync.WaitGroup {
	t.Helper()
	const sendersAtOnce = 4
	first := make(chan struct{})
	var once sync.Once
	var all sync.WaitGroup
	for range sendersAtOnce {
		all.Go(func() {
			for deadline := time.Now().Add(patience); ; {
				a := l.take()
				err := l.send(a)
				l.note(a, err == nil)
				if err == nil {
					once.Do(func() { close(first) })
					continue
				}
				select {
				case <-stop:
					return
				case <-time.After(20 * time.Millisecond):
				}
				if time.Now().After(deadline) {
					t.Errorf("no answer for %v: %v", patience, err)
					return
				}
			}
		})
	}
	select {
	case <-first:
	case <-time.After(patience):
		t.Error("nothing is confirmed")
	}
	return &all
}

// check compares what the database holds with what was confirmed: that once, the rest at
// most once. It returns how many commands were done without an answer.
func (l *ledger) check(t *testing.T, db storetest.DB, what string) (silent int) {
	t.Helper()
	conn := db.Connect(t, "")
	defer conn.Close(context.Background()) // a thousand of them would be too many
	rows, err := conn.Query(t.Context(), `SELECT o.id::text, (SELECT count(*) FROM client c WHERE c.id::text = o.outcome::jsonb ->> 'id'),
		(SELECT count(*) FROM audit.event e WHERE e.payload::jsonb ->> 'operation' = o.id::text) FROM operation o WHERE o.action = 'client.add'`)
	if err != nil {
		t.Fatal(err)
	}
	type row struct {
		Operation       string
		Clients, Events int
	}
	all, err := pgx.CollectRows(rows, pgx.RowToStructByPos[row])
	if err != nil {
		t.Fatal(err)
	}
	found := map[string]bool{}
	for _, r := range all {
		found[r.Operation] = true
		if r.Clients != 1 || r.Events != 1 {
			t.Errorf("%s: operation %s has %d clients and %d events", what, r.Operation, r.Clients, r.Events)
		}
	}
	for _, a := range l.confirmed {
		if !found[a.Operation] {
			t.Errorf("%s: %s was confirmed and is lost", what, a.Name)
		}
		delete(found, a.Operation)
	}
	for _, a := range l.open {
		if found[a.Operation] {
			silent++
		}
		delete(found, a.Operation)
	}
	if len(found) > 0 {
		t.Errorf("%s: there are operations that nobody sent: %v", what, found)
	}
	return silent
}

// settle sends what has no answer again and checks that each command was done once.
func (l *ledger) settle(t *testing.T, db storetest.DB) {
	t.Helper()
	for len(l.open) > 0 {
		a := l.take()
		err := l.send(a)
		if l.note(a, err == nil); err != nil {
			t.Fatalf("sent again: %s: %v", a.Name, err)
		}
	}
	if silent := l.check(t, db, "at the end"); silent != 0 {
		t.Errorf("%d commands are without an answer", silent)
	}
	var clients, names int
	if err := db.Connect(t, "").QueryRow(t.Context(), "SELECT count(*), count(DISTINCT name) FROM client").Scan(&clients, &names); err != nil ||
		clients != len(l.confirmed) || names != clients {
		t.Errorf("%d clients with %d names for %d commands, %v", clients, names, len(l.confirmed), err)
	}
	wantWhole(t, db.URL)
}
