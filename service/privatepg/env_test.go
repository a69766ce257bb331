package privatepg

import (
	"slices"
	"testing"
)

func TestChildEnvKeepsOnlyWhatFindsPrograms(t *testing.T) {
	got := childEnv([]string{"PATH=/a", "PGDATA=/b", "LANG=de_DE", "LC_ALL=tr_TR", "TZ=Asia/Kathmandu",
		"LD_LIBRARY_PATH=/lib", "SECRET=1", "PATH=/c"})
	want := []string{"LC_ALL=C.UTF-8", "TZ=UTC", "PATH=/c", "LD_LIBRARY_PATH=/lib"}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}
