// Package accounttest holds what tests need of accounts. Production code cannot import it.
package accounttest

import "github.com/alexedwards/argon2id"

// Hashing is so cheap that a test may log in by the hundred: 64 KiB, one pass. What a
// password's hash costs in earnest is proven by account's own tests.
func Hashing() *argon2id.Params {
	return &argon2id.Params{Memory: 64, Iterations: 1, Parallelism: 1, SaltLength: 16, KeyLength: 32}
}
