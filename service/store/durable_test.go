package store_test

import (
	"os"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"rillmark/service/store"
	"rillmark/service/store/storetest"
)

// full reports that the long proofs are wanted.
func full() bool { return os.Getenv("RILLMARK_FULL") == "1" }

// What needs a server that flushes to disk as in earnest: one serves them all, and the last
// of them kills it.
func TestDurable(t *testing.T) {
	if !full() { // alone, for a figure that says something
		t.Parallel()
	}
	cluster := storetest.NewCluster(t, true)
	t.Run("sixteen writers", func(t *testing.T) { sixteenWriters(t, cluster) })
	t.Run("killed writer", func(t *testing.T) { killedWriter(t, cluster) })
	t.Run("killed server", func(t *testing.T) { killedServer(t, cluster) })
}

// Sixteen writers at once, with every write flushed to the disk before it is confirmed:
// nothing is lost, the chain has no fork, and the figure is told.
func sixteenWriters(t *testing.T, cluster *storetest.Cluster) {
	const writers = 16
	time16 := time.Second
	if full() {
		time16 = 10 * time.Second
	}
	db := cluster.Clone(t)
	s, err := store.Open(t.Context(), store.Config{URL: db.URL, MaxConns: writers, IDs: storetest.IDs()})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if got, err := store.Scalars[string](t.Context(), s, "SELECT current_setting('fsync') || ' ' || current_setting('synchronous_commit') || ' ' || current_setting('full_page_writes')"); err != nil || got[0] != "on on on" {
		t.Fatalf("not durable: %v, %v", got, err)
	}
	var done atomic.Int64
	var slowest [writers]time.Duration
	var all sync.WaitGroup
	start := time.Now()
	for i := range writers {
		all.Go(func() {
			for time.Since(start) < time16 {
				began := time.Now()
				if _, err := add(t.Context(), s, newClient(storetest.Operation().String()), storetest.Operation()); err != nil {
					t.Error(err)
					return
				}
				done.Add(1)
				slowest[i] = max(slowest[i], time.Since(began))
			}
		})
	}
	all.Wait()
	took := time.Since(start)
	n := int(done.Load())
	longest := slowest[0]
	for _, d := range slowest {
		longest = max(longest, d)
	}
	began := time.Now()
	head, problems, err := s.Verify(t.Context())
	if err != nil || len(problems) > 0 || head.Seq != int64(n) {
		t.Errorf("%d writes, head at %d, %v, %v", n, head.Seq, problems, err)
	}
	t.Logf("%d writers, %v: %d writes, %.0f a second, the slowest %v; verified in %v", writers, took.Round(time.Millisecond), n,
		float64(n)/took.Seconds(), longest.Round(time.Millisecond), time.Since(began).Round(time.Millisecond))
	holds(t, db, n, n, n)
}
