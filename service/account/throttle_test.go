package account_test

import (
	"fmt"
	"math"
	"sync"
	"sync/atomic"
	"testing"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/service/account"
)

// fail knocks with a wrong password.
func (h house) fail(t *testing.T, login, address, device string) error {
	t.Helper()
	_, err := h.try(t, login, "wrong horse 7", address, device)
	if err == nil {
		t.Fatal("a wrong password let someone in")
	}
	return err
}

func wait(err error) int {
	f, _ := fault.Of(err)
	seconds, _ := f.Value("seconds").(int)
	return seconds
}

// skip lets the waits pass, but not the failures fade.
func (h house) skip(t *testing.T) {
	t.Helper()
	h.exec(t, "UPDATE login_throttle SET until = clock_timestamp()")
}

// waits is how long the counter makes wait from the failure on, in seconds: what is left of
// it when the next one knocks depends on the machine.
func (h house) waits(t *testing.T, kind string) float64 {
	t.Helper()
	return one[float64](t, h, "SELECT extract(epoch FROM until - at)::float8 FROM login_throttle WHERE kind = $1", kind)
}

// linger makes a wait that is under way a long one.
func (h house) linger(t *testing.T) {
	t.Helper()
	h.exec(t, "UPDATE login_throttle SET until = clock_timestamp() + interval '1 minute' WHERE until > at")
}

func TestAccountWaitsAfterFailures(t *testing.T) {
	t.Parallel()
	h := open(t)
	h.add(t, "ida", access.Technician)
	const busy = "198.51.100.1" // has failed before, elsewhere
	h.fail(t, "nobody", busy, "")
	h.exec(t, "DELETE FROM login_throttle WHERE key = 'nobody'")
	for i := range 6 { // five are free, the sixth begins the waiting
		if n := one[int](t, h, "SELECT count(*) FROM login_throttle WHERE until > at"); n != 0 {
			t.Fatalf("it waits after %d failures", i)
		}
		if err := h.fail(t, "ida", fmt.Sprint("192.0.2.", i), ""); domain.KindOf(err) != domain.Unauthenticated {
			t.Fatalf("failure %d: %v", i+1, err)
		}
	}
	if s := h.waits(t, "account"); s < 0.9 || s > 1 {
		t.Errorf("the first wait is %g s", s)
	}
	h.linger(t)
	_, err := h.try(t, "ida", password, busy, "")
	wantKind(t, err, domain.Throttled, account.LoginWait)
	if s := wait(err); s < 30 || s > 60 {
		t.Errorf("told to wait %d s", s)
	}
	h.skip(t)
	if _, err := h.try(t, "ida", password, busy, ""); err != nil {
		t.Errorf("after the wait: %v", err)
	}
	if err := h.fail(t, "ida", busy, ""); domain.KindOf(err) != domain.Unauthenticated {
		t.Errorf("a success had cleared the account: %v", err)
	}
}

func TestWaitDoublesUpToAMinute(t *testing.T) {
	t.Parallel()
	h := open(t)
	h.add(t, "ida", access.Technician)
	const from = "198.51.100.1"
	for i := range 16 {
		if err := h.fail(t, "ida", from, ""); domain.KindOf(err) != domain.Unauthenticated {
			t.Fatalf("failure %d: %v", i+1, err)
		}
		want := 0.0
		if i >= 5 {
			want = min(60, math.Pow(2, float64(i-5)))
		}
		got := h.waits(t, "account")
		if got > want || got < 0.8*want { // failures fade a little meanwhile
			t.Errorf("after failure %d: %g s, want about %g", i+1, got, want)
		}
		if i >= 12 { // trying while waiting does not lengthen the wait
			wantKind(t, h.fail(t, "ida", from, ""), domain.Throttled, account.LoginWait)
			if again := h.waits(t, "account"); again != got {
				t.Errorf("trying while waiting made %g s of %g", again, got)
			}
		}
		h.skip(t)
		h.exec(t, "UPDATE login_throttle SET failures = 0 WHERE kind = 'address'")
	}
}

func TestFailuresFade(t *testing.T) {
	t.Parallel()
	h := open(t)
	h.add(t, "ida", access.Technician)
	for range 10 {
		h.fail(t, "ida", "198.51.100.1", "")
		h.skip(t)
	}
	h.exec(t, "UPDATE login_throttle SET at = at - interval '2 hours', until = until - interval '2 hours'")
	for i := range 5 {
		if err := h.fail(t, "ida", "198.51.100.1", ""); domain.KindOf(err) != domain.Unauthenticated {
			t.Errorf("failure %d two hours later: %v", i+1, err)
		}
	}
}

