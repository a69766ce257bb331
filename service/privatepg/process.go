package privatepg

import (
	"os/exec"
	"runtime"
	"syscall"
	"time"
)

// How long a server may take to come down before it is told again, harder. A checkpoint of
// a busy cluster takes seconds.
const (
	stopPatience = 20 * time.Second
	quitPatience = 5 * time.Second
)

// process is a child; err is set when done is closed.
type process struct {
	cmd  *exec.Cmd
	done chan struct{}
	err  error
}

// launch starts the child and waits for its end on one thread, which it keeps for the
// child's life: the kernel's signal on the parent's death follows the thread that forked,
// and the runtime may end a thread at any time.
func launch(c *exec.Cmd) (*process, error) {
	p := &process{cmd: c, done: make(chan struct{})}
	started := make(chan error)
	go func() {
		runtime.LockOSThread()
		err := c.Start()
		started <- err
		if err == nil {
			p.err = c.Wait()
			close(p.done)
		}
	}()
	if err := <-started; err != nil {
		return nil, err
	}
	return p, nil
}

// stop asks for a fast shutdown, then for an immediate one, then kills.
func (p *process) stop() error {
	for _, step := range []struct {
		signal   syscall.Signal
		patience time.Duration
	}{{syscall.SIGINT, stopPatience}, {syscall.SIGQUIT, quitPatience}, {syscall.SIGKILL, 0}} {
		_ = p.cmd.Process.Signal(step.signal) // an error says that it has ended
		if step.patience == 0 {
			break
		}
		select {
		case <-p.done:
			return p.err
		case <-time.After(step.patience):
		}
	}
	<-p.done
	return p.err
}
