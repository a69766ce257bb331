package main

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"

	"rillmark/service/store"
	"rillmark/service/store/storetest"
)

// A server's life from an empty machine: roles and database, migrations, the first
// administrator, serving, verifying; then down and up again.
func TestFromNothingToAServer(t *testing.T) {
	admin := emptyDatabase(t, "from_nothing")
	dropAfter(t, storetest.Shared(t).Connect(t, ""), "in_earnest")
	url := strings.Replace(admin, "/from_nothing", "/in_earnest", 1)
	secret := writeFile(t, filepath.Join(t.TempDir(), "secret"), "not asked for on a socket\n")
	environ := []string{"RILLMARK_ADMIN_DATABASE_URL=" + admin, "RILLMARK_DATABASE_URL=" + url,
		"RILLMARK_OWNER_DATABASE_URL=" + url, "RILLMARK_OWNER_PASSWORD_FILE=" + secret}
	latest, err := latestMigration()
	if err != nil {
		t.Fatal(err)
	}
	newest := strconv.Itoa(latest)
	for _, step := range []struct {
		stdin string
		args  string
		code  int
		want  []string
	}{
		{"", "database init", exitDone, []string{"in_earnest"}},
		{"", "database init", exitDone, []string{"in_earnest"}}, // again
		{"", "serve --listen 127.0.0.1:0 --owner-database-url=", exitFailed, []string{newest}},
		{"", "migrate version", exitDone, []string{"database 0", "program " + newest}},
		{"", "migrate up", exitDone, []string{"from migration 0 to " + newest}},
		{"", "migrate up", exitDone, []string{"at migration " + newest}},
		{"short\n", "person add --login chief --name Chief --role administrator --password-file -", exitFailed, nil},
		{"a long enough one\n", "person add --login chief --name Chief --role administrator --password-file -", exitDone, []string{"chief"}},
		{"a long enough one\n", "person add --login chief --name Other --role administrator --password-file -", exitFailed, nil},
		{"a long enough one\n", "person add --login other --name Other --role emperor --password-file -", exitFailed, []string{"emperor"}},
		{"", "audit verify", exitDone, []string{"newest event 1", "whole"}},
		{"", "migrate down --lose-data", exitDone, []string{"back to " + strconv.Itoa(latest-1)}},
		{"", "serve --listen 127.0.0.1:0 --owner-database-url=", exitFailed, []string{newest}},
		{"", "migrate up", exitDone, []string{"to " + newest}},
	} {
		code, got := inside(t, environ, step.stdin, strings.Fields(step.args)...)
		t.Log(step.args)
		wantRun(t, code, got, step.code, step.want...)
	}
	serves(t, environ)
}

func serves(t *testing.T, environ []string) {
	t.Helper()
	for _, e := range environ {
		name, value, _ := strings.Cut(e, "=")
		t.Setenv(name, value)
	}
	p := identity{}.ready(t, "serve", "--listen", "127.0.0.1:0")
	wantHealthy(t, p.address)
	second := identity{}.ready(t, "serve", "--listen", "127.0.0.1:0") // two instances side by side
	wantHealthy(t, second.address)
	identity{}.refused(t, []string{strings.TrimPrefix(p.address, "http://")}, "serve", "--listen", strings.TrimPrefix(p.address, "http://"))
	code, got := inside(t, os.Environ(), "", "health", "--listen", strings.TrimPrefix(p.address, "http://"))
	wantRun(t, code, got, exitDone, "ok")
	for _, i := range []*instance{p, second} {
		if code := i.end(t, syscall.SIGTERM); code != exitDone {
			t.Errorf("ended with %d\n%s", code, i.stderr)
		}
	}
}

func TestAuditVerifyTellsABrokenTrail(t *testing.T) {
	db := storetest.Clone(t)
	addPerson(t, db.URL)
	conn := db.Connect(t, "")
	for _, sql := range []string{"ALTER TABLE audit.event DISABLE TRIGGER ALL",
		"UPDATE audit.event SET payload = replace(payload, 'person.add', 'person.and')"} {
		if _, err := conn.Exec(t.Context(), sql); err != nil {
			t.Fatal(err)
		}
	}
	code, got := inside(t, nil, "", "audit", "verify", "--database-url", db.URL)
	wantRun(t, code, got, exitFailed, "event 1: hash")
}

func TestServeWithoutADatabase(t *testing.T) {
	code, got := inside(t, nil, "", "serve", "--listen", "127.0.0.1:0", "--database-url", "postgres://nobody@127.0.0.1:1/none")
	wantRun(t, code, got, exitFailed)
	if strings.Contains(got.out, "ready") {
		t.Error("it says ready")
	}
}

// A database of a newer program is not touched.
func TestServeOnADatabaseFromTheFuture(t *testing.T) {
	db := storetest.Clone(t)
	latest, err := latestMigration()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := db.Connect(t, "").Exec(t.Context(), "INSERT INTO migration (number) VALUES ($1)", latest+1); err != nil {
		t.Fatal(err)
	}
	code, got := inside(t, nil, "", "serve", "--listen", "127.0.0.1:0", "--database-url", db.URL)
	wantRun(t, code, got, exitFailed, strconv.Itoa(latest+1))
	if standing, err := store.StandingOf(t.Context(), db.URL); err != nil || standing != store.Somebody {
		t.Errorf("stands as %v, %v", standing, err)
	}
}
