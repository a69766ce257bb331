package privatepg

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
)

// How often a starting server is asked, and how long sessions of a killed server may
// linger: PostgreSQL refuses to start beside them, rightly.
const (
	askEvery       = 10 * time.Millisecond
	lingerPatience = 10 * time.Second
	lingerEvery    = 100 * time.Millisecond
)

// errLingering says that sessions of an earlier server of this cluster still live.
var errLingering = errors.New("sessions of the server before this one still live")

// launch starts the server and returns when it answers.
func (s *Server) launch(ctx context.Context, cfg Config, p Programs) error {
	linger, cancel := context.WithTimeout(ctx, lingerPatience)
	defer cancel()
	for {
		err := s.launchOnce(ctx, cfg, p)
		if !errors.Is(err, errLingering) {
			return err
		}
		select {
		case <-linger.Done():
			return s.folder.explain(err, err.Error())
		case <-time.After(lingerEvery):
		}
	}
}

func (s *Server) launchOnce(ctx context.Context, cfg Config, p Programs) error {
	log, err := s.folder.newLog(s.account)
	if err != nil {
		return s.folder.unusable(err)
	}
	defer log.Close() // the child has its own handle
	c := exec.Command(filepath.Join(p.Dir, "postgres"), s.arguments(cfg.Settings)...)
	c.Dir, c.Env = s.folder.run(), childEnv(cfg.Environ)
	c.Stdout, c.Stderr = log, log
	c.SysProcAttr = diesWithUs(s.account, true)
	if s.process, err = launch(c); err != nil {
		return s.folder.explain(err, err.Error())
	}
	return s.awaitAnswer(ctx)
}

func (s *Server) arguments(settings []string) []string {
	args := []string{"-D", s.folder.data(), "-k", s.socket, "-p", strconv.Itoa(port),
		"-c", "listen_addresses=", "-c", "unix_socket_permissions=0700", "-c", "log_timezone=UTC", "-c", "timezone=UTC"}
	for _, setting := range settings {
		args = append(args, "-c", setting)
	}
	return args
}

func (s *Server) awaitAnswer(ctx context.Context) error {
	for {
		c, err := pgx.Connect(ctx, s.URL("postgres"))
		if err == nil {
			return c.Close(ctx)
		}
		select {
		case <-s.process.done:
			return s.whyEnded()
		case <-ctx.Done():
			_ = s.process.stop()
			return s.folder.explain(ctx.Err(), fmt.Sprintf("%v; last: %v", ctx.Err(), err))
		case <-time.After(askEvery):
		}
	}
}

func (s *Server) whyEnded() error {
	said := s.folder.logTail()
	if strings.Contains(said, "pre-existing shared memory block") {
		return errLingering
	}
	return s.folder.explain(s.process.err, fmt.Sprintf("%v\n%s", s.process.err, said))
}

// newLog starts a log for this run and keeps the one before.
func (f folder) newLog(a account) (*os.File, error) {
	if err := os.Rename(f.log(), f.log()+".1"); err != nil && !os.IsNotExist(err) {
		return nil, err
	}
	file, err := os.OpenFile(f.log(), os.O_CREATE|os.O_EXCL|os.O_WRONLY|os.O_APPEND, 0o600)
	if err != nil {
		return nil, err
	}
	return file, a.own(f.log())
}

// logTail returns the end of the log, for an error's cause.
func (f folder) logTail() string {
	const enough = 4096
	file, err := os.Open(f.log())
	if err != nil {
		return ""
	}
	defer file.Close()
	if fi, err := file.Stat(); err == nil && fi.Size() > enough {
		_, _ = file.Seek(-enough, io.SeekEnd)
	}
	b, _ := io.ReadAll(io.LimitReader(file, enough))
	return string(b)
}
