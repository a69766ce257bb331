package privatepg

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"time"

	"github.com/jackc/pgx/v5"
)

// create makes the cluster when there is none. It is made under another name and renamed
// when whole: a start that was killed half-way leaves nothing that looks like a cluster.
func create(ctx context.Context, cfg Config, f folder, a account, p Programs) (fresh bool, err error) {
	if f.major() != 0 {
		return false, nil
	}
	if err := removeHalfMade(f); err != nil {
		return false, f.unusable(err)
	}
	if err := removeEmptyData(f); err != nil {
		return false, err
	}
	if err := os.Mkdir(f.making(), 0o700); err != nil {
		return false, f.unusable(err)
	}
	if err := a.own(f.making()); err != nil {
		return false, f.unusable(err)
	}
	if err := runInitdb(ctx, cfg, f, a, p); err != nil {
		_ = removeHalfMade(f)
		return false, err
	}
	if err := os.Rename(f.making(), f.data()); err != nil {
		return false, f.unusable(err)
	}
	return true, flush(f.dir)
}

// removeHalfMade removes what a killed start left behind. The killed initdb's last child
// may still be writing, hence the tries.
func removeHalfMade(f folder) (err error) {
	for range 20 {
		if err = os.RemoveAll(f.making()); err == nil {
			return nil
		}
		time.Sleep(50 * time.Millisecond)
	}
	return err
}

// removeEmptyData makes room for the rename. A data folder without PG_VERSION that holds
// something is not ours to judge.
func removeEmptyData(f folder) error {
	if err := os.Remove(f.data()); err != nil && !os.IsNotExist(err) {
		return because(notWhole.At("", f.data()), err)
	}
	return nil
}

func runInitdb(ctx context.Context, cfg Config, f folder, a account, p Programs) error {
	args := []string{"-D", f.making(), "-U", Superuser, "-A", "trust", "-E", "UTF8",
		"--locale=C.UTF-8", "--no-instructions"}
	if cfg.Hasty {
		args = append(args, "--no-sync")
	}
	c := exec.CommandContext(ctx, filepath.Join(p.Dir, "initdb"), args...)
	var said bytes.Buffer
	c.Stdout, c.Stderr = &said, &said
	c.Dir, c.Env = f.run(), childEnv(cfg.Environ)
	c.SysProcAttr = diesWithUs(a, false)
	child, err := launch(c)
	if err == nil {
		<-child.done
		err = child.err
	}
	switch {
	case err == nil:
		return nil
	case isDiskFull(err, said.String()):
		return because(diskFull.At("", f.dir), said.String())
	}
	return because(notMade.At("", f.dir), err.Error()+"\n"+said.String())
}

// flush makes the rename last through a power cut.
func flush(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	defer d.Close()
	return d.Sync()
}

// ensureDatabase makes the database when it is missing, not only in a fresh cluster: the
// program may have been killed between the two.
func ensureDatabase(ctx context.Context, superURL, name string) error {
	if name == "" {
		return nil
	}
	c, err := pgx.Connect(ctx, superURL)
	if err != nil {
		return err
	}
	defer c.Close(ctx)
	var there bool
	if err := c.QueryRow(ctx, `SELECT EXISTS (SELECT FROM pg_database WHERE datname = $1)`, name).Scan(&there); err != nil || there {
		return err
	}
	_, err = c.Exec(ctx, `CREATE DATABASE `+pgx.Identifier{name}.Sanitize())
	return err
}
