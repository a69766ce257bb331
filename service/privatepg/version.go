package privatepg

import (
	"fmt"
	"regexp"
	"strconv"
)

var versionPattern = regexp.MustCompile(`^postgres \(PostgreSQL\) ([0-9]{1,4})`)

// parseMajor reads the major version out of what "postgres --version" prints, for example
// "postgres (PostgreSQL) 15.18 (Debian 15.18-0+deb12u1)" or "postgres (PostgreSQL) 19devel".
func parseMajor(text string) (int, error) {
	m := versionPattern.FindStringSubmatch(text)
	if m == nil {
		return 0, fmt.Errorf("no PostgreSQL version in %q", text)
	}
	return strconv.Atoi(m[1])
}
