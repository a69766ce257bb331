package storetest

import (
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
)

const memory = "/dev/shm"

// roomNeeded is what a package's cluster may take: the template and a dozen of clones.
const roomNeeded = 1 << 30

// makePlace makes the folder of a cluster: in memory where there is room, unless it is to
// be durable. The folder is open to the account that root drops to, which t.TempDir's is
// not. Its name holds our process number, by which a later run tells an orphan.
func makePlace(durable bool) (string, error) {
	parent := os.TempDir()
	var st syscall.Statfs_t
	if !durable && syscall.Statfs(memory, &st) == nil && st.Bavail*uint64(st.Bsize) > roomNeeded {
		parent = memory
	}
	sweep(parent)
	dir, err := os.MkdirTemp(parent, fmt.Sprintf("rillmark-test-%d-", os.Getpid()))
	if err != nil {
		return "", err
	}
	return dir, os.Chmod(dir, 0o755)
}

// sweep removes what killed runs left behind: their process is gone, and so nobody holds
// the cluster's lock.
func sweep(parent string) {
	dirs, _ := filepath.Glob(filepath.Join(parent, "rillmark-test-*-*"))
	for _, dir := range dirs {
		number, _, _ := strings.Cut(strings.TrimPrefix(filepath.Base(dir), "rillmark-test-"), "-")
		pid, err := strconv.Atoi(number)
		if err != nil || syscall.Kill(pid, 0) != syscall.ESRCH {
			continue
		}
		lock, err := os.Open(filepath.Join(dir, "cluster", "lock"))
		if err != nil {
			continue
		}
		if syscall.Flock(int(lock.Fd()), syscall.LOCK_EX|syscall.LOCK_NB) == nil {
			_ = os.RemoveAll(dir)
		}
		lock.Close()
	}
}
