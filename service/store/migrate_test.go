package store_test

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	osexec "os/exec"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/fstest"
	"time"

	"github.com/jackc/pgx/v5"

	"rillmark/migrations"
	"rillmark/service/store"
	"rillmark/service/store/storetest"
)

// newestMigration is the number of the last pair.
func newestMigration(t *testing.T) int {
	t.Helper()
	names, err := fs.Glob(migrations.Files, "*.up.sql")
	if err != nil || len(names) == 0 {
		t.Fatalf("no migrations: %v", err)
	}
	return len(names)
}

// filesUpTo are the first pairs, and further files.
func filesUpTo(t *testing.T, last int, further map[string]string) fs.FS {
	t.Helper()
	files := fstest.MapFS{}
	names, err := fs.Glob(migrations.Files, "*.sql")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		if name[:4] > fmt.Sprintf("%04d", last) {
			continue
		}
		text, err := fs.ReadFile(migrations.Files, name)
		if err != nil {
			t.Fatal(err)
		}
		files[name] = &fstest.MapFile{Data: text}
	}
	for name, text := range further {
		files[name] = &fstest.MapFile{Data: []byte(text)}
	}
	return files
}

func TestMigrationsArePairsInARow(t *testing.T) {
	t.Parallel()
	names, err := fs.Glob(migrations.Files, "*.sql")
	if err != nil {
		t.Fatal(err)
	}
	ups := 0
	for _, name := range names {
		text, err := fs.ReadFile(migrations.Files, name)
		if err != nil {
			t.Fatal(err)
		}
		if strings.Contains(string(text), "CONCURRENTLY") {
			t.Errorf("%s: an index built concurrently deadlocks with an instance that waits for the migration", name)
		}
		if !strings.HasSuffix(name, ".up.sql") {
			continue
		}
		ups++
		if _, err := fs.ReadFile(migrations.Files, strings.Replace(name, ".up.", ".down.", 1)); err != nil {
			t.Errorf("%s has no way down: %v", name, err)
		}
		last := fmt.Sprintf("INSERT INTO migration (number) VALUES (%d);", ups)
		if !strings.HasPrefix(name, fmt.Sprintf("%04d_", ups)) || !strings.HasSuffix(strings.TrimSpace(string(text)), last) {
			t.Errorf("%s: want number %d and as its last statement %s", name, ups, last)
		}
	}
}

// Each step down leads back to what the steps up had made, and up again to the same.
func TestEachMigrationGoesDownAndUpAgain(t *testing.T) {
	t.Parallel()
	last := newestMigration(t)
	db := emptyDatabase(t)
	at := []string{schemaOf(t, db)}
	for n := 1; n <= last; n++ {
		if done, err := store.MigrateUpFrom(t.Context(), db.URL, filesUpTo(t, n, nil)); err != nil || done.From != n-1 || done.To != n {
			t.Fatalf("up to %d: %+v, %v", n, done, err)
		}
		at = append(at, schemaOf(t, db))
		if at[n] == at[n-1] {
			t.Errorf("migration %d changes nothing", n)
		}
	}
	for n := last - 1; n >= 0; n-- {
		if done, err := store.MigrateDown(t.Context(), db.URL, 1); err != nil || done.From != n+1 || done.To != n {
			t.Fatalf("down to %d: %+v, %v", n, done, err)
		}
		if diff := firstDifference(at[n], schemaOf(t, db)); diff != "" {
			t.Errorf("after the step down to %d: %s", n, diff)
		}
	}
	if _, err := store.MigrateUp(t.Context(), db.URL); err != nil {
		t.Fatal(err)
	}
	if diff := firstDifference(at[last], schemaOf(t, db)); diff != "" {
		t.Errorf("up, down, up: %s", diff)
	}
}

func TestMigrateDownRefusesMoreThanIsThere(t *testing.T) {
	t.Parallel()
	db := storetest.Clone(t)
	before := schemaOf(t, db)
	if _, err := store.MigrateDown(t.Context(), db.URL, newestMigration(t)+1); err == nil {
		t.Error("no error")
	}
	if schemaOf(t, db) != before {
		t.Error("it went down all the same")
	}
}

func TestMigrateUpTwiceDoesNothing(t *testing.T) {
	t.Parallel()
	db := storetest.Clone(t)
	last := newestMigration(t)
	done, err := store.MigrateUp(t.Context(), db.URL)
	if err != nil || done != (store.Migrated{From: last, To: last}) {
		t.Errorf("%+v, %v", done, err)
	}
	at, dirty, latest, err := store.MigrationVersion(t.Context(), db.URL)
	if at != last || dirty || latest != last || err != nil {
		t.Errorf("version %d, half done %v, newest %d, %v", at, dirty, latest, err)
	}
}

