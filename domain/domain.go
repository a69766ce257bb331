// Package domain holds what every part of the business shares: identifiers, the error
// that says what kind of thing went wrong, and text as people type it. It does no I/O
// and holds no clock and no randomness; both are passed in.
package domain
