package store_test

import (
	"bufio"
	"context"
	"fmt"
	"os"
	osexec "os/exec"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"rillmark/domain"
	"rillmark/service/store"
	"rillmark/service/store/storetest"
)

func init() {
	// hold stops inside a write, with the head of the trail locked: the worst place.
	children["hold"] = func(ctx context.Context, args []string) error {
		s, err := store.Open(ctx, store.Config{URL: args[0], IDs: storetest.IDs()})
		if err != nil {
			return err
		}
		c := newClient("Held")
		_, err = store.Write(ctx, s, adding(c, storetest.Operation()), func(ctx context.Context, tx *store.Tx) (answer, error) {
			if err := insert(ctx, tx, c); err != nil {
				return answer{}, err
			}
			if err := tx.Run(ctx, `SELECT audit.append('{"subjects":[]}')`); err != nil {
				return answer{}, err
			}
			fmt.Println("holds the head")
			time.Sleep(time.Minute) // the parent stops the process meanwhile, and lets it go on
			return answer{}, nil
		})
		return err
	}
}

// A writer that is stopped inside its transaction does not stop the others for longer than
// the lock time-out, and they all get through.
func TestStoppedWriterDoesNotStopTheOthers(t *testing.T) {
	t.Parallel()
	db := storetest.Clone(t)
	s := db.Open(t, store.App)
	child := osexec.Command(os.Args[0], db.URL)
	child.Env = append(os.Environ(), childTask+"=hold")
	out, err := child.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := child.Start(); err != nil {
		t.Fatal(err)
	}
	defer func() {
		_ = child.Process.Kill()
		_ = child.Wait() // says that it was killed
	}()
	if !bufio.NewScanner(out).Scan() {
		t.Fatal("the writer did not come to the head")
	}
	if err := child.Process.Signal(syscall.SIGSTOP); err != nil {
		t.Fatal(err)
	}

	start := time.Now()
	var longest, writes atomic.Int64
	var all sync.WaitGroup
	for range 4 {
		all.Go(func() {
			for time.Since(start) < store.LockTimeout+time.Second {
				began := time.Now()
				if _, err := add(t.Context(), s, newClient(storetest.Operation().String()), storetest.Operation()); err != nil {
					t.Errorf("after %v: %v", time.Since(began), err)
					return
				}
				writes.Add(1)
				for took := int64(time.Since(began)); ; {
					if was := longest.Load(); took <= was || longest.CompareAndSwap(was, took) {
						break
					}
				}
			}
		})
	}
	all.Wait()
	t.Logf("longest wait %v, %d writes in the %v from the stop on", time.Duration(longest.Load()), writes.Load(), time.Since(start))
	switch wait := time.Duration(longest.Load()); {
	case wait > store.LockTimeout:
		t.Errorf("a writer waited %v", wait)
	case wait < store.IdleTimeout/2:
		t.Errorf("nobody waited longer than %v: the writer was not in the way", wait)
	}
	if n := one[int](t, db, "SELECT count(*) FROM client WHERE name = 'Held'"); n != 0 {
		t.Error("the stopped writer's row is there")
	}
	whole(t, s)
}

// Whoever waits for a row that is held gets an answer in time; the others do not wait.
func TestHeldRowIsBusyAfterTheLockTimeout(t *testing.T) {
	t.Parallel()
	db := storetest.Clone(t)
	s := db.Open(t, store.App)
	held := newClient("Held")
	mustAdd(t, s, held)
	holder, err := db.Connect(t, "").Begin(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	defer holder.Rollback(context.WithoutCancel(t.Context()))
	if _, err := holder.Exec(t.Context(), "SELECT FROM client WHERE id = $1 FOR UPDATE", held.ID); err != nil {
		t.Fatal(err)
	}
	start := time.Now()
	waiting := make(chan error, 1)
	go func() {
		_, err := store.Write(t.Context(), s, adding(held, storetest.Operation()), func(ctx context.Context, tx *store.Tx) (answer, error) {
			return answer{}, note(ctx, tx, held)
		})
		waiting <- err
	}()
	time.Sleep(100 * time.Millisecond)
	mustAdd(t, s, newClient("Free"))
	if took := time.Since(start); took > store.LockTimeout/2 {
		t.Errorf("another row's writer took %v", took)
	}
	wantKind(t, <-waiting, domain.Busy, domain.TryAgain)
	if took := time.Since(start); took < store.LockTimeout-100*time.Millisecond || took > store.LockTimeout+time.Second {
		t.Errorf("answered after %v", took)
	}
	holds(t, db, 2, 2, 2)
}

// A callback that stays away too long loses its transaction, and is told so.
func TestIdleTransactionIsEnded(t *testing.T) {
	t.Parallel()
	db := storetest.Clone(t)
	s := db.Open(t, store.App)
	c := newClient("Idle")
	_, err := store.Write(t.Context(), s, adding(c, storetest.Operation()), func(ctx context.Context, tx *store.Tx) (answer, error) {
		err := insert(ctx, tx, c)
		time.Sleep(store.IdleTimeout + 500*time.Millisecond)
		return answer{}, err
	})
	if domain.KindOf(err) != domain.Busy {
		t.Errorf("got %v", err)
	}
	holds(t, db, 0, 0, 0)
	mustAdd(t, s, c)
}

func TestEndlessStatementIsEnded(t *testing.T) {
	t.Parallel()
	s := storetest.Shared(t).Open(t, store.App)
	_, err := store.Scalars[string](t.Context(), s, "SELECT set_config('statement_timeout', '300', false)")
	if err != nil {
		t.Fatal(err)
	}
	if got, err := store.Scalars[string](t.Context(), s, "SELECT current_setting('lock_timeout') || ' ' || current_setting('idle_in_transaction_session_timeout')"); err != nil || got[0] != "5s 4s" {
		t.Errorf("time-outs of a connection: %v, %v", got, err)
	}
	_, err = store.Scalars[string](t.Context(), s, "SELECT pg_sleep(20)::text")
	wantKind(t, err, domain.Busy, domain.TryAgain)
}
