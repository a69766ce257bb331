package privatepg

import (
	"archive/tar"
	"compress/gzip"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
)

// links is the package's own list of the links that its archive cannot hold.
const links = "native/pg-symlinks.json"

// unpack writes the native part of an npm archive to dir and makes its links. Paths that
// lead out of dir are refused; what is not a file is passed over.
func unpack(archive, dir string) error {
	file, err := os.Open(archive)
	if err != nil {
		return err
	}
	defer file.Close()
	zipped, err := gzip.NewReader(file)
	if err != nil {
		return err
	}
	for entries := tar.NewReader(zipped); ; {
		head, err := entries.Next()
		if errors.Is(err, io.EOF) {
			return link(dir)
		}
		if err != nil {
			return err
		}
		name, inPackage := strings.CutPrefix(head.Name, "package/")
		if head.Typeflag != tar.TypeReg || !inPackage || !wanted(name) {
			continue
		}
		if !filepath.IsLocal(name) {
			return fmt.Errorf("the archive holds the path %q", head.Name)
		}
		if err := unpackFile(filepath.Join(dir, name), entries, head.FileInfo().Mode()); err != nil {
			return err
		}
	}
}

// wanted leaves out what only builders of extensions need.
func wanted(name string) bool {
	switch {
	case strings.HasPrefix(name, "native/lib/postgresql/pgxs/"), strings.HasPrefix(name, "native/include/"), strings.HasSuffix(name, ".a"):
		return false
	}
	return strings.HasPrefix(name, "native/") || strings.HasPrefix(name, "LICENSE")
}

// unpackFile makes the file readable by every account, for the server may run as another.
func unpackFile(path string, from io.Reader, mode os.FileMode) error {
	if err := makeOpenTo(filepath.Dir(path)); err != nil {
		return err
	}
	perm := os.FileMode(0o644)
	if mode&0o100 != 0 {
		perm = 0o755
	}
	to, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, perm)
	if err != nil {
		return err
	}
	defer to.Close()
	if _, err := io.Copy(to, from); err != nil {
		return err
	}
	if err := to.Chmod(perm); err != nil { // whatever the umask is
		return err
	}
	return to.Close()
}

func link(dir string) error {
	text, err := os.ReadFile(filepath.Join(dir, links))
	if err != nil {
		return err
	}
	var all []struct{ Source, Target string }
	if err := json.Unmarshal(text, &all); err != nil {
		return err
	}
	for _, l := range all {
		if !filepath.IsLocal(l.Source) || !filepath.IsLocal(l.Target) {
			return fmt.Errorf("the package links %q to %q", l.Target, l.Source)
		}
		to, err := filepath.Rel(filepath.Dir(l.Target), l.Source)
		if err != nil {
			return err
		}
		if err := os.Symlink(to, filepath.Join(dir, l.Target)); err != nil && !os.IsExist(err) {
			return err
		}
	}
	return nil
}

// makeOpenTo makes the folder and its missing parents, open to every account.
func makeOpenTo(dir string) error {
	if _, err := os.Stat(dir); err == nil {
		return nil
	}
	if err := makeOpenTo(filepath.Dir(dir)); err != nil {
		return err
	}
	return makeOpen(dir)
}
