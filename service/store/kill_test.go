package store_test

import (
	"bufio"
	"context"
	"flag"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	osexec "os/exec"
	"strconv"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/service/store"
	"rillmark/service/store/storetest"
)

var killsAsked = flag.Int("kills", 0, "how many kills of each kind; 0: a few, or 100 with RILLMARK_FULL=1")

// killSeed chooses the instants of the kills.
const killSeed = 20260105

func kills() int {
	return storetest.Kills(*killsAsked, 100, 5)
}

// numbered is the operation number n, the same whoever sends it and however often.
func numbered(n int) domain.OperationID {
	id := uuid.MustParse("01900000-0000-7000-8000-000000000000")
	for i, k := 15, n; k > 0; i, k = i-1, k>>8 {
		id[i] = byte(k)
	}
	return domain.OperationID{UUID: id}
}

// writeNumbered is the write number n. Each time that it is done it makes a row of its own,
// so that one that was done twice would show.
func writeNumbered(ctx context.Context, s *store.Store, ids domain.IDs, n int) error {
	command := store.Command{Actor: access.System("test"), Action: "client.add", Operation: numbered(n), Request: n}
	_, err := store.Write(ctx, s, command, func(ctx context.Context, tx *store.Tx) (string, error) {
		id := domain.NewID[domain.ClientKind](ids)
		tx.Changed(audit.Client, id, 1, nil, client{ID: id, Contact: "someone"})
		return id.String(), tx.Run(ctx, `INSERT INTO client (id, name, address, contact_name, contact_email, contact_phone, note, version, created_at, changed_at)
			VALUES ($1, $4, $2, '', '', '', '', 1, $3, $3)`, id, strconv.Itoa(n), tx.Now, id.String())
	})
	return err
}

const writersAtOnce = 4

func init() {
	// write sends numbered writes until it is killed: first those that its parent names,
	// then new ones. It says which ones were confirmed.
	children["write"] = func(ctx context.Context, args []string) error {
		ids := func() uuid.UUID { return uuid.Must(uuid.NewV7()) }
		s, err := store.Open(ctx, store.Config{URL: args[0], MaxConns: writersAtOnce, IDs: ids})
		if err != nil {
			return err
		}
		next, err := strconv.ParseInt(args[1], 10, 64)
		if err != nil {
			return err
		}
		again := make(chan int, len(args))
		for _, text := range args[2:] {
			n, err := strconv.Atoi(text)
			if err != nil {
				return err
			}
			again <- n
		}
		close(again)
		var last atomic.Int64
		last.Store(next - 1)
		errs := make(chan error)
		for range writersAtOnce {
			go func() {
				for {
					n, more := <-again
					if !more {
						n = int(last.Add(1))
						fmt.Printf("sending %d\n", n)
					}
					if err := writeNumbered(ctx, s, ids, n); err != nil {
						errs <- err
						return
					}
					fmt.Printf("confirmed %d\n", n)
				}
			}()
		}
		return <-errs
	}
}

// ledger is what the sender of the writes knows.
type ledger struct {
	sync.Mutex
	sent      int          // the newest number
	confirmed map[int]bool // by number; false: no answer came
}

func (l *ledger) sending(n int) {
	l.Lock()
	defer l.Unlock()
	l.sent = max(l.sent, n)
	if !l.confirmed[n] {
		l.confirmed[n] = false
	}
}

func (l *ledger) confirm(n int) {
	l.Lock()
	defer l.Unlock()
	l.confirmed[n] = true
}

func (l *ledger) unconfirmed() (all []int) {
	l.Lock()
	defer l.Unlock()
	for n, ok := range l.confirmed {
		if !ok {
			all = append(all, n)
		}
	}
	return all
}

