package privatepg

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"rillmark/calc/fault"
)

// holderFolder is set in the environment of a test binary that is to hold a cluster
// instead of running tests: what must survive a SIGKILL has to be a process of its own.
const holderFolder = "RILLMARK_TEST_HOLD"

// holderPrograms names the programs a holder is to use.
const holderPrograms = "RILLMARK_TEST_HOLD_PROGRAMS"

// patience is for a machine on which everything runs at once.
const patience = 2 * time.Minute

func TestMain(m *testing.M) {
	if dir := os.Getenv(holderFolder); dir != "" {
		os.Exit(hold(dir))
	}
	code := m.Run()
	if made.dir != "" {
		_ = os.RemoveAll(made.dir)
	}
	os.Exit(code)
}

// made is a cluster that was made once and stopped; most tests start a copy, for making one
// takes longer than all the rest.
var made struct {
	once sync.Once
	dir  string
	err  error
}

// cluster copies the made cluster to a folder of the test's own.
func cluster(t *testing.T) string {
	t.Helper()
	needPrograms(t)
	made.once.Do(func() {
		if made.dir, made.err = tempDir(); made.err != nil {
			return
		}
		var s *Server
		if s, made.err = Start(context.Background(), quick(filepath.Join(made.dir, "cluster"))); made.err == nil {
			made.err = s.Stop()
		}
	})
	if made.err != nil {
		t.Fatal(made.err)
	}
	dir := place(t)
	if out, err := exec.Command("cp", "-a", filepath.Join(made.dir, "cluster"), dir).CombinedOutput(); err != nil {
		t.Fatalf("copy: %v\n%s", err, out)
	}
	return filepath.Join(dir, "cluster")
}

// hold starts the cluster of dir, says so, and stops it when its input ends.
func hold(dir string) int {
	s, err := Start(context.Background(), Config{Dir: dir, Programs: os.Getenv(holderPrograms), Database: "rows", Environ: os.Environ()})
	if f, ok := fault.Of(err); ok {
		fmt.Println("fault", f.Code.Name(), err)
		return 1
	}
	if err != nil {
		fmt.Println("fault none", err)
		return 1
	}
	fmt.Println("ready", s.PID(), s.URL("rows"))
	bufio.NewScanner(os.Stdin).Scan()
	if err := s.Stop(); err != nil {
		fmt.Println("fault stop", err)
		return 1
	}
	return 0
}

// needPrograms skips on a machine without PostgreSQL; a machine that checks changes must
// have it.
func needPrograms(t *testing.T) {
	t.Helper()
	_, err := find(t.Context(), Config{Environ: os.Environ()}, folder{"/nonexistent"})
	if err == nil {
		return
	}
	if os.Getenv("CI") == "true" {
		t.Fatalf("CI=true, and there is no PostgreSQL: %v", err)
	}
	t.Skipf("no PostgreSQL on this machine: %v", err)
}

// place makes a folder that another account can enter, which t.TempDir is not, in memory
// where there is room.
func place(t *testing.T) string {
	t.Helper()
	dir, err := tempDir()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := os.RemoveAll(dir); err != nil {
			t.Error(err)
		}
	})
	return dir
}

func tempDir() (string, error) {
	parent := "/dev/shm"
	if fi, err := os.Stat(parent); err != nil || !fi.IsDir() || !roomy(parent) {
		parent = os.TempDir()
	}
	dir, err := os.MkdirTemp(parent, "rillmark-privatepg-")
	if err != nil {
		return "", err
	}
	return dir, os.Chmod(dir, 0o755)
}

func roomy(dir string) bool {
	var st syscall.Statfs_t
	return syscall.Statfs(dir, &st) == nil && st.Bavail*uint64(st.Bsize) > 512<<20
}

// quick is a configuration for tests that do not test crashes.
func quick(dir string) Config {
	return Config{Dir: dir, Database: "rows", Hasty: true, Settings: HastySettings(), Environ: os.Environ()}
}

func start(t *testing.T, cfg Config) *Server {
	t.Helper()
	s, err := Start(t.Context(), cfg)
	if err != nil {
		t.Fatalf("start: %v", err)
	}
	t.Cleanup(func() { _ = s.Stop() })
	return s
}

