package main

import (
	"bufio"
	"bytes"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"rillmark/service/store/storetest"
)

// patience is for a machine on which everything runs at once; what is waited for this long
// hangs.
const patience = 3 * time.Minute

// instance is a running program of the built binary.
type instance struct {
	cmd     *exec.Cmd
	lines   chan string
	stderr  *lockedBuffer
	address string        // what "ready" said
	took    time.Duration // from start to ready
	rest    []string      // the lines after it
}

type lockedBuffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (l *lockedBuffer) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

func (l *lockedBuffer) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.String()
}

// identity is who runs a program. The zero value is the test itself.
type identity struct {
	name string
	home string
}

// identities are the accounts a demo is tried as: the test's own and, when that is root,
// an ordinary one with a home of its own.
func identities(t *testing.T) map[string]identity {
	t.Helper()
	all := map[string]identity{"own account": {}}
	if os.Geteuid() == 0 {
		home := place(t)
		uid, gid := idsOf(t, "nobody")
		if err := os.Chown(home, uid, gid); err != nil {
			t.Fatal(err)
		}
		all["ordinary account"] = identity{"nobody", home}
	}
	return all
}

func idsOf(t *testing.T, name string) (uid, gid int) {
	t.Helper()
	u, err := user.Lookup(name)
	if err != nil {
		t.Fatal(err)
	}
	uid, errUID := strconv.Atoi(u.Uid)
	gid, errGID := strconv.Atoi(u.Gid)
	if errUID != nil || errGID != nil {
		t.Fatalf("account %s: %s, %s", name, u.Uid, u.Gid)
	}
	return uid, gid
}

func (i identity) command(t *testing.T, args ...string) *exec.Cmd {
	t.Helper()
	c := exec.Command(binary(t), args...)
	c.Dir = "/"
	if i.name != "" {
		uid, gid := idsOf(t, i.name)
		c.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid), Groups: []uint32{}}}
		c.Env = append(os.Environ(), "HOME="+i.home, "XDG_DATA_HOME=")
	}
	return c
}

// start starts the program and does not wait for it to be ready.
func (i identity) start(t *testing.T, args ...string) *instance {
	t.Helper()
	p := &instance{cmd: i.command(t, args...), lines: make(chan string, 100), stderr: &lockedBuffer{}}
	p.cmd.Stderr = p.stderr
	out, err := p.cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := p.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	go func() {
		defer close(p.lines)
		for sc := bufio.NewScanner(out); sc.Scan(); {
			p.lines <- sc.Text()
		}
	}()
	t.Cleanup(func() {
		_ = p.cmd.Process.Kill()
		_ = p.cmd.Wait()
	})
	return p
}

// ready starts the program and waits for its ready line, then for its last line.
func (i identity) ready(t *testing.T, args ...string) *instance {
	t.Helper()
	began := time.Now()
	p := i.start(t, args...)
	p.address = p.await(t, "ready ")
	p.took = time.Since(began)
	if args[0] == "demo" {
		p.await(t, "Ctrl-C ends the demo")
	}
	return p
}

// await waits for a line that begins so and returns what follows on it.
func (p *instance) await(t *testing.T, prefix string) string {
	t.Helper()
	tooLong := time.After(patience)
	for {
		select {
		case line, open := <-p.lines:
			if !open {
				t.Fatalf("ended before %q:\n%s", prefix, p.stderr)
			}
			if rest, found := strings.CutPrefix(line, prefix); found {
				return rest
			}
			p.rest = append(p.rest, line)
		case <-tooLong:
			t.Fatalf("no line %q:\n%s", prefix, p.stderr)
		}
	}
}

// databaseURL is the address that the demo printed.
func (p *instance) databaseURL(t *testing.T) string {
	t.Helper()
	for _, line := range p.rest {
		if at, found := strings.CutPrefix(line, "and the database answers at "); found {
			return at
		}
	}
	t.Fatalf("no address of the database in %q", p.rest)
	return ""
}

// end sends the signal and returns the exit code.
func (p *instance) end(t *testing.T, s os.Signal) int {
	t.Helper()
	if err := p.cmd.Process.Signal(s); err != nil {
		t.Fatal(err)
	}
	return p.wait(t)
}

func (p *instance) wait(t *testing.T) int {
	t.Helper()
	tooLong := time.AfterFunc(patience, func() { _ = p.cmd.Process.Kill() })
	defer tooLong.Stop()
	for range p.lines { // a full pipe would keep it from ending
	}
	_ = p.cmd.Wait()
	return p.cmd.ProcessState.ExitCode()
}

// refused runs the program to its end and wants it to fail, naming the texts.
func (i identity) refused(t *testing.T, want []string, args ...string) {
	t.Helper()
	p := i.start(t, args...)
	if code := p.wait(t); code != exitFailed {
		t.Errorf("exit code %d, want %d\n%s", code, exitFailed, p.stderr)
	}
	for _, text := range want {
		if !strings.Contains(p.stderr.String(), text) {
			t.Errorf("%q is not in\n%s", text, p.stderr)
		}
	}
}

func wantHealthy(t *testing.T, address string) {
	t.Helper()
	if err := askHealth(t.Context(), address+healthPath); err != nil {
		t.Errorf("health: %v", err)
	}
}

// wantNoServer waits until no process of a cluster in the folder is left.
func wantNoServer(t *testing.T, dir string) {
	t.Helper()
	data := filepath.Join(dir, "data")
	tooLong := time.After(patience)
	for {
		left := []string{}
		links, _ := filepath.Glob("/proc/[0-9]*/cwd")
		for _, link := range links {
			if cwd, err := os.Readlink(link); err == nil && cwd == data {
				left = append(left, link)
			}
		}
		if len(left) == 0 {
			return
		}
		select {
		case <-tooLong:
			t.Fatalf("a server is left: %v", left)
		case <-time.After(20 * time.Millisecond):
		}
	}
}

// postmaster is the number of the cluster's first process.
func postmaster(t *testing.T, dir string) int {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(dir, "data", "postmaster.pid"))
	if err != nil {
		t.Fatal(err)
	}
	line, _, _ := strings.Cut(string(b), "\n")
	pid, err := strconv.Atoi(line)
	if err != nil {
		t.Fatal(err)
	}
	return pid
}

// needPostgres skips on a machine without PostgreSQL; one that checks changes must have it.
func needPostgres(t *testing.T) {
	t.Helper()
	storetest.Shared(t)
}
