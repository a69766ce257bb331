package main

import (
	"bytes"
	"crypto/rand"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/uuid"

	"rillmark/service/store/storetest"
)

func TestMain(m *testing.M) {
	code := storetest.Run(m)
	if built.dir != "" {
		_ = os.RemoveAll(built.dir)
	}
	os.Exit(code)
}

// prebuilt names a binary that is there already: another account that runs the tests need
// not compile it again.
const prebuilt = "RILLMARK_TEST_BINARY"

var built struct {
	once sync.Once
	dir  string
	path string
	err  error
	said []byte
}

// binary builds the program once, to where every account can run it. Only a built binary
// can be killed: "go run" does not pass SIGKILL on.
func binary(t *testing.T) string {
	t.Helper()
	if path := os.Getenv(prebuilt); path != "" {
		return path
	}
	built.once.Do(func() {
		if built.dir, built.err = os.MkdirTemp("", "rillmark-binary-"); built.err != nil {
			return
		}
		if built.err = os.Chmod(built.dir, 0o755); built.err != nil {
			return
		}
		built.path = filepath.Join(built.dir, "rillmark")
		built.said, built.err = exec.Command("go", "build", "-o", built.path, ".").CombinedOutput()
	})
	if built.err != nil {
		t.Fatalf("build: %v\n%s", built.err, built.said)
	}
	return built.path
}

// said is what a run of the program inside the test wrote.
type said struct{ out, err string }

// inside runs the program in this process with an environment of its own.
func inside(t *testing.T, environ []string, stdin string, args ...string) (int, said) {
	t.Helper()
	var out, err bytes.Buffer
	p := program{in: strings.NewReader(stdin), out: &out, err: &err, environ: environ, root: os.Geteuid() == 0,
		ids: func() uuid.UUID { return uuid.Must(uuid.NewV7()) }, random: rand.Reader, now: time.Now}
	code := p.run(t.Context(), args)
	return code, said{out.String(), err.String()}
}

// wantRun fails unless the run ended with the code and its output holds the texts.
func wantRun(t *testing.T, code int, got said, want int, texts ...string) {
	t.Helper()
	if code != want {
		t.Fatalf("exit code %d, want %d\n%s%s", code, want, got.out, got.err)
	}
	for _, text := range texts {
		if !strings.Contains(got.out+got.err, text) {
			t.Errorf("%q is not in\n%s%s", text, got.out, got.err)
		}
	}
}

// place makes a folder that every account can enter.
func place(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp("", "rillmark-cmd-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := os.RemoveAll(dir); err != nil {
			t.Error(err)
		}
	})
	if err := os.Chmod(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	return dir
}

func writeFile(t *testing.T, path, text string) string {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}