// check compares what is there with what was confirmed: that once, the rest at most once.
// It returns how many writes had happened without an answer.
func (l *ledger) check(t *testing.T, db storetest.DB, what string) (silent int) {
	t.Helper()
	l.Lock()
	defer l.Unlock()
	conn := db.Connect(t, "")
	defer conn.Close(context.Background()) // a thousand of them would be too many
	rows, err := conn.Query(t.Context(), "SELECT address::int, count(*) FROM client GROUP BY address")
	if err != nil {
		t.Fatal(err)
	}
	found := map[int]int{}
	for rows.Next() {
		var n, times int
		if err := rows.Scan(&n, &times); err != nil {
			t.Fatal(err)
		}
		found[n] = times
	}
	if err := rows.Err(); err != nil {
		t.Fatal(err)
	}
	for n, ok := range l.confirmed {
		switch times := found[n]; {
		case times > 1:
			t.Errorf("%s: write %d happened %d times", what, n, times)
		case ok && times == 0:
			t.Errorf("%s: write %d was confirmed and is lost", what, n)
		case !ok && times == 1:
			silent++
		}
		delete(found, n)
	}
	if len(found) > 0 {
		t.Errorf("%s: there are writes that nobody sent: %v", what, found)
	}
	return silent
}

// settle sends what has no answer again and checks that all of it is there once.
func (l *ledger) settle(t *testing.T, db storetest.DB) {
	t.Helper()
	s := db.Open(t, store.App)
	for _, n := range l.unconfirmed() {
		if err := writeNumbered(t.Context(), s, storetest.IDs(), n); err != nil {
			t.Errorf("sent again: write %d: %v", n, err)
		}
		l.confirm(n)
	}
	l.check(t, db, "at the end")
	holds(t, db, len(l.confirmed), len(l.confirmed), len(l.confirmed))
	whole(t, s)
}

// The writing process is killed at seeded instants, with several writes between request
// and answer. Each next process sends again what had no answer.
func killedWriter(t *testing.T, cluster *storetest.Cluster) {
	db := cluster.Clone(t)
	l := &ledger{confirmed: map[int]bool{}}
	random := rand.New(rand.NewPCG(killSeed, 1))
	start, inFlight, silent := time.Now(), 0, 0
	for i := range kills() {
		runAndKill(t, db, l, time.Duration(random.Int64N(int64(120*time.Millisecond))))
		open := l.unconfirmed()
		inFlight += min(1, len(open))
		silent += l.check(t, db, fmt.Sprintf("kill %d", i+1))
		if t.Failed() {
			return
		}
	}
	took := time.Since(start)
	l.settle(t, db)
	t.Logf("%d kills of the writer (seed %d) in %v: %d with writes in flight, %d writes done without an answer, %d writes in all",
		kills(), killSeed, took.Round(time.Millisecond), inFlight, silent, len(l.confirmed))
	if inFlight < kills()/2 {
		t.Errorf("only %d of %d kills met a write between request and answer", inFlight, kills())
	}
}

// runAndKill runs a writing process and kills it some time after its first confirmation.
func runAndKill(t *testing.T, db storetest.DB, l *ledger, after time.Duration) {
	t.Helper()
	args := []string{db.URL, strconv.Itoa(l.sent + 1)}
	for _, n := range l.unconfirmed() {
		args = append(args, strconv.Itoa(n))
	}
	child := osexec.Command(os.Args[0], args...)
	child.Env = append(os.Environ(), childTask+"=write")
	child.Stderr = os.Stderr
	out, err := child.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := child.Start(); err != nil {
		t.Fatal(err)
	}
	first := make(chan struct{})
	read := make(chan struct{})
	go func() {
		defer close(read)
		l.listen(out, first)
	}()
	select {
	case <-first:
		time.Sleep(after)
	case <-time.After(20 * time.Second):
		t.Error("the writing process confirms nothing")
	}
	if err := child.Process.Kill(); err != nil {
		t.Error(err)
	}
	<-read
	_ = child.Wait() // says that it was killed
	waitForServerProcesses(t, db)
}

// listen reads what a writing process says up to its last whole line.
func (l *ledger) listen(out io.Reader, first chan<- struct{}) {
	lines := bufio.NewReader(out)
	for {
		line, err := lines.ReadString('\n')
		if err != nil {
			return
		}
		var n int
		if _, err := fmt.Sscanf(line, "sending %d", &n); err == nil {
			l.sending(n)
		}
		if _, err := fmt.Sscanf(line, "confirmed %d", &n); err == nil {
			l.confirm(n)
			if first != nil {
				close(first)
				first = nil
			}
		}
	}
}

