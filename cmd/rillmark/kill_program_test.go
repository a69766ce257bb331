package main

import (
	"context"
	"fmt"
	"math/rand/v2"
	"strings"
	"syscall"
	"testing"
	"time"

	"rillmark/service/store/storetest"
)

// The built program and, separately, the database's server are killed while commands are
// between request and answer, on a server that flushes to disk as in earnest. Nothing
// that was confirmed is lost, nothing is done twice, and what had no answer can be sent
// again as it was.
func TestKills(t *testing.T) {
	cluster := storetest.NewCluster(t, true)
	t.Run("of the program", func(t *testing.T) { killProgram(t, cluster) })
	t.Run("of the server", func(t *testing.T) { killServer(t, cluster) })
}

func serving(t *testing.T, db storetest.DB, listen string) *instance {
	t.Helper()
	return identity{}.ready(t, "serve", "--listen", listen, "--database-url", db.URL, "--log-level", "error")
}

func killProgram(t *testing.T, cluster *storetest.Cluster) {
	db := cluster.Clone(t)
	p := serving(t, db, "127.0.0.1:0")
	l := newLedger(t, db, p.address)
	random := rand.New(rand.NewPCG(killSeed, 3))
	began, inFlight, silent := time.Now(), 0, 0
	for i := range kills() {
		if i > 0 {
			p = serving(t, db, strings.TrimPrefix(l.address, "http://"))
		}
		stop := make(chan struct{})
		all := l.writing(t, stop)
		time.Sleep(time.Duration(random.Int64N(int64(120 * time.Millisecond))))
		close(stop)
		p.end(t, syscall.SIGKILL)
		all.Wait()
		waitForSessions(t, db)
		inFlight += min(1, len(l.open))
		if silent += l.check(t, db, fmt.Sprintf("kill %d", i+1)); t.Failed() {
			return
		}
	}
	took := time.Since(began)
	serving(t, db, strings.TrimPrefix(l.address, "http://"))
	l.settle(t, db)
	t.Logf("%d kills of the program (seed %d) in %v: %d with commands in flight, %d done without an answer, %d commands in all",
		kills(), killSeed, took.Round(time.Millisecond), inFlight, silent, len(l.confirmed))
	if inFlight < kills()/2 {
		t.Errorf("only %d of %d kills met a command between request and answer", inFlight, kills())
	}
}

// waitForSessions waits until the server has noticed that the program is gone: a COMMIT
// that was under way still happens.
func waitForSessions(t *testing.T, db storetest.DB) {
	t.Helper()
	conn := db.Connect(t, "")
	defer conn.Close(context.Background())
	for began := time.Now(); time.Since(began) < patience; time.Sleep(5 * time.Millisecond) {
		var n int
		if err := conn.QueryRow(t.Context(), "SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() AND application_name = 'rillmark'").Scan(&n); err != nil {
			t.Fatal(err)
		}
		if n == 0 {
			return
		}
	}
	t.Fatal("the killed program's sessions are still there")
}

// One program lives through all the kills of its database's server.
func killServer(t *testing.T, cluster *storetest.Cluster) {
	db := cluster.Clone(t)
	// As durable as the default, which after a crash opens each of some thousand files.
	if _, err := db.Connect(t, "").Exec(t.Context(), "ALTER SYSTEM SET recovery_init_sync_method = 'syncfs'"); err != nil {
		t.Fatal(err)
	}
	p := serving(t, db, "127.0.0.1:0")
	l := newLedger(t, db, p.address)
	random := rand.New(rand.NewPCG(killSeed, 4))
	began, inFlight, silent := time.Now(), 0, 0
	for i := range kills() {
		stop := make(chan struct{})
		all := l.writing(t, stop)
		time.Sleep(time.Duration(random.Int64N(int64(150 * time.Millisecond))))
		close(stop)
		cluster.Kill(t)
		all.Wait()
		cluster.Restart(t)
		inFlight += min(1, len(l.open))
		if silent += l.check(t, db, fmt.Sprintf("kill %d", i+1)); t.Failed() {
			return
		}
	}
	took := time.Since(began)
	last := make(chan struct{})
	all := l.writing(t, last) // the program has found its server again
	close(last)
	p.end(t, syscall.SIGTERM)
	all.Wait()
	serving(t, db, strings.TrimPrefix(l.address, "http://"))
	l.settle(t, db)
	t.Logf("%d kills of the server (seed %d) in %v: %d with commands in flight, %d done without an answer, %d commands in all",
		kills(), killSeed, took.Round(time.Millisecond), inFlight, silent, len(l.confirmed))
	if inFlight < kills()/2 {
		t.Errorf("only %d of %d kills met a command between request and answer", inFlight, kills())
	}
}
