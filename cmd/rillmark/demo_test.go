package main

import (
	"context"
	"io"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"rillmark/service/demo"
	"rillmark/service/store"
	"rillmark/service/store/storetest"
)

// How long a built demo may take on a machine that does nothing else; the second is the
// best of three starts. Beside other tests five times as much is allowed: what is looked
// for then is a demo that hangs.
const (
	freshWithin = 8 * time.Second
	againWithin = 2 * time.Second
	besideTests = 5
)

// alone is set where the machine runs nothing but this test.
const alone = "RILLMARK_TEST_ALONE"

// beside lets a test run beside others, but not where the machine is to run nothing else.
func beside(t *testing.T) {
	t.Helper()
	if os.Getenv(alone) == "" {
		t.Parallel()
	}
}

func allowed(limit time.Duration) time.Duration {
	if os.Getenv(alone) == "" {
		return besideTests * limit
	}
	return limit
}

func TestDemoLives(t *testing.T) {
	needPostgres(t)
	beside(t)
	for name, who := range identities(t) {
		t.Run(name, func(t *testing.T) {
			dir := filepath.Join(place(t), "demo")
			args := []string{"demo", "--port", "0", "--data-dir", dir}
			if who.name != "" { // where it goes by itself
				dir = filepath.Join(who.home, ".local", "share", "rillmark", "demo")
				args = args[:3]
			}
			first := who.ready(t, args...)
			t.Logf("fresh: ready after %v", first.took)
			if limit := allowed(freshWithin); first.took > limit {
				t.Errorf("a new demo was ready after %v, want %v", first.took, limit)
			}
			wantHealthy(t, first.address)
			wantLogins(t, first)
			logsIn(t, first.address)
			who.refused(t, []string{dir, strconv.Itoa(first.cmd.Process.Pid)}, args...)
			wantHealthy(t, first.address)
			addPerson(t, first.databaseURL(t))
			first.end(t, syscall.SIGKILL)
			wantNoServer(t, dir)
			restarts(t, who, dir, args)
		})
	}
}

// restarts starts the killed demo again, ends it in both orderly ways, looks that nothing
// was lost, and at last throws the data away.
func restarts(t *testing.T, who identity, dir string, args []string) {
	t.Helper()
	best := time.Hour
	for _, s := range []syscall.Signal{syscall.SIGTERM, syscall.SIGINT, syscall.SIGTERM} {
		again := who.ready(t, args...)
		best = min(best, again.took)
		wantHealthy(t, again.address)
		wantPeople(t, again.databaseURL(t), len(demo.People())+1)
		wantWhole(t, again.databaseURL(t))
		if code := again.end(t, s); code != exitDone {
			t.Errorf("%v ended it with %d\n%s", s, code, again.stderr)
		}
		wantNoServer(t, dir)
	}
	t.Logf("again: ready after %v", best)
	if limit := allowed(againWithin); best > limit {
		t.Errorf("an old demo was ready after %v, want %v", best, limit)
	}
	reset := who.ready(t, append(args, "--reset")...)
	wantPeople(t, reset.databaseURL(t), len(demo.People()))
	wantWhole(t, reset.databaseURL(t))
}

func wantLogins(t *testing.T, p *instance) {
	t.Helper()
	text := strings.Join(p.rest, "\n")
	for _, person := range demo.People() {
		if !strings.Contains(text, person.Login) || !strings.Contains(text, string(person.Role)) {
			t.Errorf("%s is not among those who can log in:\n%s", person.Login, text)
		}
	}
	if !strings.Contains(text, demo.Password) {
		t.Error("the password is not said")
	}
}

// logsIn enters as each of the invented people and is led to a page with their name.
func logsIn(t *testing.T, address string) {
	t.Helper()
	for _, person := range demo.People() {
		jar, err := cookiejar.New(nil)
		if err != nil {
			t.Fatal(err)
		}
		client := &http.Client{Jar: jar, Timeout: 20 * time.Second}
		answer, err := client.PostForm(address+"/login", url.Values{"login": {person.Login}, "password": {demo.Password}})
		if err != nil {
			t.Fatal(err)
		}
		page, err := io.ReadAll(answer.Body)
		answer.Body.Close()
		if err != nil || answer.StatusCode != http.StatusOK || answer.Request.URL.Path != "/" || !strings.Contains(string(page), person.Name) {
			t.Errorf("%s is led to %s, %s, %v", person.Login, answer.Request.URL, answer.Status, err)
		}
	}
}

