//go:build unix && !linux

package privatepg

import (
	"fmt"
	"os/exec"
	"strings"
	"syscall"
)

// diesWithUs are the attributes of a child. These systems have no signal for a parent's
// death: a server whose program was killed stays, and the next start ends it.
func diesWithUs(a account, _ bool) *syscall.SysProcAttr {
	return &syscall.SysProcAttr{Credential: a.credential(), Setpgid: true}
}

// servesFolder asks ps for the command line, which names the data folder.
func servesFolder(pid int, data string) bool {
	out, err := exec.Command("ps", "-ww", "-o", "command=", "-p", fmt.Sprint(pid)).Output()
	return err == nil && strings.Contains(string(out), "postgres") && strings.Contains(string(out), data)
}
