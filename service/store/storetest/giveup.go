package storetest

import (
	"os"
	"testing"

	"rillmark/calc/fault"
)

// giveUp skips on a machine that has no PostgreSQL, and fails for any other reason and
// wherever changes are checked: a suite that silently tests nothing is worse than none.
func giveUp(t testing.TB, err error) {
	t.Helper()
	f, found := fault.Of(err)
	if found && f.Code.Name() == "privatepg.no-programs" && os.Getenv("CI") != "true" {
		t.Skipf("no PostgreSQL on this machine (apt-get install postgresql): %v", err)
	}
	t.Fatalf("storetest: %v", err)
}
