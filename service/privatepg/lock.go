package privatepg

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"syscall"
)

// hold takes the folder's lock for this process. The kernel lets go of it when the
// process dies, so a lock is never stale; the number written into it is for the message.
func (f folder) hold(a account) (*os.File, error) {
	file, err := os.OpenFile(f.locked(), os.O_CREATE|os.O_RDWR|syscall.O_NOFOLLOW, 0o600)
	if err != nil {
		return nil, f.unusable(err)
	}
	if err := syscall.Flock(int(file.Fd()), syscall.LOCK_EX|syscall.LOCK_NB); err != nil {
		defer file.Close()
		if errors.Is(err, syscall.EWOULDBLOCK) {
			return nil, inUse.At("", f.dir, holder(file))
		}
		return nil, f.unusable(err)
	}
	if err := errors.Join(writeHolder(file), a.own(f.locked())); err != nil {
		file.Close()
		return nil, f.unusable(err)
	}
	return file, nil
}

func writeHolder(file *os.File) error {
	if err := file.Truncate(0); err != nil {
		return err
	}
	_, err := file.WriteAt(fmt.Appendf(nil, "%d\n", os.Getpid()), 0)
	return err
}

// holder reads the other process's number; it may not have written it yet.
func holder(file *os.File) string {
	b, err := io.ReadAll(io.LimitReader(file, 32))
	if text := strings.TrimSpace(string(b)); err == nil && text != "" {
		return text
	}
	return "?"
}
