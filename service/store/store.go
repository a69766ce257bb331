// Package store is the way to Postgres: roles, migrations, pools, the one way to write,
// the audit trail, files in parts, and the map from database errors to kinds. Services
// keep their own SQL; what two of them share is here. It renders nothing and decides no
// rule of the business.
package store

import (
	"context"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5/pgxpool"

	"rillmark/domain"
)

// Role is one of the database's roles. Each connection runs as one of them whoever
// logged it in, so that even a superuser's address gives the program no more than its due.
type Role string

// The roles; database init makes them.
const (
	Owner  Role = "rillmark_owner"  // owns the tables; migrations only
	App    Role = "rillmark_app"    // the application: owns nothing
	Portal Role = "rillmark_portal" // a client's user: sees that client's rows alone
	Reader Role = "rillmark_read"   // reads what is not secret: recheck, audit
)

// Time-outs of every connection. A transaction that stops half-way is ended by the
// database before others give up waiting for its locks.
const (
	LockTimeout      = 5 * time.Second
	StatementTimeout = 30 * time.Second
	IdleTimeout      = 4 * time.Second // idle inside a transaction
)

// Config says where the database is.
type Config struct {
	URL      string     // address of the database; the role is set on each connection
	Role     Role       // App unless said otherwise
	MaxConns int32      // 0: 8
	IDs      domain.IDs // makes ids of erasable texts; needed to write
	Late     bool       // commits reach the disk a moment later, in their order: for filling a demo alone
}

// Store is a pool of connections under one role.
type Store struct {
	pool *pgxpool.Pool
	ids  domain.IDs
	role Role
}

// Open makes the pool and tries one connection. The caller closes it.
func Open(ctx context.Context, c Config) (*Store, error) {
	pc, err := pgxpool.ParseConfig(c.URL)
	if err != nil {
		return nil, fmt.Errorf("store: address of the database: %w", withoutAddress(err))
	}
	if c.Role == "" {
		c.Role = App
	}
	for name, value := range settings(c.Role) {
		pc.ConnConfig.RuntimeParams[name] = value
	}
	if c.Late {
		pc.ConnConfig.RuntimeParams["synchronous_commit"] = "off"
	}
	pc.MaxConns = max(c.MaxConns, 0)
	if c.MaxConns == 0 {
		pc.MaxConns = 8
	}
	pc.ConnConfig.ConnectTimeout = 5 * time.Second
	pool, err := pgxpool.NewWithConfig(ctx, pc)
	if err != nil {
		return nil, mapError(err)
	}
	if err := pool.Ping(ctx); err != nil {
		pool.Close()
		return nil, mapError(err)
	}
	return &Store{pool: pool, ids: c.IDs, role: c.Role}, nil
}

// settings are the parameters of a connection under a role.
func settings(role Role) map[string]string {
	ms := func(d time.Duration) string { return fmt.Sprint(d.Milliseconds()) }
	return map[string]string{
		"role":                                string(role),
		"timezone":                            "UTC",
		"application_name":                    "rillmark",
		"lock_timeout":                        ms(LockTimeout),
		"statement_timeout":                   ms(StatementTimeout),
		"idle_in_transaction_session_timeout": ms(IdleTimeout),
	}
}

// Close ends the pool; of no store it does nothing.
func (s *Store) Close() {
	if s != nil {
		s.pool.Close()
	}
}

// Ping asks the database whether it is there.
func (s *Store) Ping(ctx context.Context) error { return mapError(s.pool.Ping(ctx)) }
