package main

import (
	"context"
	"fmt"
	"io/fs"
	"log/slog"
	"net"
	"strconv"
	"strings"
	"time"

	"rillmark/domain/certificate"
	"rillmark/migrations"
	"rillmark/service/store"
)

func serveCommand() command {
	return command{
		words: "serve", does: "serve the program from a database that is there",
		more: "The database is made by “rillmark database init” and brought up to date by “rillmark\n" +
			"migrate up”, or by serve itself where --owner-database-url is set. A demo's is refused.",
		settings: []string{"listen", "public-url", "trusted-proxies", "company", "company-address", "company-contact", "time-zone", "portal-database-url", "portal-password-file", "database-url",
			"database-password-file", "owner-database-url", "owner-password-file", "log-level", "log-format"},
		run: func(ctx context.Context, p *program, c *call) error {
			return unlessAsked(ctx, runServe(ctx, p, c))
		},
	}
}

func runServe(ctx context.Context, p *program, c *call) error {
	config := c.config
	if config.PublicURL == "" && listensEverywhere(config.Listen) {
		return usage(settingMissing.At("", "--public-url", variableOf("public-url")))
	}
	listener, err := listen(config.Listen)
	if err != nil {
		return err
	}
	defer listener.Close()
	db, err := p.openEarnest(ctx, config)
	if err != nil {
		return err
	}
	defer db.Close()
	public := config.PublicURL
	if public == "" {
		public = "http://" + listener.Addr().String()
	}
	zone, err := time.LoadLocation(config.TimeZone)
	if err != nil {
		return err // its name was checked with the setting
	}
	log := p.log(config, slog.LevelInfo)
	portal, err := p.openPortal(ctx, config)
	if err != nil {
		return err
	}
	defer portal.Close()
	h, err := p.handler(handlerConfig{store: db, portal: portal, publicURL: public, company: companyOf(config), zone: zone,
		proxies: splitList(config.TrustedProxies), log: log})
	if err != nil {
		return err
	}
	server := newServer(h, log)
	running := server.start(listener)
	fmt.Fprintf(p.out, "ready %s\n", public)
	return server.untilDone(ctx, running, nil, "")
}

// listensEverywhere reports an address without a host of its own: from it nobody can tell
// by which name people reach the server, and names that are not its own are refused.
func listensEverywhere(address string) bool {
	host, _, err := net.SplitHostPort(address)
	ip := net.ParseIP(host)
	return err == nil && (host == "" || ip != nil && ip.IsUnspecified())
}

// openEarnest opens a database that is not a demo's and whose tables this program knows.
func (p *program) openEarnest(ctx context.Context, c Config) (*store.Store, error) {
	url, err := p.address("database-url", c.DatabaseURL, "database-password-file", c.DatabasePasswordFile)
	if err != nil {
		return nil, err
	}
	standing, err := store.StandingOf(ctx, url)
	if err != nil {
		return nil, err
	}
	if standing == store.Demo {
		return nil, demoDatabase.At("")
	}
	if c.OwnerURL != "" {
		if err := p.migrateUp(ctx, c); err != nil {
			return nil, err
		}
	}
	db, err := store.Open(ctx, store.Config{URL: url, Role: store.App, IDs: p.ids})
	if err != nil {
		return nil, err
	}
	if err := upToDate(ctx, db); err != nil {
		db.Close()
		return nil, err
	}
	return db, nil
}

// upToDate compares the database's migrations with the program's.
func upToDate(ctx context.Context, db *store.Store) error {
	latest, err := latestMigration()
	if err != nil {
		return err
	}
	// The table is absent before the first migration, and a query that names it would fail.
	there, err := store.Scalars[bool](ctx, db, "SELECT to_regclass('public.migration') IS NOT NULL")
	if err != nil {
		return err
	}
	at := []int{0}
	if there[0] {
		if at, err = store.Scalars[int](ctx, db, "SELECT coalesce(max(number), 0) FROM migration"); err != nil {
			return err
		}
	}
	switch {
	case at[0] < latest:
		return behind.At("", at[0], latest)
	case at[0] > latest:
		return ahead.At("", at[0], latest)
	}
	return nil
}

func latestMigration() (latest int, err error) {
	names, err := fs.Glob(migrations.Files, "[0-9][0-9][0-9][0-9]_*.up.sql")
	for _, name := range names {
		n, err := strconv.Atoi(name[:4])
		if err != nil {
			return 0, err
		}
		latest = max(latest, n)
	}
	return latest, err
}

// openPortal opens the pool of the clients' role; nil where no address is given for it.
func (p *program) openPortal(ctx context.Context, c Config) (*store.Store, error) {
	if c.PortalURL == "" {
		return nil, nil
	}
	url, err := p.address("portal-database-url", c.PortalURL, "portal-password-file", c.PortalPasswordFile)
	if err != nil {
		return nil, err
	}
	return store.Open(ctx, store.Config{URL: url, Role: store.Portal, MaxConns: portalConns})
}

// portalConns leaves the application's own work most of the database.
const portalConns = 3

// companyOf is the company as its certificates name it.
func companyOf(c Config) certificate.Party {
	var address []string
	for _, line := range strings.Split(c.CompanyAddress, ";") {
		if line = strings.TrimSpace(line); line != "" {
			address = append(address, line)
		}
	}
	return certificate.Party{Name: c.Company, Address: address, Contact: c.CompanyContact}
}
