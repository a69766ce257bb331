// Package privatepg runs a PostgreSQL cluster that belongs to one folder and to one
// running program: it finds the server's programs on the machine, makes the cluster,
// starts it as a child that listens on a unix socket only, and stops it again. When the
// program dies, however it dies, the server goes down with it.
//
// Not here: what the database holds (see service/store), where the folder is by default
// and what a person is told (see cmd/rillmark). The package follows PostgreSQL's own
// documentation, chapters "Creating a Database Cluster" and "Shutting Down the Server";
// it needs PostgreSQL 15 or newer.
package privatepg

import (
	"context"
	"net/url"
	"os"
	"strconv"
)

// OldestMajor is the oldest PostgreSQL that serves: security_invoker views and
// NULLS NOT DISTINCT came with it.
const OldestMajor = 15

// port names the socket file; nothing listens on a network.
const port = 5432

// Superuser is the role that owns the cluster.
const Superuser = "postgres"

// Config says what to run and where. The zero value is invalid: Dir is needed.
type Config struct {
	// Dir is the folder of the cluster. It is made when missing; a folder that holds
	// anything else is refused.
	Dir string
	// Programs is the folder with PostgreSQL's programs that the person named; empty:
	// look in the usual places, then in PATH.
	Programs string
	// Keep is the folder where fetched programs lie, for every cluster of this account;
	// empty: none are looked for there.
	Keep string
	// Fetching allows npm, where it is there and no programs are, to fetch a pinned build
	// into Keep, and is told its name and version first; nil: nothing is fetched.
	Fetching func(name, version string)
	// Database is made when it is missing; empty: none besides PostgreSQL's own.
	Database string
	// RunAs names the account for the server when the caller is root; empty: the owner
	// of an existing cluster, else postgres, else nobody. An ordinary caller is the
	// server's account itself.
	RunAs string
	// Settings are further server settings, each "name=value".
	Settings []string
	// Hasty leaves out the flush to disk after making the cluster: for tests.
	Hasty bool
	// Environ is the caller's environment, as os.Environ returns it. PATH and the
	// loader's settings are taken from it; everything that could steer PostgreSQL is not.
	Environ []string
}

// HastySettings make a cluster quick and forgetful: for tests that do not test crashes.
// Shared memory lies in the cluster's folder, so that a killed one leaves nothing elsewhere.
func HastySettings() []string {
	return []string{"fsync=off", "full_page_writes=off", "synchronous_commit=off", "dynamic_shared_memory_type=mmap"}
}

// Server is a running cluster. Make it with Start; the zero value is invalid.
type Server struct {
	// Fresh says that this start made the cluster.
	Fresh bool
	// Major is the server's major version.
	Major int

	folder  folder
	account account
	socket  string
	lock    *os.File
	process *process
}

// URL returns the address of a database of this cluster for the superuser, in the form
// that pgx and golang-migrate read. The port is written out so that a PGPORT in the
// caller's environment changes nothing.
func (s *Server) URL(database string) string { return address(s.socket, database) }

func address(socket, database string) string {
	u := url.URL{
		Scheme: "postgres", User: url.User(Superuser), Path: "/" + database,
		RawQuery: url.Values{
			"host": {socket}, "port": {strconv.Itoa(port)}, "sslmode": {"disable"},
		}.Encode(),
	}
	return u.String()
}

// PID returns the process id of the server's first process, the postmaster.
func (s *Server) PID() int { return s.process.cmd.Process.Pid }

// Log returns the path of the file the server writes to.
func (s *Server) Log() string { return s.folder.log() }

// Done is closed when the server has ended, asked or not.
func (s *Server) Done() <-chan struct{} { return s.process.done }

// Stop ends the server: sessions are cut, what was confirmed is on disk. It escalates
// when the server does not come down within stopPatience, and returns how it ended.
func (s *Server) Stop() error {
	defer s.release()
	return s.process.stop()
}

func (s *Server) release() {
	s.folder.dropSocket(s.socket)
	s.lock.Close()
}

// Start starts the cluster of cfg.Dir, making it first when there is none, and returns
// when it answers. The context bounds the starting alone. Errors that a person can mend
// carry a fault code of this package.
func Start(ctx context.Context, cfg Config) (*Server, error) {
	f, err := newFolder(cfg.Dir)
	if err != nil {
		return nil, err
	}
	who, err := chooseAccount(f, cfg.RunAs)
	if err != nil {
		return nil, err
	}
	programs, err := findOrFetch(ctx, cfg, f, who)
	if err != nil {
		return nil, err
	}
	if err := who.canReach(programs.Dir, programsClosed); err != nil {
		return nil, err
	}
	if err := f.open(who); err != nil {
		return nil, err
	}
	lock, err := f.hold(who)
	if err != nil {
		return nil, err
	}
	s := &Server{Major: programs.Major, folder: f, account: who, lock: lock}
	if err := s.bringUp(ctx, cfg, programs); err != nil {
		s.release()
		return nil, err
	}
	return s, nil
}

// bringUp does what needs the lock.
func (s *Server) bringUp(ctx context.Context, cfg Config, p Programs) (err error) {
	// Whoever held the lock before us may have made or remade the cluster since we looked.
	if made := s.folder.major(); made != 0 && made != p.Major {
		return wrongMajor.At("", s.folder.dir, made, p.Major)
	}
	if err := clearStale(ctx, s.folder); err != nil {
		return err
	}
	if s.socket, err = s.folder.chooseSocket(s.account); err != nil {
		return err
	}
	if s.Fresh, err = create(ctx, cfg, s.folder, s.account, p); err != nil {
		return err
	}
	if err := s.launch(ctx, cfg, p); err != nil {
		return err
	}
	if err := ensureDatabase(ctx, s.URL("postgres"), cfg.Database); err != nil {
		_ = s.process.stop()
		return s.folder.explain(err, err.Error())
	}
	return nil
}