func addPerson(t *testing.T, url string) {
	t.Helper()
	code, got := inside(t, nil, "a first password\n", "person", "add", "--database-url", url,
		"--login", "late", "--name", "Late Comer", "--role", "coordinator,technician", "--password-file", "-")
	wantRun(t, code, got, exitDone, "late")
}

func wantPeople(t *testing.T, url string, want int) {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), url)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(t.Context())
	var got int
	if err := conn.QueryRow(t.Context(), "SELECT count(*) FROM person").Scan(&got); err != nil || got != want {
		t.Errorf("%d people, want %d, %v", got, want, err)
	}
}

func wantWhole(t *testing.T, url string) {
	t.Helper()
	code, got := inside(t, nil, "", "audit", "verify", "--database-url", url)
	wantRun(t, code, got, exitDone, "whole")
}

func TestDemoOnATakenPort(t *testing.T) {
	needPostgres(t)
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	_, port, _ := net.SplitHostPort(l.Addr().String())
	dir := filepath.Join(place(t), "demo")
	identity{}.refused(t, []string{"127.0.0.1:" + port}, "demo", "--port", port, "--data-dir", dir)
	if _, err := os.Stat(dir); err == nil {
		t.Error("a cluster was made although the port is taken")
	}
	identity{}.refused(t, []string{"127.0.0.1:70000"}, "demo", "--port", "70000", "--data-dir", dir)
}

// Nobody asked for the usual port, so another program on it is no reason to fail.
func TestDemoTakesAnotherPortWhenTheUsualOneIsTaken(t *testing.T) {
	needPostgres(t)
	beside(t)
	if l, err := net.Listen("tcp", "127.0.0.1:"+strconv.Itoa(demoPort)); err == nil {
		defer l.Close() // else another program has it already, which does as well
	}
	p := identity{}.ready(t, "demo", "--database-url", emptyDatabase(t, "usual_port"))
	wantHealthy(t, p.address)
	if strings.HasSuffix(p.address, ":"+strconv.Itoa(demoPort)) {
		t.Errorf("ready at %s", p.address)
	}
}

func TestDemoFolders(t *testing.T) {
	needPostgres(t)
	t.Run("somebody's", func(t *testing.T) {
		dir := place(t)
		writeFile(t, filepath.Join(dir, "thesis.txt"), "chapter one")
		identity{}.refused(t, []string{dir}, "demo", "--port", "0", "--data-dir", dir)
	})
	t.Run("programs that are not there", func(t *testing.T) {
		dir := place(t)
		identity{}.refused(t, []string{dir}, "demo", "--port", "0", "--data-dir", filepath.Join(dir, "d"), "--postgres-dir", dir)
	})
}

// A demo whose server dies says so and ends; it does not go on with pages that fail.
func TestDemoEndsWithItsDatabase(t *testing.T) {
	needPostgres(t)
	beside(t)
	dir := filepath.Join(place(t), "demo")
	p := identity{}.ready(t, "demo", "--port", "0", "--data-dir", dir)
	if err := syscall.Kill(postmaster(t, dir), syscall.SIGKILL); err != nil {
		t.Fatal(err)
	}
	if code := p.wait(t); code != exitFailed || !strings.Contains(p.stderr.String(), "postgres.log") {
		t.Errorf("exit code %d\n%s", code, p.stderr)
	}
	again := identity{}.ready(t, "demo", "--port", "0", "--data-dir", dir)
	wantWhole(t, again.databaseURL(t))
}

