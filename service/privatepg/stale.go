package privatepg

import (
	"bytes"
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"syscall"
	"time"
)

// patience with a server that a killed program left behind and that is still coming down.
const orphanPatience = 15 * time.Second

// clearStale makes the cluster startable. We hold the lock, so nobody else starts a server
// here: a living one is an orphan and is asked to end, and lock files whose process is
// gone, a zombie or somebody else's are removed. PostgreSQL judges only whether a process
// of that number lives, which in a container, where numbers are low and start again, is
// often another one.
func clearStale(ctx context.Context, f folder) error {
	ctx, cancel := context.WithTimeout(ctx, orphanPatience)
	defer cancel()
	for {
		pid, alive := postmaster(f.data())
		if !alive {
			break
		}
		_ = syscall.Kill(pid, syscall.SIGINT)
		select {
		case <-ctx.Done():
			return because(stillRunning.At("", f.dir, pid), ctx.Err())
		case <-time.After(20 * time.Millisecond):
		}
	}
	pidFile := filepath.Join(f.data(), "postmaster.pid")
	if err := os.Remove(pidFile); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return f.unusable(err)
	}
	clearSocket(f.run())
	return nil
}

// postmaster returns the process named in the cluster's lock file and whether it is a
// living server of this cluster.
func postmaster(data string) (pid int, alive bool) {
	b, err := os.ReadFile(filepath.Join(data, "postmaster.pid"))
	if err != nil {
		return 0, false
	}
	line, _, _ := bytes.Cut(b, []byte("\n"))
	pid, err = strconv.Atoi(string(bytes.TrimSpace(line)))
	if err != nil || pid <= 1 || errors.Is(syscall.Kill(pid, 0), syscall.ESRCH) {
		return pid, false
	}
	return pid, servesFolder(pid, data)
}