func TestInstancesThatStartTogetherAllComeUp(t *testing.T) {
	t.Parallel()
	admin := storetest.Shared(t).URL
	name := fmt.Sprintf("together_%d", os.Getpid())
	t.Cleanup(func() { drop(t, admin, name) })
	var all sync.WaitGroup
	errs := make([]error, 4)
	for i := range errs {
		all.Go(func() {
			if errs[i] = store.Init(t.Context(), admin, name, nil); errs[i] == nil {
				_, errs[i] = store.MigrateUp(t.Context(), addressOf(t, admin, name))
			}
		})
	}
	all.Wait()
	for i, err := range errs {
		if err != nil {
			t.Errorf("instance %d: %v", i, err)
		}
	}
	db := storetest.DB{URL: addressOf(t, admin, name)}
	if n := one[int](t, db, "SELECT count(*) FROM migration WHERE file IS NOT NULL"); n != newestMigration(t) {
		t.Errorf("%d migrations recorded", n)
	}
	if diff := firstDifference(schemaOf(t, storetest.Shared(t)), schemaOf(t, db)); diff != "" {
		t.Error(diff)
	}
}

// A migrator that is killed leaves its mark half done. Whether the migration had finished
// is told by our record alone, so both cases are made: once the server does the work to its
// end although nobody waits for it any more, once the server process is ended too.
func TestKilledMigrationIsToldAndMended(t *testing.T) {
	t.Parallel()
	last := newestMigration(t)
	for name, c := range map[string]struct {
		endServer bool
		finished  int
	}{"server finishes the work": {false, 1}, "server process ended too": {true, 0}} {
		t.Run(name, func(t *testing.T) {
			db := storetest.Clone(t)
			if _, err := store.MigrateDown(t.Context(), db.URL, 1); err != nil {
				t.Fatal(err)
			}
			release := stopMigration(t, db, last)
			child := osexec.Command(os.Args[0], db.URL)
			child.Env = append(os.Environ(), childTask+"=migrate")
			if err := child.Start(); err != nil {
				t.Fatal(err)
			}
			backend := waitForBlocked(t, db)
			if err := child.Process.Kill(); err != nil {
				t.Fatal(err)
			}
			_ = child.Wait() // says that it was killed
			if c.endServer {
				exec(t, db, fmt.Sprintf("SELECT pg_terminate_backend(%d, 5000)", backend))
			}
			release()
			waitGone(t, db, backend)
			at, dirty, _, err := store.MigrationVersion(t.Context(), db.URL)
			if at != last || !dirty || err != nil {
				t.Fatalf("told as %d, half done %v, %v", at, dirty, err)
			}
			if n := one[int](t, db, "SELECT count(*) FROM migration WHERE number = $1", last); n != c.finished {
				t.Fatalf("finished %d times, want %d", n, c.finished)
			}
			mended(t, db, last)
		})
	}
}

// A second instance waits for the server process of the killed first one.
func TestNextInstanceWaitsForTheKilledOnesServerProcess(t *testing.T) {
	t.Parallel()
	last := newestMigration(t)
	db := storetest.Clone(t)
	if _, err := store.MigrateDown(t.Context(), db.URL, 1); err != nil {
		t.Fatal(err)
	}
	release := stopMigration(t, db, last)
	child := osexec.Command(os.Args[0], db.URL)
	child.Env = append(os.Environ(), childTask+"=migrate")
	if err := child.Start(); err != nil {
		t.Fatal(err)
	}
	waitForBlocked(t, db)
	if err := child.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	_ = child.Wait() // says that it was killed
	second := make(chan error, 1)
	go func() {
		_, err := store.MigrateUp(context.WithoutCancel(t.Context()), db.URL)
		second <- err
	}()
	time.Sleep(300 * time.Millisecond) // it would have failed by now
	release()
	if err := <-second; err != nil {
		t.Error(err)
	}
	if diff := firstDifference(schemaOf(t, storetest.Shared(t)), schemaOf(t, db)); diff != "" {
		t.Error(diff)
	}
}

func mended(t *testing.T, db storetest.DB, number int) {
	t.Helper()
	done, err := store.MigrateUp(t.Context(), db.URL)
	if err != nil || done.Mended != number || done.To != newestMigration(t) {
		t.Errorf("mended %+v, %v; want number %d", done, err, number)
	}
	if diff := firstDifference(schemaOf(t, storetest.Shared(t)), schemaOf(t, db)); diff != "" {
		t.Errorf("mended, yet %s", diff)
	}
	if done, err := store.MigrateUp(t.Context(), db.URL); err != nil || done.Mended != 0 {
		t.Errorf("mended twice: %+v, %v", done, err)
	}
}

