package storetest

import (
	"context"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"

	"github.com/jackc/pgx/v5"

	"rillmark/service/privatepg"
	"rillmark/service/store"
)

// Cluster is a server with the migrated template. Most tests need only Clone and Shared,
// which use the package's own; a test that kills its server makes one for itself.
type Cluster struct {
	admin    string // address of the superuser, to the database postgres
	template string
	clones   atomic.Int64

	dir    string // empty: somebody else's server
	config privatepg.Config
	server *privatepg.Server

	sharedOnce sync.Once
	sharedDB   DB
	sharedErr  error
}

// NewCluster starts a cluster for one test, flushing to disk as in earnest when durable.
func NewCluster(t testing.TB, durable bool) *Cluster {
	t.Helper()
	c, err := newCluster(t.Context(), durable)
	if err != nil {
		giveUp(t, err)
	}
	t.Cleanup(func() {
		if err := c.stop(); err != nil {
			t.Errorf("stop the cluster: %v", err)
		}
	})
	return c
}

func newCluster(ctx context.Context, durable bool) (*Cluster, error) {
	c := &Cluster{}
	var err error
	if c.dir, err = makePlace(durable); err != nil {
		return nil, err
	}
	c.config = privatepg.Config{Dir: filepath.Join(c.dir, "cluster"), Environ: os.Environ(), Hasty: true,
		Settings: []string{"max_connections=300"}}
	if !durable {
		c.config.Settings = append(c.config.Settings, privatepg.HastySettings()...)
	}
	if c.server, err = privatepg.Start(ctx, c.config); err != nil {
		return nil, errors.Join(err, os.RemoveAll(c.dir))
	}
	c.admin = c.server.URL("postgres")
	if err := c.prepare(ctx); err != nil {
		return nil, errors.Join(err, c.stop())
	}
	return c, nil
}

// outside uses a server that is there.
func outside(ctx context.Context, address string) (*Cluster, error) {
	c := &Cluster{admin: address}
	return c, c.prepare(ctx)
}

// stop ends the cluster and removes its folder; somebody else's server is left alone.
func (c *Cluster) stop() error {
	if c.server == nil {
		return nil
	}
	return errors.Join(c.server.Stop(), os.RemoveAll(c.dir))
}

// Kill ends the server's first process with SIGKILL, as a power cut would, and waits
// until it is gone.
func (c *Cluster) Kill(t testing.TB) {
	t.Helper()
	if c.server == nil {
		t.Fatal("storetest: a test that kills its server needs one of its own")
	}
	if err := syscall.Kill(c.server.PID(), syscall.SIGKILL); err != nil {
		t.Fatal(err)
	}
	<-c.server.Done()
	_ = c.server.Stop() // says that it was killed
}

// Restart starts the killed server again; addresses stay as they were.
func (c *Cluster) Restart(t testing.TB) {
	t.Helper()
	server, err := privatepg.Start(t.Context(), c.config)
	if err != nil {
		t.Fatalf("restart: %v", err)
	}
	c.server = server
}

// Clone returns a new database, dropped after the test.
func (c *Cluster) Clone(t testing.TB) DB {
	t.Helper()
	name := fmt.Sprintf("test_%d_%d", os.Getpid(), c.clones.Add(1))
	db, err := c.clone(t.Context(), name)
	if err != nil {
		t.Fatalf("clone: %v", err)
	}
	t.Cleanup(func() {
		if err := c.drop(context.Background(), name); err != nil {
			t.Errorf("drop %s: %v", name, err)
		}
	})
	return db
}

// shared returns the one clone of the readers; it goes with the cluster, and is dropped
// at the end where the server is somebody else's.
func (c *Cluster) shared(t testing.TB) DB {
	t.Helper()
	c.sharedOnce.Do(func() {
		c.sharedDB, c.sharedErr = c.clone(context.Background(), c.sharedName())
	})
	if c.sharedErr != nil {
		t.Fatalf("shared clone: %v", c.sharedErr)
	}
	return c.sharedDB
}

func (c *Cluster) sharedName() string { return fmt.Sprintf("test_%d_shared", os.Getpid()) }

// clone copies the template's files: with fsync off that is quicker than copying through
// the log (measured). A copy does not take over who may connect.
func (c *Cluster) clone(ctx context.Context, name string) (DB, error) {
	id := pgx.Identifier{name}.Sanitize()
	err := c.run(ctx,
		fmt.Sprintf("CREATE DATABASE %s TEMPLATE %s STRATEGY file_copy OWNER %s", id, pgx.Identifier{c.template}.Sanitize(), store.Owner),
		fmt.Sprintf("REVOKE CONNECT, TEMPORARY ON DATABASE %s FROM PUBLIC", id),
		fmt.Sprintf("GRANT CONNECT ON DATABASE %s TO %s, %s, %s", id, store.App, store.Portal, store.Reader))
	return DB{URL: c.address(name)}, err
}

func (c *Cluster) drop(ctx context.Context, name string) error {
	return c.run(ctx, "DROP DATABASE IF EXISTS "+pgx.Identifier{name}.Sanitize()+" WITH (FORCE)")
}

func (c *Cluster) address(database string) string {
	u, err := url.Parse(c.admin)
	if err != nil {
		panic("storetest: " + outsideServer + " is not an address") // pgx read it before
	}
	u.Path = "/" + database
	return u.String()
}

func (c *Cluster) run(ctx context.Context, statements ...string) error {
	conn, err := pgx.Connect(ctx, c.admin)
	if err != nil {
		return err
	}
	defer conn.Close(context.WithoutCancel(ctx))
	for _, s := range statements {
		if _, err := conn.Exec(ctx, s); err != nil {
			return fmt.Errorf("%s: %w", s, err)
		}
	}
	return nil
}