// Strangers can make the account wait, but not keep its owner out: neither from the browser
// that is known, nor from a new one elsewhere.
func TestOwnerIsNotLockedOut(t *testing.T) {
	t.Parallel()
	h := open(t)
	h.add(t, "ida", access.Technician)
	known := h.in(t, "ida").Device
	for range 12 {
		h.fail(t, "ida", "198.51.100.1", "")
		h.skip(t)
	}
	h.fail(t, "ida", "198.51.100.1", "")
	if err := h.fail(t, "ida", "198.51.100.1", ""); domain.KindOf(err) != domain.Throttled {
		t.Fatalf("the account does not wait: %v", err)
	}
	in, err := h.try(t, "ida", password, "198.51.100.1", known)
	if err != nil {
		t.Errorf("from the known browser, at the stranger's very address: %v", err)
	}
	if in.Device != known {
		t.Error("the known browser got another secret")
	}
	h.exec(t, "UPDATE login_throttle SET failures = 20, until = clock_timestamp() + interval '1 minute' WHERE kind = 'account'")
	if err := h.fail(t, "ida", "203.0.113.8", ""); domain.KindOf(err) != domain.Unauthenticated {
		t.Errorf("from a fresh address, one try: %v", err)
	}
	if err := h.fail(t, "ida", "203.0.113.8", ""); domain.KindOf(err) != domain.Throttled {
		t.Errorf("from there, a second try: %v", err)
	}
	if _, err := h.try(t, "ida", password, "203.0.113.9", ""); err != nil {
		t.Errorf("the owner from a fresh address: %v", err)
	}
}

// A known browser is known for its person alone, and has a limit of its own.
func TestKnownBrowserIsNoMasterKey(t *testing.T) {
	t.Parallel()
	h := open(t)
	h.add(t, "ida", access.Technician)
	h.add(t, "per", access.Technician)
	known := h.in(t, "per").Device
	for range 12 {
		h.fail(t, "ida", "198.51.100.1", "")
		h.skip(t)
	}
	h.fail(t, "ida", "198.51.100.1", "")
	if err := h.fail(t, "ida", "198.51.100.1", known); domain.KindOf(err) != domain.Throttled {
		t.Errorf("with another person's browser: %v", err)
	}
	for range 16 {
		h.fail(t, "per", "203.0.113.8", known)
		h.skip(t)
	}
	h.fail(t, "per", "203.0.113.8", known)
	if err := h.fail(t, "per", "203.0.113.8", known); domain.KindOf(err) != domain.Throttled {
		t.Errorf("the known browser may guess for ever: %v", err)
	}
}

func TestAddressWaitsWhateverTheAccounts(t *testing.T) {
	t.Parallel()
	h := open(t)
	for i := range 36 {
		if err := h.fail(t, fmt.Sprint("guess", i), "198.51.100.1", ""); domain.KindOf(err) != domain.Unauthenticated {
			t.Fatalf("failure %d: %v", i+1, err)
		}
		h.skip(t)
	}
	h.fail(t, "guess", "198.51.100.1", "")
	wantKind(t, h.fail(t, "another guess", "198.51.100.1", ""), domain.Throttled, account.LoginWait)
	if err := h.fail(t, "another guess", "198.51.100.2", ""); domain.KindOf(err) != domain.Unauthenticated {
		t.Errorf("from another address: %v", err)
	}
}

// A crowd that knocks at the same instant gets no more tries than one who knocks in turn.
func TestParallelTriesDoNotSlipThrough(t *testing.T) {
	t.Parallel()
	h := open(t)
	h.add(t, "ida", access.Technician)
	var judged atomic.Int64
	var all sync.WaitGroup
	for range 30 {
		all.Go(func() {
			_, err := h.Login(background, account.Attempt{Login: "ida", Password: "wrong horse 7", Address: "198.51.100.1"})
			switch domain.KindOf(err) {
			case domain.Unauthenticated:
				judged.Add(1)
			case domain.Throttled, domain.Busy:
			default:
				t.Errorf("got %v", err)
			}
		})
	}
	all.Wait()
	// Hashing takes longer than the first waits, so a late one may come after its wait.
	if n := judged.Load(); n < 6 || n > 10 {
		t.Errorf("%d tries were judged", n)
	}
}

func TestSuccessIsNotCounted(t *testing.T) {
	t.Parallel()
	h := open(t)
	h.add(t, "ida", access.Technician)
	for range 12 {
		h.in(t, "ida")
	}
	if n := one[float64](t, h, "SELECT coalesce(sum(failures), 0)::float8 FROM login_throttle"); n > 0.5 {
		t.Errorf("%g failures counted", n)
	}
}
