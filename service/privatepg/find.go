package privatepg

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"sort"
	"strings"
)

// Programs is a folder that holds PostgreSQL's server programs. The zero value is invalid.
type Programs struct {
	Dir   string // holds initdb and postgres
	Major int    // what "postgres --version" says
}

// usualPlaces are where packages put the programs: Debian's, Red Hat's, a build's own
// default, and the two roots of Homebrew. Common practice, no source.
var usualPlaces = []string{
	"/usr/lib/postgresql/*/bin",
	"/usr/pgsql-*/bin",
	"/usr/local/pgsql/bin",
	"/opt/homebrew/opt/postgresql@*/bin",
	"/usr/local/opt/postgresql@*/bin",
}

// inside are where the programs are within a folder that a person names: the folder
// itself, its bin, or the unpacked npm package's native/bin.
var inside = []string{".", "bin", "native/bin"}

// find picks the programs: the folder named, else the newest of the usual places, else
// PATH, else what an earlier start fetched; of the major version that made the cluster when
// there is one already.
func find(ctx context.Context, cfg Config, f folder) (Programs, error) {
	if cfg.Programs != "" {
		return findNamed(ctx, cfg, f, f.major())
	}
	return findAmong(ctx, cfg, f, glob(usualPlaces), searchPath(cfg.Environ), kept(cfg.Keep))
}

// findAmong looks through groups of folders: an earlier group goes before a newer version.
func findAmong(ctx context.Context, cfg Config, f folder, groups ...[]string) (Programs, error) {
	made, oldest := f.major(), Programs{}
	for _, group := range groups {
		for _, p := range newestFirst(ctx, group, cfg.Environ) {
			if p.Major >= OldestMajor && (made == 0 || p.Major == made) {
				return p, nil
			}
			oldest = p
		}
	}
	switch {
	case made != 0:
		return Programs{}, noSuchMajor.At("", f.dir, made)
	case oldest.Major != 0:
		return Programs{}, tooOld.At("", oldest.Dir, oldest.Major, OldestMajor)
	}
	return Programs{}, noPrograms.At("", OldestMajor)
}

func findNamed(ctx context.Context, cfg Config, f folder, made int) (Programs, error) {
	for _, sub := range inside {
		dir, err := filepath.Abs(filepath.Join(cfg.Programs, sub))
		if err != nil || !holdsPrograms(dir) {
			continue
		}
		major, err := askMajor(ctx, dir, cfg.Environ)
		switch {
		case err != nil:
			return Programs{}, because(programsFailing.At("", dir), err)
		case major < OldestMajor:
			return Programs{}, tooOld.At("", dir, major, OldestMajor)
		case made != 0 && made != major:
			return Programs{}, wrongMajor.At("", f.dir, made, major)
		}
		return Programs{Dir: dir, Major: major}, nil
	}
	return Programs{}, notPrograms.At("", cfg.Programs)
}

// holdsPrograms reports whether both programs are there and executable.
func holdsPrograms(dir string) bool {
	for _, name := range []string{"initdb", "postgres"} {
		fi, err := os.Stat(filepath.Join(dir, name))
		if err != nil || fi.IsDir() || fi.Mode().Perm()&0o111 == 0 {
			return false
		}
	}
	return true
}

func glob(patterns []string) (dirs []string) {
	for _, p := range patterns {
		found, _ := filepath.Glob(p) // the only error is a malformed pattern, and these are constant
		dirs = append(dirs, found...)
	}
	return dirs
}

// searchPath returns the folders of PATH. A link is followed, for a distribution may link
// postgres alone while initdb stays in the package's own folder.
func searchPath(environ []string) (dirs []string) {
	for _, dir := range filepath.SplitList(lookUp(environ, "PATH")) {
		if dir == "" {
			continue
		}
		if real, err := filepath.EvalSymlinks(filepath.Join(dir, "postgres")); err == nil {
			dirs = append(dirs, filepath.Dir(real))
		}
	}
	return dirs
}

// newestFirst asks every folder for its version and sorts. A folder whose programs do not
// run is passed over: nobody named it.
func newestFirst(ctx context.Context, dirs []string, environ []string) (all []Programs) {
	for _, dir := range dirs {
		if !filepath.IsAbs(dir) || !holdsPrograms(dir) {
			continue
		}
		if major, err := askMajor(ctx, dir, environ); err == nil {
			all = append(all, Programs{Dir: dir, Major: major})
		}
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].Major > all[j].Major })
	return all
}

func askMajor(ctx context.Context, dir string, environ []string) (int, error) {
	c := exec.CommandContext(ctx, filepath.Join(dir, "postgres"), "--version")
	c.Env = childEnv(environ)
	out, err := c.Output()
	if err != nil {
		return 0, err
	}
	return parseMajor(strings.TrimSpace(string(out)))
}