// waitForServerProcesses waits until the server has noticed that its client is gone: a
// COMMIT that was under way still happens.
func waitForServerProcesses(t *testing.T, db storetest.DB) {
	t.Helper()
	conn := db.Connect(t, "")
	defer conn.Close(context.Background())
	for range 2000 {
		var n int
		err := conn.QueryRow(t.Context(), "SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() AND application_name = 'rillmark'").Scan(&n)
		if err != nil {
			t.Fatal(err)
		}
		if n == 0 {
			return
		}
		time.Sleep(5 * time.Millisecond)
	}
	t.Fatal("the killed writer's server processes are still there")
}

// The server is killed under the writers, once its first process alone and once all of them
// at the same instant, comes back, and they send again what had no answer.
func killedServer(t *testing.T, cluster *storetest.Cluster) {
	db := cluster.Clone(t)
	// As durable as the default, which after a crash opens each of some thousand files.
	exec(t, db, "ALTER SYSTEM SET recovery_init_sync_method = 'syncfs'")
	l := &ledger{confirmed: map[int]bool{}}
	random := rand.New(rand.NewPCG(killSeed, 2))
	start, inFlight, silent := time.Now(), 0, 0
	var down time.Duration
	for i := range kills() {
		s, err := store.Open(t.Context(), store.Config{URL: db.URL, MaxConns: writersAtOnce, IDs: storetest.IDs()})
		if err != nil {
			t.Fatal(err)
		}
		writing := l.write(t, s)
		processes := serverProcesses(t, db)
		time.Sleep(time.Duration(random.Int64N(int64(150 * time.Millisecond))))
		if i%2 == 1 { // all at once, as when the power goes; else its first process alone
			for _, pid := range processes {
				_ = syscall.Kill(pid, syscall.SIGKILL) // it may have ended by itself
			}
		}
		cluster.Kill(t)
		killed := time.Now()
		writing.Wait()
		s.Close()
		cluster.Restart(t)
		down += time.Since(killed)
		open := l.unconfirmed()
		inFlight += min(1, len(open))
		silent += l.check(t, db, fmt.Sprintf("kill %d", i+1))
		if t.Failed() {
			return
		}
	}
	took := time.Since(start)
	l.settle(t, db)
	t.Logf("%d kills of the server (seed %d) in %v: %d with writes in flight, %d writes done without an answer, %d writes in all, back after %v on average",
		kills(), killSeed, took.Round(time.Millisecond), inFlight, silent, len(l.confirmed), (down / time.Duration(kills())).Round(time.Millisecond))
	if inFlight < kills()/2 {
		t.Errorf("only %d of %d kills met a write between request and answer", inFlight, kills())
	}
}

// serverProcesses are those of the sessions and of the server itself but its first.
func serverProcesses(t *testing.T, db storetest.DB) []int {
	t.Helper()
	conn := db.Connect(t, "")
	defer conn.Close(context.Background()) // a thousand of them would be too many
	rows, _ := conn.Query(t.Context(), "SELECT pid FROM pg_stat_activity WHERE pid <> pg_backend_pid()")
	pids, err := pgx.CollectRows(rows, pgx.RowTo[int])
	if err != nil {
		t.Fatal(err)
	}
	return pids
}

// write sends what has no answer and then new writes, until the server is gone; it returns
// when the first write is confirmed.
func (l *ledger) write(t *testing.T, s *store.Store) *sync.WaitGroup {
	again := make(chan int, writersAtOnce*len(l.confirmed)+1)
	for _, n := range l.unconfirmed() {
		again <- n
	}
	close(again)
	var last atomic.Int64
	last.Store(int64(l.sent))
	var all sync.WaitGroup
	first := make(chan struct{})
	var once sync.Once
	for range writersAtOnce {
		all.Go(func() {
			for {
				n, more := <-again
				if !more {
					n = int(last.Add(1))
				}
				l.sending(n)
				err := writeNumbered(context.Background(), s, storetest.IDs(), n)
				if err != nil {
					// The sender is told to try again, and not that it is its fault.
					if domain.KindOf(err) != domain.Busy {
						t.Errorf("write %d with the server gone: %v", n, err)
					}
					return
				}
				l.confirm(n)
				once.Do(func() { close(first) })
			}
		})
	}
	select {
	case <-first:
	case <-time.After(20 * time.Second):
		t.Error("no write is confirmed")
	}
	return &all
}
