package privatepg

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
)

func TestKilledHolderLeavesNoServerAndNoDamage(t *testing.T) {
	needPrograms(t)
	for name, as := range accounts() {
		t.Run(name, func(t *testing.T) {
			dir := home(t, as)
			h := startHolder(t, dir, as)
			_, url := h.ready(t)
			exec1(t, url, `CREATE TABLE r AS SELECT 1 AS x`)
			kill(t, h.cmd.Process.Pid)
			gone(t, dir)

			h = startHolder(t, dir, as)
			pid, url := h.ready(t)
			exec1(t, url, `INSERT INTO r VALUES (2)`)
			kill(t, pid, h.cmd.Process.Pid)

			h = startHolder(t, dir, as) // at once: what is left of the server before may still be ending
			_, url = h.ready(t)
			if got := ask(t, url, `SELECT string_agg(x::text, ',' ORDER BY x) FROM r`); got != "1,2" {
				t.Errorf("rows %s, want 1,2", got)
			}
			h.end()
			if err := h.cmd.Wait(); err != nil {
				t.Errorf("an orderly end: %v", err)
			}
			gone(t, dir)
		})
	}
}

func kill(t *testing.T, pids ...int) {
	t.Helper()
	for _, pid := range pids {
		if err := syscall.Kill(pid, syscall.SIGKILL); err != nil {
			t.Fatalf("kill %d: %v", pid, err)
		}
	}
}

// A session that is busy does not notice its postmaster's death at once; the next server
// must wait for it, never run beside it.
func TestSessionsOfAKilledServerAreWaitedFor(t *testing.T) {
	dir := cluster(t)
	h := startHolder(t, dir, "")
	pid, url := h.ready(t)
	c, err := pgx.Connect(t.Context(), url)
	if err != nil {
		t.Fatal(err)
	}
	busy := make(chan error, 1)
	go func() {
		_, err := c.Exec(t.Context(), `SELECT count(*) FROM generate_series(1, 8000000)`)
		busy <- err
	}()
	awaitBusy(t, url)
	kill(t, pid, h.cmd.Process.Pid)
	h = startHolder(t, dir, "")
	h.ready(t)
	<-busy
	h.end()
	gone(t, dir)
}

func awaitBusy(t *testing.T, url string) {
	t.Helper()
	for {
		n := ask(t, url, `SELECT count(*)::text FROM pg_stat_activity WHERE state = 'active' AND query LIKE '%generate_series(1, 8000000)%' AND pid <> pg_backend_pid()`)
		if n != "0" {
			return
		}
	}
}

// The killed start had made everything and had not yet renamed it.
func TestKillWhileMakingTheCluster(t *testing.T) {
	needPrograms(t)
	dir := home(t, "")
	h := startHolder(t, dir, "", holderPrograms+"="+slowPrograms(t))
	for !exists(filepath.Join(dir, "data.new", "made")) {
		time.Sleep(10 * time.Millisecond)
	}
	kill(t, h.cmd.Process.Pid)
	_ = h.cmd.Wait()
	if !exists(filepath.Join(dir, "data.new", "PG_VERSION")) || exists(filepath.Join(dir, "data")) {
		t.Fatal("the killed start did not leave half of a cluster, and that alone")
	}
	h = startHolder(t, dir, "")
	_, url := h.ready(t)
	if got := ask(t, url, `SELECT 'whole'::text`); got != "whole" {
		t.Errorf("said %q", got)
	}
	h.end()
	gone(t, dir)
}

// slowPrograms are the machine's own, but their initdb never comes to its end; it leaves a
// file named made in the cluster instead.
func slowPrograms(t *testing.T) string {
	t.Helper()
	real, err := find(t.Context(), Config{Environ: os.Environ()}, folder{"/nonexistent"})
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(place(t), "bin")
	write(t, filepath.Join(dir, "initdb"), "#!/bin/sh\n"+filepath.Join(real.Dir, "initdb")+
		" \"$@\" || exit 1\ntouch \"$2/made\"\nexec sleep 60\n", 0o755)
	if err := os.Symlink(filepath.Join(real.Dir, "postgres"), filepath.Join(dir, "postgres")); err != nil {
		t.Fatal(err)
	}
	return dir
}

func exists(path string) bool {
	_, err := os.Lstat(path)
	return err == nil
}

// In a container numbers are low and start again: the number in a stale lock file is then
// often a living process that has nothing to do with the cluster.
func TestStaleLockFilesThatNameALivingStranger(t *testing.T) {
	needPrograms(t)
	cfg := quick(cluster(t))
	s := start(t, cfg)
	if err := s.Stop(); err != nil {
		t.Fatal(err)
	}
	stranger := exec.Command("sleep", "60")
	if err := stranger.Start(); err != nil {
		t.Fatal(err)
	}
	defer func() {
		_ = stranger.Process.Kill()
		_ = stranger.Wait()
	}()
	text := fmt.Sprintf("%d\n%s\n1\n5432\n%s\n\n", stranger.Process.Pid, s.folder.data(), s.folder.run())
	write(t, filepath.Join(s.folder.data(), "postmaster.pid"), text, 0o600)
	write(t, filepath.Join(s.folder.run(), socketFile+".lock"), text, 0o600)
	write(t, filepath.Join(s.folder.run(), socketFile), "", 0o600)
	start(t, cfg)
	if err := syscall.Kill(stranger.Process.Pid, 0); err != nil {
		t.Errorf("the stranger was ended: %v", err)
	}
}

func TestOrdinaryAccountCannotTakeAnotherOnesCluster(t *testing.T) {
	needPrograms(t)
	if os.Geteuid() != 0 {
		if _, made := ownerOf("/root"); !made {
			t.Fatal("no folder of another account on this machine")
		}
		return // an ordinary test cannot make another account's cluster; the check below runs as root in CI
	}
	h := startHolder(t, cluster(t), "nobody")
	if line := h.line(t); !strings.HasPrefix(line, "fault "+folderNotYours.Name()) {
		t.Errorf("said %q", line)
	}
}

func TestClosedFolderIsRefusedForTheDroppedAccount(t *testing.T) {
	needPrograms(t)
	if os.Geteuid() != 0 {
		t.Log("only root drops to another account; canReach has its own test")
		return
	}
	closed := filepath.Join(place(t), "closed")
	if err := os.Mkdir(closed, 0o700); err != nil {
		t.Fatal(err)
	}
	_, err := Start(t.Context(), quick(filepath.Join(closed, "cluster")))
	wantFault(t, err, folderClosed)
	if exists(filepath.Join(closed, "cluster")) {
		t.Error("a folder was made although it is refused")
	}
}

func TestPostmasterReadsItsLockFile(t *testing.T) {
	dir := place(t)
	for text, want := range map[string]int{
		"": 0, "x\n": 0, "-1\n": -1, "0\n": 0, "1\n": 1,
		strconv.Itoa(os.Getpid()) + "\n/elsewhere\n": os.Getpid(),
	} {
		write(t, filepath.Join(dir, "postmaster.pid"), text, 0o600)
		if pid, alive := postmaster(dir); alive || pid != want {
			t.Errorf("%q: %d alive %v", text, pid, alive)
		}
	}
}
