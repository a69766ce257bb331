package privatepg

import (
	"os"
	"path/filepath"
	"testing"

	"rillmark/calc/fault"
)

// fakePrograms writes a postgres that knows nothing but its version and an initdb that fails.
func fakePrograms(t *testing.T, dir, version string) {
	t.Helper()
	write(t, filepath.Join(dir, "postgres"), "#!/bin/sh\necho '"+version+"'\n", 0o755)
	write(t, filepath.Join(dir, "initdb"), "#!/bin/sh\necho fake initdb\nexit 1\n", 0o755)
}

// shelf is a folder with several versions side by side.
func shelf(t *testing.T) string {
	t.Helper()
	dir := place(t)
	for sub, version := range map[string]string{
		"14/bin": "postgres (PostgreSQL) 14.2", "16/bin": "postgres (PostgreSQL) 16.1",
		"9.6/bin": "postgres (PostgreSQL) 9.6.1", "17/bin": "postgres (PostgreSQL) 17.0",
		"broken/bin": "no version here", "native/native/bin": "postgres (PostgreSQL) 18.4",
	} {
		fakePrograms(t, filepath.Join(dir, sub), version)
	}
	write(t, filepath.Join(dir, "client/bin/postgres"), "#!/bin/sh\n", 0o755) // no initdb
	return dir
}

func madeBy(t *testing.T, major string) folder {
	t.Helper()
	f := folder{place(t)}
	if major != "" {
		write(t, filepath.Join(f.data(), "PG_VERSION"), major+"\n", 0o600)
	}
	return f
}

func TestFindNamedFolder(t *testing.T) {
	dir := shelf(t)
	for name, c := range map[string]struct {
		named, made, want string
		code              *fault.Code
	}{
		"the programs' own folder": {named: "16/bin", want: "16/bin"},
		"the folder above":         {named: "16", want: "16/bin"},
		"unpacked npm package":     {named: "native", want: "native/native/bin"},
		"of the cluster's version": {named: "17", made: "17", want: "17/bin"},
		"of another version":       {named: "17", made: "16", code: wrongMajor},
		"too old":                  {named: "14", code: tooOld},
		"much too old":             {named: "9.6", code: tooOld},
		"no initdb":                {named: "client", code: notPrograms},
		"nothing there":            {named: "nothing", code: notPrograms},
		"programs that fail":       {named: "broken", code: programsFailing},
	} {
		t.Run(name, func(t *testing.T) {
			p, err := find(t.Context(), Config{Programs: filepath.Join(dir, c.named)}, madeBy(t, c.made))
			checkFound(t, dir, p, err, c.want, c.code)
		})
	}
}

func checkFound(t *testing.T, dir string, p Programs, err error, want string, code *fault.Code) {
	t.Helper()
	if code != nil {
		wantFault(t, err, code)
		return
	}
	if err != nil || p.Dir != filepath.Join(dir, want) {
		t.Errorf("found %+v, %v; want %s", p, err, want)
	}
}

func TestFindAmongUsualPlaces(t *testing.T) {
	dir := shelf(t)
	all := func(subs ...string) (dirs []string) {
		for _, s := range subs {
			dirs = append(dirs, filepath.Join(dir, s))
		}
		return dirs
	}
	for name, c := range map[string]struct {
		groups     [][]string
		made, want string
		code       *fault.Code
	}{
		"newest":                     {groups: [][]string{all("16/bin", "17/bin", "14/bin")}, want: "17/bin"},
		"the cluster's own version":  {groups: [][]string{all("16/bin", "17/bin")}, made: "16", want: "16/bin"},
		"usual place before PATH":    {groups: [][]string{all("16/bin"), all("17/bin")}, want: "16/bin"},
		"PATH when the usual is old": {groups: [][]string{all("14/bin"), all("17/bin")}, want: "17/bin"},
		"broken ones are passed by":  {groups: [][]string{all("broken/bin", "client/bin", "16/bin")}, want: "16/bin"},
		"all too old":                {groups: [][]string{all("14/bin", "9.6/bin")}, code: tooOld},
		"version is not there":       {groups: [][]string{all("16/bin")}, made: "17", code: noSuchMajor},
		"nothing":                    {code: noPrograms},
		"relative folder of PATH":    {groups: [][]string{{"bin"}}, code: noPrograms},
	} {
		t.Run(name, func(t *testing.T) {
			p, err := findAmong(t.Context(), Config{}, madeBy(t, c.made), c.groups...)
			checkFound(t, dir, p, err, c.want, c.code)
		})
	}
}

// A distribution may link postgres alone into PATH; initdb is then beside the link's target.
func TestSearchPathFollowsLinks(t *testing.T) {
	dir := shelf(t)
	link := filepath.Join(dir, "links", "postgres")
	write(t, filepath.Join(dir, "links", "other"), "", 0o644)
	if err := os.Symlink(filepath.Join(dir, "16/bin/postgres"), link); err != nil {
		t.Fatal(err)
	}
	got := searchPath([]string{"PATH=:" + filepath.Join(dir, "nowhere") + ":" + filepath.Dir(link)})
	if len(got) != 1 || got[0] != filepath.Join(dir, "16/bin") {
		t.Errorf("found %q", got)
	}
}