// wantFault fails unless err carries the code.
func wantFault(t *testing.T, err error, code *fault.Code) {
	t.Helper()
	if !fault.Has(err, code) {
		t.Fatalf("got %v, want the fault %s", err, code.Name())
	}
}

// holdingProcess is a process of its own that holds a cluster.
type holdingProcess struct {
	cmd   *exec.Cmd
	lines chan string
	end   func()
}

// startHolder runs this test binary as a holder, as the named account when it is not empty.
// The binary is copied to where every account can run it.
func startHolder(t *testing.T, dir, as string, env ...string) *holdingProcess {
	t.Helper()
	c := exec.Command(copyOfMe(t))
	c.Env = append(append(os.Environ(), holderFolder+"="+dir), env...)
	c.Dir = "/"
	c.Stderr = os.Stderr
	if as != "" {
		a, ok := lookUpAccount(as)
		if !ok {
			t.Fatalf("no account %s on this machine", as)
		}
		c.SysProcAttr = &syscall.SysProcAttr{Credential: a.credential()}
	}
	in, err := c.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	h := &holdingProcess{cmd: c, lines: make(chan string, 8), end: func() { _ = in.Close() }}
	go func() {
		defer close(h.lines)
		for sc := bufio.NewScanner(out); sc.Scan(); {
			h.lines <- sc.Text()
		}
	}()
	t.Cleanup(func() {
		_ = c.Process.Kill()
		_ = c.Wait()
	})
	return h
}

// ready waits for the ready line and returns the postmaster's number and the address.
func (h *holdingProcess) ready(t *testing.T) (pid int, url string) {
	t.Helper()
	line := h.line(t)
	if _, err := fmt.Sscanf(line, "ready %d %s", &pid, &url); err != nil {
		t.Fatalf("holder said %q", line)
	}
	return pid, url
}

func (h *holdingProcess) line(t *testing.T) string {
	t.Helper()
	select {
	case line, open := <-h.lines:
		if !open {
			t.Fatal("holder ended without a word")
		}
		return line
	case <-time.After(patience):
		t.Fatal("holder says nothing")
	}
	return ""
}

var copied string

func copyOfMe(t *testing.T) string {
	t.Helper()
	if copied != "" {
		if _, err := os.Stat(copied); err == nil {
			return copied
		}
	}
	b, err := os.ReadFile("/proc/self/exe")
	if err != nil {
		t.Fatal(err)
	}
	copied = filepath.Join(place(t), "holder")
	if err := os.WriteFile(copied, b, 0o755); err != nil {
		t.Fatal(err)
	}
	return copied
}

// gone waits until no process runs in the folder of the cluster: its server and all the
// server's children change into it.
func gone(t *testing.T, dir string) {
	t.Helper()
	deadline := time.After(patience)
	for {
		left := processesIn(filepath.Join(dir, "data"))
		if len(left) == 0 {
			return
		}
		select {
		case <-deadline:
			t.Fatalf("processes %v still run in %s", left, dir)
		case <-time.After(20 * time.Millisecond):
		}
	}
}

func processesIn(data string) (pids []string) {
	links, _ := filepath.Glob("/proc/[0-9]*/cwd")
	for _, link := range links {
		if cwd, err := os.Readlink(link); err == nil && cwd == data {
			pids = append(pids, strings.Split(link, "/")[2])
		}
	}
	return pids
}

// accounts are the ways to run a holder on this machine: as the test itself, and, when
// that is root, as an ordinary account too.
func accounts() map[string]string {
	all := map[string]string{"as the test's own account": ""}
	if os.Geteuid() == 0 {
		all["as an ordinary account"] = "nobody"
	}
	return all
}

// home makes a folder for the account to put its cluster in.
func home(t *testing.T, as string) string {
	t.Helper()
	dir := place(t)
	if as != "" {
		a, _ := lookUpAccount(as)
		if err := a.own(dir); err != nil {
			t.Fatal(err)
		}
	}
	return filepath.Join(dir, "cluster")
}
