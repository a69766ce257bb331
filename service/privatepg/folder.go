package privatepg

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
)

// markName names the file that says a folder is ours; a folder with other things in it
// and without the mark is somebody else's and is left alone.
const markName = "rillmark-postgres"

const markText = "This folder holds a private PostgreSQL cluster of Rillmark.\n" +
	"data is the cluster, run its socket, postgres.log what the server said.\n" +
	"Stop the program that uses it before you move or remove the folder.\n"

// folder is where one cluster lives. The zero value is invalid.
type folder struct{ dir string }

func newFolder(dir string) (folder, error) {
	if dir == "" {
		return folder{}, folderNeeded.At("")
	}
	abs, err := filepath.Abs(dir)
	if err != nil {
		return folder{}, because(folderUnusable.At("", dir, plain(err)), err)
	}
	return folder{abs}, nil
}

func (f folder) data() string   { return filepath.Join(f.dir, "data") }
func (f folder) making() string { return filepath.Join(f.dir, "data.new") }
func (f folder) run() string    { return filepath.Join(f.dir, "run") }
func (f folder) mark() string   { return filepath.Join(f.dir, markName) }
func (f folder) locked() string { return filepath.Join(f.dir, "lock") }
func (f folder) log() string    { return filepath.Join(f.dir, "postgres.log") }

// major returns the major version that made the cluster, 0 when there is none.
func (f folder) major() int {
	b, err := os.ReadFile(filepath.Join(f.data(), "PG_VERSION"))
	if err != nil {
		return 0
	}
	major, err := strconv.Atoi(strings.TrimSpace(string(b)))
	if err != nil {
		return 0
	}
	return major
}

// open makes the folder, or makes sure that it is ours and can be entered by the account.
func (f folder) open(a account) error {
	if err := a.canReach(f.dir, folderClosed); err != nil {
		return err
	}
	if err := makeDirs(f.dir, a); err != nil {
		return f.unusable(err)
	}
	if err := f.claim(); err != nil {
		return err
	}
	if err := os.Mkdir(f.run(), 0o700); err != nil && !errors.Is(err, fs.ErrExist) {
		return f.unusable(err)
	}
	if err := a.own(f.run()); err != nil {
		return f.unusable(err)
	}
	return nil
}

// claim writes our mark into an empty folder and refuses a foreign one. The listing comes
// before the look for the mark: of two programs that start at once in a new folder, the
// second may find entries, and then the mark, which is always the first entry, is there.
func (f folder) claim() error {
	entries, err := os.ReadDir(f.dir)
	if err != nil {
		return f.unusable(err)
	}
	if _, err := os.Lstat(f.mark()); err == nil {
		return nil
	}
	if len(entries) > 0 {
		return folderForeign.At("", f.dir)
	}
	if err := writeNew(f.mark(), markText, 0o644); err != nil && !errors.Is(err, fs.ErrExist) {
		return f.unusable(err)
	}
	return nil
}

// writeNew writes a file that must not be there yet.
func writeNew(path, text string, mode fs.FileMode) error {
	file, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, mode)
	if err != nil {
		return err
	}
	_, err = file.WriteString(text)
	return errors.Join(err, file.Close())
}

func (f folder) unusable(err error) error {
	if isDiskFull(err, "") {
		return because(diskFull.At("", f.dir), err)
	}
	return because(folderUnusable.At("", f.dir, plain(err)), err)
}

// plain is the machine's reason without the act and the path, which the sentence says.
func plain(err error) string {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err.Error()
	}
	return err.Error()
}

// isDiskFull looks at the error, and at what a program wrote before it failed.
func isDiskFull(err error, said string) bool {
	return errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EDQUOT) ||
		strings.Contains(said, syscall.ENOSPC.Error()) || strings.Contains(said, "No space left on device") ||
		strings.Contains(said, "Disk quota exceeded")
}

// explain turns a failure while starting into a fault: the disk is full, or the server
// does not start and its log says why.
func (f folder) explain(err error, said string) error {
	if isDiskFull(err, said) {
		return because(diskFull.At("", f.dir), said)
	}
	return because(notStarting.At("", f.dir, f.log()), said)
}

// makeDirs makes the missing folders of the path one by one. When the server runs as
// another account they are opened to it whatever the caller's umask; else the last one is
// the caller's alone.
func makeDirs(dir string, a account) error {
	if fi, err := os.Stat(dir); err == nil {
		if !fi.IsDir() {
			return &fs.PathError{Op: "open", Path: dir, Err: syscall.ENOTDIR}
		}
		return nil
	}
	if err := makeParents(filepath.Dir(dir), a); err != nil {
		return err
	}
	if a.dropped {
		return makeOpen(dir)
	}
	return mkdirKnown(dir, 0o700)
}

func makeParents(dir string, a account) error {
	if _, err := os.Stat(dir); err == nil {
		return nil
	}
	if err := makeParents(filepath.Dir(dir), a); err != nil {
		return err
	}
	if a.dropped {
		return makeOpen(dir)
	}
	return mkdirKnown(dir, 0o755)
}

func makeOpen(dir string) error {
	if err := mkdirKnown(dir, 0o755); err != nil {
		return err
	}
	return os.Chmod(dir, 0o755)
}

// mkdirKnown makes the folder; one that another program made in the meantime will do.
func mkdirKnown(dir string, mode fs.FileMode) error {
	if err := os.Mkdir(dir, mode); err != nil && !errors.Is(err, fs.ErrExist) {
		return err
	}
	return nil
}
