package storetest

import "os"

// Kills is how many kills of each kind a test makes: as many as were asked for, else the
// whole number where the long proofs run, else a few.
func Kills(asked, whole, few int) int {
	switch {
	case asked > 0:
		return asked
	case os.Getenv("RILLMARK_FULL") == "1":
		return whole
	}
	return few
}