// stopMigration holds the row that a migration writes last, so that it stands still with
// all its work done.
func stopMigration(t *testing.T, db storetest.DB, number int) (release func()) {
	t.Helper()
	conn := db.Connect(t, "")
	tx, err := conn.Begin(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := tx.Exec(t.Context(), "INSERT INTO migration (number) VALUES ($1)", number); err != nil {
		t.Fatal(err)
	}
	return func() {
		if err := tx.Rollback(t.Context()); err != nil {
			t.Error(err)
		}
	}
}

// blocked finds who waits for another transaction's end, as one does that inserts a row
// which that one has inserted.
const blocked = `SELECT coalesce(max(pid), 0) FROM pg_stat_activity
	WHERE datname = current_database() AND wait_event = 'transactionid'`

func waitForBlocked(t *testing.T, db storetest.DB) (pid int) {
	t.Helper()
	conn := db.Connect(t, "")
	for range 1000 {
		if err := conn.QueryRow(t.Context(), blocked).Scan(&pid); err != nil {
			t.Fatal(err)
		}
		if pid != 0 {
			return pid
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Fatal("the migration did not come to the held row")
	return 0
}

func waitGone(t *testing.T, db storetest.DB, pid int) {
	t.Helper()
	conn := db.Connect(t, "")
	for range 1000 {
		var there bool
		if err := conn.QueryRow(t.Context(), "SELECT exists(SELECT FROM pg_stat_activity WHERE pid = $1)", pid).Scan(&there); err != nil {
			t.Fatal(err)
		}
		if !there {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Fatal("the killed migrator's server process is still there")
}

// Each way in which a mark can be left half done, by what our record says. Two migrations
// are enough to tell them apart.
func TestHalfDoneMarksAreMended(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		done   int // migrations that are truly there
		mark   int
		mended int
	}{
		"up, finished":                        {2, 2, 2},
		"up, unfinished":                      {1, 2, 2},
		"down, unfinished":                    {2, 1, 2},
		"down, finished":                      {1, 1, 1},
		"first up, unfinished":                {0, 1, 1},
		"down from the first one, finished":   {0, -1, 1},
		"down from the first one, unfinished": {1, -1, 1},
	} {
		t.Run(name, func(t *testing.T) {
			db := emptyDatabase(t)
			if c.done > 0 {
				if _, err := store.MigrateUpFrom(t.Context(), db.URL, filesUpTo(t, c.done, nil)); err != nil {
					t.Fatal(err)
				}
			} else if _, _, _, err := store.MigrationVersion(t.Context(), db.URL); err != nil { // makes the mark's table
				t.Fatal(err)
			}
			exec(t, db, fmt.Sprintf("TRUNCATE schema_migrations; INSERT INTO schema_migrations VALUES (%d, true)", c.mark))
			if _, dirty, _, err := store.MigrationVersion(t.Context(), db.URL); !dirty || err != nil {
				t.Errorf("not told as half done: %v", err)
			}
			done, err := store.MigrateUpFrom(t.Context(), db.URL, filesUpTo(t, 2, nil))
			if err != nil || done.Mended != c.mended || done.To != 2 {
				t.Errorf("mended %+v, %v; want number %d", done, err, c.mended)
			}
			if n := one[int](t, db, "SELECT count(*) FROM migration WHERE file IS NOT NULL"); n != 2 {
				t.Errorf("%d migrations recorded", n)
			}
		})
	}
}

func TestFailingMigrationLeavesNothingAndIsMended(t *testing.T) {
	t.Parallel()
	last := newestMigration(t)
	next := fmt.Sprintf("%04d_next", last+1)
	further := func(up string) fs.FS {
		return filesUpTo(t, last, map[string]string{next + ".down.sql": "DROP TABLE made_by_next; DELETE FROM migration WHERE number = " + fmt.Sprint(last+1),
			next + ".up.sql": up + fmt.Sprintf(";\nINSERT INTO migration (number) VALUES (%d);", last+1)})
	}
	db := storetest.Clone(t)
	before := schemaOf(t, db)
	for wrong, want := range map[string]string{
		"SELECT FROM nowhere":    `line 2: ERROR: relation "nowhere" does not exist (SQLSTATE 42P01)`,
		"CREATE TABLE client ()": `ERROR: relation "client" already exists (SQLSTATE 42P07)`,
	} {
		_, err := store.MigrateUpFrom(t.Context(), db.URL, further("CREATE TABLE made_by_next ();\n"+wrong))
		if want = fmt.Sprintf("store: migrate: migration %d: %s", last+1, want); err == nil || err.Error() != want {
			t.Errorf("want number, line and cause\n%s\ngot\n%v", want, err)
		}
		if diff := firstDifference(before, schemaOf(t, db)); diff != "" {
			t.Errorf("it left something: %s", diff)
		}
	}
	if _, dirty, _, err := store.MigrationVersion(t.Context(), db.URL); !dirty || err != nil {
		t.Errorf("not told as half done: %v", err)
	}
	done, err := store.MigrateUpFrom(t.Context(), db.URL, further("CREATE TABLE made_by_next ()"))
	if err != nil || done != (store.Migrated{From: last, To: last + 1, Mended: last + 1}) {
		t.Errorf("the mended file: %+v, %v", done, err)
	}

	_, err = store.MigrateUp(t.Context(), db.URL)
	if !errors.Is(err, store.ErrNewer) {
		t.Errorf("a program that is older than the database: %v", err)
	}
}

func TestDraftOfAMigrationIsTold(t *testing.T) {
	t.Parallel()
	db := emptyDatabase(t)
	last := newestMigration(t)
	draft := fmt.Sprintf("%04d_draft", last)
	files := filesUpTo(t, last-1, map[string]string{draft + ".up.sql": fmt.Sprintf("CREATE TABLE of_the_draft (); INSERT INTO migration (number) VALUES (%d);", last),
		draft + ".down.sql": "DROP TABLE of_the_draft"})
	if _, err := store.MigrateUpFrom(t.Context(), db.URL, files); err != nil {
		t.Fatal(err)
	}
	_, err := store.MigrateUp(t.Context(), db.URL)
	if !errors.Is(err, store.ErrDraft) || !strings.Contains(err.Error(), fmt.Sprintf("migration %d", last)) {
		t.Errorf("got %v", err)
	}
}

func TestInitCanBeRunAgain(t *testing.T) {
	t.Parallel()
	db := emptyDatabase(t)
	admin := storetest.Shared(t).URL
	conn, err := pgx.ParseConfig(db.URL)
	if err != nil {
		t.Fatal(err)
	}
	secret := `it's \ a "secret"`
	for range 2 {
		if err := store.Init(t.Context(), admin, conn.Database, store.Passwords{store.App: secret}); err != nil {
			t.Fatal(err)
		}
	}
	type role struct {
		Name       string
		Privileged bool
		Login      bool
	}
	rows, _ := db.Connect(t, "").Query(t.Context(), `SELECT rolname, rolsuper OR rolcreatedb OR rolcreaterole OR rolreplication OR rolbypassrls, rolcanlogin
		FROM pg_roles WHERE rolname LIKE 'rillmark\_%' ORDER BY rolname`)
	got, err := pgx.CollectRows(rows, pgx.RowToStructByPos[role])
	want := []role{{"rillmark_app", false, true}, {"rillmark_owner", false, true}, {"rillmark_portal", false, true}, {"rillmark_read", false, true}}
	if err != nil || !slices.Equal(got, want) {
		t.Errorf("roles %v, %v", got, err)
	}
	if !one[bool](t, db, `SELECT rolpassword LIKE 'SCRAM-SHA-256$%' FROM pg_authid WHERE rolname = 'rillmark_app'`) {
		t.Error("the password is not kept as a hash")
	}
	if set := one[string](t, db, "SELECT array_to_string(rolconfig, ' ') FROM pg_roles WHERE rolname = 'rillmark_app'"); !strings.Contains(set, "lock_timeout=") ||
		!strings.Contains(set, "statement_timeout=") || !strings.Contains(set, "idle_in_transaction_session_timeout=") {
		t.Errorf("the role's time-outs are %s", set)
	}
}

func TestInitTakesOverAnExistingDatabase(t *testing.T) {
	t.Parallel()
	admin := storetest.Shared(t).URL
	name := fmt.Sprintf("foreign_%d", os.Getpid())
	exec(t, storetest.Shared(t), "CREATE DATABASE "+name)
	t.Cleanup(func() { drop(t, admin, name) })
	if err := store.Init(t.Context(), admin, name, nil); err != nil {
		t.Fatal(err)
	}
	if _, err := store.MigrateUp(t.Context(), addressOf(t, admin, name)); err != nil {
		t.Error(err)
	}
}

func TestMigrateSaysWhatIsWrongWithTheAddress(t *testing.T) {
	t.Parallel()
	for name, address := range map[string]string{"nothing": "", "not an address": "host=/tmp dbname=x",
		"another kind": "mysql://u:hush@h/d", "malformed": "postgres://u:hush@h:port/d"} {
		_, err := store.MigrateUp(t.Context(), address)
		if err == nil || strings.Contains(err.Error(), "hush") {
			t.Errorf("%s: %v", name, err)
		}
	}
}
