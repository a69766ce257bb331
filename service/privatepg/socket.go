package privatepg

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// longestSocket is the longest path of a unix socket on the systems we run on: sun_path
// has 108 bytes on Linux and 104 on macOS and BSD, one of them for the final zero.
const longestSocket = 103

const socketFile = "/.s.PGSQL.5432"

// socketNote remembers a socket folder outside ours, so that the next start removes it
// when a killed program could not.
func (f folder) socketNote() string { return filepath.Join(f.dir, "socket") }

// chooseSocket returns the folder for the socket: our own, or a short one under the
// machine's temporary folder when our path is too long for a socket's name.
func (f folder) chooseSocket(a account) (string, error) {
	f.dropNoted()
	if len(f.run())+len(socketFile) <= longestSocket {
		return f.run(), nil
	}
	for _, parent := range []string{os.TempDir(), "/tmp"} {
		if a.canReach(parent, folderClosed) != nil || len(parent) > 60 {
			continue
		}
		dir, err := os.MkdirTemp(parent, "rillmark-")
		if err != nil {
			continue
		}
		if err := f.note(dir, a); err != nil {
			_ = os.Remove(dir)
			return "", f.unusable(err)
		}
		return dir, nil
	}
	return "", socketUnusable.At("", f.dir, a.name)
}

func (f folder) note(dir string, a account) error {
	if err := a.own(dir); err != nil {
		return err
	}
	_ = os.Remove(f.socketNote()) // writeNew says so when it stays
	return writeNew(f.socketNote(), dir+"\n", 0o600)
}

func (f folder) dropNoted() {
	if b, err := os.ReadFile(f.socketNote()); err == nil {
		f.dropSocket(strings.TrimSpace(string(b)))
	}
}

// dropSocket removes a socket folder that lies outside ours, with nothing in it but the
// socket and its lock file.
func (f folder) dropSocket(dir string) {
	if dir == "" || dir == f.run() || !strings.HasPrefix(filepath.Base(dir), "rillmark-") {
		return
	}
	clearSocket(dir)
	_ = os.Remove(dir)
	_ = os.Remove(f.socketNote())
}

// clearSocket removes what a killed server left: a stale lock file that names a living
// process of somebody else would keep the next server from starting.
func clearSocket(dir string) {
	for _, name := range []string{socketFile, socketFile + ".lock"} {
		if err := os.Remove(filepath.Join(dir, name)); err != nil && !errors.Is(err, fs.ErrNotExist) {
			continue // the server will say so, with its own reason
		}
	}
}