// At whatever instant a first start ends, by an order or by a kill, nothing keeps running
// and the next start finds no half of anything that it takes for a whole.
func TestDemoEndsAtAnyInstantOfItsStart(t *testing.T) {
	needPostgres(t)
	beside(t)
	dir := filepath.Join(place(t), "demo")
	args := []string{"demo", "--port", "0", "--data-dir", dir}
	for i, after := range []time.Duration{30, 150, 400, 700, 1000, 1300, 1700, 2200} {
		p := identity{}.start(t, args...)
		time.Sleep(after * time.Millisecond)
		if i%2 == 0 {
			p.end(t, syscall.SIGKILL)
		} else if code := p.end(t, syscall.SIGTERM); code != exitDone && code != -1 { // -1: before it listened for the signal
			t.Errorf("SIGTERM after %d ms ended it with %d\n%s", after, code, p.stderr)
		}
		wantNoServer(t, dir)
	}
	p := identity{}.ready(t, args...)
	wantPeople(t, p.databaseURL(t), len(demo.People()))
	wantWhole(t, p.databaseURL(t))
}

// emptyDatabase makes a database in the tests' cluster that holds nothing.
func emptyDatabase(t *testing.T, name string) string {
	t.Helper()
	db := storetest.Shared(t)
	conn := db.Connect(t, "")
	id := pgx.Identifier{name}.Sanitize()
	if _, err := conn.Exec(t.Context(), "CREATE DATABASE "+id); err != nil {
		t.Fatal(err)
	}
	dropAfter(t, conn, name)
	return strings.Replace(db.URL, "/"+databaseName(db.URL), "/"+name, 1)
}

// dropAfter drops the database after the test, on a server that may be somebody's.
func dropAfter(t *testing.T, conn *pgx.Conn, name string) {
	t.Helper()
	t.Cleanup(func() {
		drop := "DROP DATABASE IF EXISTS " + pgx.Identifier{name}.Sanitize() + " WITH (FORCE)"
		if _, err := conn.Exec(context.Background(), drop); err != nil {
			t.Error(err)
		}
	})
}

func TestDemoInAnOutsideDatabase(t *testing.T) {
	beside(t)
	url := emptyDatabase(t, "outside_demo")
	for range 2 { // empty, then marked
		p := identity{}.ready(t, "demo", "--port", "0", "--database-url", url)
		wantHealthy(t, p.address)
		p.end(t, syscall.SIGTERM)
	}
	addPerson(t, url)
	identity{}.ready(t, "demo", "--port", "0", "--database-url", url, "--reset").end(t, syscall.SIGTERM)
	wantPeople(t, url, len(demo.People()))
	code, got := inside(t, nil, "", "serve", "--listen", "127.0.0.1:0", "--database-url", url)
	wantRun(t, code, got, exitFailed, "demo")
}

func TestDemoLeavesSomebodysDatabaseAlone(t *testing.T) {
	db := storetest.Clone(t)
	for _, more := range [][]string{nil, {"--reset"}} {
		identity{}.refused(t, []string{"demo"}, append([]string{"demo", "--port", "0", "--database-url", db.URL}, more...)...)
	}
	if standing, err := store.StandingOf(t.Context(), db.URL); err != nil || standing != store.Somebody {
		t.Errorf("it now stands as %v, %v", standing, err)
	}
	wantPeople(t, db.URL, 0)
}

// An environment that names a database for the server must not hand it to the demo. The
// folder holds what a killed first start left.
func TestDemoTakesNoDatabaseFromTheEnvironment(t *testing.T) {
	db := storetest.Clone(t)
	t.Setenv("RILLMARK_DATABASE_URL", db.URL)
	t.Setenv("DATABASE_URL", db.URL)
	t.Setenv("PGDATABASE", databaseName(db.URL))
	dir := place(t)
	writeFile(t, filepath.Join(dir, "rillmark-postgres"), "")
	writeFile(t, filepath.Join(dir, "data.new", "PG_VERSION"), "15\n")
	p := identity{}.ready(t, "demo", "--port", "0", "--data-dir", dir)
	wantHealthy(t, p.address)
	if p.databaseURL(t) == db.URL {
		t.Error("it took the environment's database")
	}
	wantPeople(t, db.URL, 0)
}
