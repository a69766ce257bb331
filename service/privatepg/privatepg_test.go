package privatepg

import (
	"context"
	"net"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"
)

func exec1(t *testing.T, url, sql string) {
	t.Helper()
	c, err := pgx.Connect(t.Context(), url)
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close(context.Background())
	if _, err := c.Exec(t.Context(), sql); err != nil {
		t.Fatalf("%s: %v", sql, err)
	}
}

func ask(t *testing.T, url, sql string) (answer string) {
	t.Helper()
	c, err := pgx.Connect(t.Context(), url)
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close(context.Background())
	if err := c.QueryRow(t.Context(), sql).Scan(&answer); err != nil {
		t.Fatalf("%s: %v", sql, err)
	}
	return answer
}

func TestRestartKeepsRows(t *testing.T) {
	needPrograms(t)
	cfg := quick(place(t)) // an empty folder is as good as none
	s := start(t, cfg)
	if !s.Fresh || s.Major < OldestMajor || s.PID() <= 0 {
		t.Errorf("first start: fresh %v, major %d, pid %d", s.Fresh, s.Major, s.PID())
	}
	exec1(t, s.URL("rows"), `CREATE TABLE r AS SELECT 42 AS x`)
	if err := s.Stop(); err != nil {
		t.Fatalf("stop: %v", err)
	}
	select {
	case <-s.Done():
	default:
		t.Error("Done is open after Stop")
	}
	gone(t, cfg.Dir)
	again := start(t, cfg)
	if again.Fresh {
		t.Error("the second start made the cluster anew")
	}
	if got := ask(t, again.URL("rows"), `SELECT x::text FROM r`); got != "42" {
		t.Errorf("row is %q", got)
	}
}

// The caller's environment can name another server, another port, another locale; and a
// server on a network would be one more door.
func TestListensOnItsSocketAloneWhateverTheEnvironment(t *testing.T) {
	needPrograms(t)
	for name, value := range map[string]string{
		"PGPORT": "6000", "PGHOST": "192.0.2.1", "PGUSER": "somebody", "PGDATABASE": "other",
		"PGDATA": "/nonexistent", "LC_ALL": "tr_TR.UTF-8", "TZ": "Asia/Kathmandu", "PGSSLMODE": "require",
	} {
		t.Setenv(name, value)
	}
	s := start(t, quick(cluster(t)))
	for sql, want := range map[string]string{
		`SHOW listen_addresses`:                                "",
		`SHOW unix_socket_permissions`:                         "0700",
		`SHOW timezone`:                                        "UTC",
		`SHOW server_encoding`:                                 "UTF8",
		`SELECT current_user::text`:                            Superuser,
		`SELECT current_database()::text`:                      "rows",
		`SELECT datcollate FROM pg_database WHERE oid = 1`:     "C.UTF-8",
		`SELECT setting FROM pg_settings WHERE name = 'fsync'`: "off",
	} {
		if got := ask(t, s.URL("rows"), sql); got != want {
			t.Errorf("%s: %q, want %q", sql, got, want)
		}
	}
	for _, p := range []int{5432, 6000} {
		if c, err := net.Dial("tcp", net.JoinHostPort("127.0.0.1", strconv.Itoa(p))); err == nil {
			c.Close()
			if socketsOf(t, s.PID()) {
				t.Errorf("the server listens on port %d", p)
			}
		}
	}
}

// socketsOf reports whether the process holds a listening TCP socket.
func socketsOf(t *testing.T, pid int) bool {
	t.Helper()
	listening := map[string]bool{}
	for _, table := range []string{"tcp", "tcp6"} {
		b, err := os.ReadFile("/proc/net/" + table)
		if err != nil {
			continue
		}
		for _, line := range strings.Split(string(b), "\n")[1:] {
			if f := strings.Fields(line); len(f) > 9 && f[3] == "0A" {
				listening["socket:["+f[9]+"]"] = true
			}
		}
	}
	links, _ := filepath.Glob("/proc/" + strconv.Itoa(pid) + "/fd/*")
	for _, link := range links {
		if to, err := os.Readlink(link); err == nil && listening[to] {
			return true
		}
	}
	return false
}

func TestDatabaseIsMadeWhenMissingInAnOldCluster(t *testing.T) {
	needPrograms(t)
	cfg := quick(cluster(t))
	cfg.Database = `odd "name"`
	s := start(t, cfg)
	c, err := pgx.Connect(t.Context(), s.URL(cfg.Database))
	if err != nil {
		t.Fatal(err)
	}
	c.Close(t.Context())
}

func TestSecondHolderIsRefused(t *testing.T) {
	needPrograms(t)
	cfg := quick(cluster(t))
	s := start(t, cfg)
	_, err := Start(t.Context(), cfg)
	wantFault(t, err, inUse)
	if !strings.Contains(err.Error(), strconv.Itoa(os.Getpid())) {
		t.Errorf("the refusal does not name the holder: %v", err)
	}
	if got := ask(t, s.URL("rows"), `SELECT 'alive'::text`); got != "alive" {
		t.Errorf("the first one said %q", got)
	}
}

func TestDoneTellsThatTheServerDied(t *testing.T) {
	needPrograms(t)
	s := start(t, quick(cluster(t)))
	if err := s.process.cmd.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	<-s.Done()
	if err := s.Stop(); err == nil {
		t.Error("Stop of a killed server reports nothing")
	}
}

func TestSettingThatTheServerRefuses(t *testing.T) {
	needPrograms(t)
	cfg := quick(cluster(t))
	cfg.Settings = append(cfg.Settings, "no_such_setting=1")
	_, err := Start(t.Context(), cfg)
	wantFault(t, err, notStarting)
	if !strings.Contains(err.Error(), "no_such_setting") {
		t.Errorf("the cause is lost: %v", err)
	}
	cfg.Settings = HastySettings()
	start(t, cfg) // the failed start let go of the folder
}

func TestStartGivesUpWithItsContext(t *testing.T) {
	needPrograms(t)
	cfg := quick(filepath.Join(place(t), "cluster"))
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := Start(ctx, cfg); err == nil {
		t.Fatal("started although told not to")
	}
	if processes := processesIn(filepath.Join(cfg.Dir, "data")); len(processes) > 0 {
		t.Errorf("left running: %v", processes)
	}
}
