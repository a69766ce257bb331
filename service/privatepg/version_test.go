package privatepg

import "testing"

func TestParseMajor(t *testing.T) {
	for text, want := range map[string]int{
		"postgres (PostgreSQL) 15.18 (Debian 15.18-0+deb12u1)": 15,
		"postgres (PostgreSQL) 18.4":                           18,
		"postgres (PostgreSQL) 19devel":                        19,
		"postgres (PostgreSQL) 9.6.24":                         9,
		"postgres":                                             0,
		"":                                                     0,
		"mysqld  Ver 8":                                        0,
	} {
		got, err := parseMajor(text)
		if got != want || (err == nil) != (want != 0) {
			t.Errorf("%q: %d, %v", text, got, err)
		}
	}
}
