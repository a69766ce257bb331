package account_test

import (
	"fmt"
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

func TestAccountWaitsAfterFailures(t *testing.T) {
	h := open(t)
	h.add(t, "ida", access.Technician)
	for i := range 6 { // five are free, the sixth begins the waiting
		if err := h.fail(t, "ida", fmt.Sprint("192.0.2.", i), ""); domain.KindOf(err) != domain.Unauthenticated {
			t.Fatalf("failure %d: %v", i+1, err)
		}
	}
	const busy = "198.51.100.1" // has failed before, elsewhere
	h.fail(t, "nobody", busy, "")
	_, err := h.try(t, "ida", password, busy, "")
	wantKind(t, err, domain.Throttled, account.LoginWait)
	if s := wait(err); s != 1 {
		t.Errorf("first wait %d s", s)
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
	h := open(t)
	h.add(t, "ida", access.Technician)
	const from = "198.51.100.1"
	longest := 0
	for i := range 25 {
		if err := h.fail(t, "ida", from, ""); domain.KindOf(err) != domain.Unauthenticated {
			t.Fatalf("failure %d: %v", i+1, err)
		}
		if i < 5 {
			continue
		}
		err := h.fail(t, "ida", from, "")
		wantKind(t, err, domain.Throttled, account.LoginWait)
		want := min(60, 1<<(i-5))
		if s := wait(err); s < want-1-want/10 || s > want {
			t.Errorf("after failure %d: wait %d s, want about %d", i+1, s, want)
		}
		again := wait(h.fail(t, "ida", from, ""))
		if longest = max(longest, wait(err)); again > wait(err) {
			t.Errorf("trying while waiting made %d s of %d", again, wait(err))
		}
		h.skip(t)
	}
	if longest < 59 || longest > 60 {
		t.Errorf("the longest wait was %d s", longest)
	}
}

func TestFailuresFade(t *testing.T) {
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
	h := open(t)
	h.add(t, "ida", access.Technician)
	h.add(t, "per", access.Technician)
	known := h.in(t, "per").Device
	for range 7 {
		h.fail(t, "ida", "198.51.100.1", "")
		h.skip(t)
	}
	h.fail(t, "ida", "198.51.100.1", "")
	if err := h.fail(t, "ida", "198.51.100.1", known); domain.KindOf(err) != domain.Throttled {
		t.Errorf("with another person's browser: %v", err)
	}
	waited := false
	for range 14 {
		waited = domain.KindOf(h.fail(t, "per", "203.0.113.8", known)) == domain.Throttled || waited
	}
	if !waited {
		t.Error("the known browser may guess for ever")
	}
}

func TestAddressWaitsWhateverTheAccounts(t *testing.T) {
	h := open(t)
	refused := 0
	for i := range 40 {
		if err := h.fail(t, fmt.Sprint("guess", i), "198.51.100.1", ""); domain.KindOf(err) == domain.Throttled {
			refused++
		}
	}
	if refused < 5 {
		t.Errorf("%d of 40 tries were refused", refused)
	}
}

// A crowd that knocks at the same instant gets no more tries than one who knocks in turn.
func TestParallelTriesDoNotSlipThrough(t *testing.T) {
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
	if n := judged.Load(); n < 6 || n > 9 {
		t.Errorf("%d tries were judged", n)
	}
}

func TestSuccessIsNotCounted(t *testing.T) {
	h := open(t)
	h.add(t, "ida", access.Technician)
	for range 12 {
		h.in(t, "ida")
	}
	if n := one[float64](t, h, "SELECT coalesce(sum(failures), 0)::float8 FROM login_throttle"); n > 0.5 {
		t.Errorf("%g failures counted", n)
	}
}
