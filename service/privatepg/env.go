package privatepg

import "strings"

// childEnv is the environment of PostgreSQL's programs: none of the caller's PG* and
// locale settings, so that a cluster comes out alike on every machine.
func childEnv(environ []string) []string {
	env := []string{"LC_ALL=C.UTF-8", "TZ=UTC"}
	for _, name := range []string{"PATH", "LD_LIBRARY_PATH", "DYLD_LIBRARY_PATH"} {
		if v := lookUp(environ, name); v != "" {
			env = append(env, name+"="+v)
		}
	}
	return env
}

// lookUp returns the last value of the name, as a shell would.
func lookUp(environ []string, name string) (value string) {
	for _, e := range environ {
		if v, found := strings.CutPrefix(e, name+"="); found {
			value = v
		}
	}
	return value
}
