package account

import (
	"context"
	"fmt"
	"time"

	"github.com/alexedwards/argon2id"

	"rillmark/domain"
)

// params are the argon2id settings that OWASP names as the least (password storage cheat
// sheet, from memory): 19 MiB, two passes, one lane. Higher ones later stay compatible:
// each hash carries its own.
var params = &argon2id.Params{Memory: 19 * 1024, Iterations: 2, Parallelism: 1, SaltLength: 16, KeyLength: 32}

// Hashing is dear on purpose, so only a few run at once and the others wait a little:
// a flood of logins must not take the memory of the whole program.
const (
	hashesAtOnce = 3
	hashWait     = 10 * time.Second
)

type hasher struct {
	params *argon2id.Params
	places chan struct{}
	dummy  string // compared with when there is no such person, so that both take as long
}

func newHasher(p *argon2id.Params) *hasher {
	if p == nil {
		p = params
	}
	// Any valid hash serves; its password is nobody's.
	dummy, err := argon2id.CreateHash("nobody has this password", p)
	if err != nil {
		panic("account: argon2id does not work: " + err.Error())
	}
	return &hasher{params: p, places: make(chan struct{}, hashesAtOnce), dummy: dummy}
}

func (h *hasher) enter(ctx context.Context) (leave func(), err error) {
	ctx, cancel := context.WithTimeout(ctx, hashWait)
	defer cancel()
	select {
	case h.places <- struct{}{}:
		return func() { <-h.places }, nil
	case <-ctx.Done():
		return nil, domain.Refuse(domain.Busy, TooManyAtDoor.At(""))
	}
}

// hash makes the stored form of a password.
func (h *hasher) hash(ctx context.Context, password string) (string, error) {
	leave, err := h.enter(ctx)
	if err != nil {
		return "", err
	}
	defer leave()
	stored, err := argon2id.CreateHash(password, h.params)
	if err != nil {
		return "", fmt.Errorf("account: hash: %w", err)
	}
	return stored, nil
}

// match compares a password with the stored form; an empty one never matches and takes
// as long as any other.
func (h *hasher) match(ctx context.Context, password, stored string) (bool, error) {
	leave, err := h.enter(ctx)
	if err != nil {
		return false, err
	}
	defer leave()
	known := stored != ""
	if !known {
		stored = h.dummy
	}
	same, err := argon2id.ComparePasswordAndHash(password, stored)
	if err != nil {
		return false, fmt.Errorf("account: compare: %w", err)
	}
	return same && known, nil
}
