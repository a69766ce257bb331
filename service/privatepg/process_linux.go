package privatepg

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"syscall"
)

// diesWithUs are the attributes of a child: the account, a process group of its own (so
// that Ctrl-C reaches the program alone, which then stops the server in order), and the
// signal the kernel sends when the thread that started it dies. SIGINT makes a server cut
// its sessions and shut down cleanly; anything else is simply killed.
func diesWithUs(a account, server bool) *syscall.SysProcAttr {
	sig := syscall.SIGKILL
	if server {
		sig = syscall.SIGINT
	}
	return &syscall.SysProcAttr{Credential: a.credential(), Setpgid: true, Pdeathsig: sig}
}

// servesFolder reports whether the process is a living server of the data folder: a server
// changes into its folder, and a zombie has no folder any more.
func servesFolder(pid int, data string) bool {
	stat, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
	if err != nil {
		return false
	}
	if i := bytes.LastIndexByte(stat, ')'); i > 0 && i+2 < len(stat) && (stat[i+2] == 'Z' || stat[i+2] == 'X') {
		return false
	}
	cwd, err := os.Readlink(fmt.Sprintf("/proc/%d/cwd", pid))
	if err != nil {
		return false
	}
	real, err := filepath.EvalSymlinks(data)
	return err == nil && cwd == real
}
