package privatepg

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"rillmark/calc/fault"
)

func write(t *testing.T, path, text string, mode os.FileMode) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(text), mode); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(path, mode); err != nil {
		t.Fatal(err)
	}
}

func TestFolderThatIsNotOursIsRefusedAndLeftAlone(t *testing.T) {
	needPrograms(t)
	for name, c := range map[string]struct {
		prepare func(dir string)
		want    *fault.Code
	}{
		"somebody's letters": {func(dir string) { write(t, filepath.Join(dir, "letter.txt"), "dear", 0o644) }, folderForeign},
		"a bare cluster":     {func(dir string) { write(t, filepath.Join(dir, "PG_VERSION"), "15\n", 0o644) }, folderForeign},
		"a file":             {func(dir string) { write(t, dir, "text", 0o644) }, folderUnusable},
		"below a file": {func(dir string) {
			write(t, filepath.Dir(dir), "text", 0o644)
		}, folderUnusable},
	} {
		t.Run(name, func(t *testing.T) {
			dir := filepath.Join(place(t), "parent", "cluster")
			c.prepare(dir)
			_, err := Start(t.Context(), quick(dir))
			wantFault(t, err, c.want)
			if _, err := os.Lstat(filepath.Join(dir, markName)); err == nil {
				t.Error("the mark was written into a foreign folder")
			}
		})
	}
	_, err := Start(t.Context(), quick(""))
	wantFault(t, err, folderNeeded)
}

func TestHalfMadeClusterIsMadeAnew(t *testing.T) {
	needPrograms(t)
	dir := filepath.Join(place(t), "deep", "cluster")
	write(t, filepath.Join(dir, markName), markText, 0o644)
	write(t, filepath.Join(dir, "data.new", "PG_VERSION"), "15\n", 0o600)
	write(t, filepath.Join(dir, "data.new", "base", "1", "1259"), "torn", 0o600)
	s := start(t, quick(dir))
	if !s.Fresh {
		t.Error("the half-made cluster was taken for a whole one")
	}
	if _, err := os.Stat(filepath.Join(dir, "data.new")); err == nil {
		t.Error("the half-made cluster is still there")
	}
}

func TestDataFolderWithoutItsVersionIsNotTouched(t *testing.T) {
	needPrograms(t)
	dir := filepath.Join(place(t), "cluster")
	write(t, filepath.Join(dir, markName), "", 0o644)
	kept := filepath.Join(dir, "data", "base", "1", "1259")
	write(t, kept, "rows", 0o600)
	if a, ok := lookUpAccount("nobody"); ok && os.Geteuid() == 0 {
		if err := a.own(filepath.Join(dir, "data")); err != nil {
			t.Fatal(err)
		}
	}
	_, err := Start(t.Context(), quick(dir))
	wantFault(t, err, notWhole)
	if _, err := os.Stat(kept); err != nil {
		t.Errorf("data was removed: %v", err)
	}
}

func TestFullDiskIsNamed(t *testing.T) {
	dir := filepath.Join(place(t), "cluster")
	programs := filepath.Join(place(t), "bin")
	fakePrograms(t, programs, "postgres (PostgreSQL) 15.1")
	write(t, filepath.Join(programs, "initdb"),
		"#!/bin/sh\necho 'initdb: error: could not write to file \"x\": No space left on device' >&2\nexit 1\n", 0o755)
	cfg := quick(dir)
	cfg.Programs = programs
	_, err := Start(t.Context(), cfg)
	wantFault(t, err, diskFull)
	if _, err := os.Stat(filepath.Join(dir, "data.new")); err == nil {
		t.Error("the failed try is still there and still fills the disk")
	}
	f := folder{dir}
	for name, c := range map[string]struct {
		err  error
		want *fault.Code
	}{
		"system call": {&os.PathError{Op: "mkdir", Path: dir, Err: syscall.ENOSPC}, diskFull},
		"quota":       {fmt.Errorf("write: %w", syscall.EDQUOT), diskFull},
		"other":       {errors.New("x"), folderUnusable},
	} {
		t.Run(name, func(t *testing.T) { wantFault(t, f.unusable(c.err), c.want) })
	}
	wantFault(t, f.explain(errors.New("exit status 1"), "PANIC: could not write: No space left on device"), diskFull)
}

func TestFailedInitdbIsNamed(t *testing.T) {
	programs := filepath.Join(place(t), "bin")
	fakePrograms(t, programs, "postgres (PostgreSQL) 15.1")
	cfg := quick(filepath.Join(place(t), "cluster"))
	cfg.Programs = programs
	_, err := Start(t.Context(), cfg)
	wantFault(t, err, notMade)
	if !strings.Contains(err.Error(), "fake initdb") {
		t.Errorf("what initdb said is lost: %v", err)
	}
}

func TestPathTooLongForASocket(t *testing.T) {
	needPrograms(t)
	dir := filepath.Join(place(t), strings.Repeat("long", 20), strings.Repeat("path", 20))
	if err := os.MkdirAll(filepath.Dir(dir), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(cluster(t), dir); err != nil {
		t.Fatal(err)
	}
	s := start(t, quick(dir))
	if len(s.socket)+len(socketFile) > longestSocket || s.socket == s.folder.run() {
		t.Errorf("socket in %s", s.socket)
	}
	if got := ask(t, s.URL("rows"), `SELECT 'here'::text`); got != "here" {
		t.Errorf("said %q", got)
	}
	if err := s.Stop(); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(s.socket); err == nil {
		t.Errorf("%s is left behind", s.socket)
	}
}
