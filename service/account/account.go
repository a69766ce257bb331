// Package account keeps people, their passwords and their sessions: who is at the door,
// who may be let in, and for how long. What a person may do then is domain/access.
package account

import (
	"io"
	"time"

	"github.com/alexedwards/argon2id"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/service/store"
)

// A session ends when it was idle for IdleLimit, and in any case after SessionLimit: a
// technician's field day passes without a second login, a lost phone does not stay open
// for long.
const (
	IdleLimit    = 12 * time.Hour
	SessionLimit = 7 * 24 * time.Hour
)

// Codes of this package.
var (
	LoginWrong      = fault.Define("account.login-wrong")
	LoginWait       = fault.Define("account.login-wait", fault.C("seconds"))
	PersonDisabled  = fault.Define("account.person-disabled")
	PasswordWrong   = fault.Define("account.password-wrong")
	TooManyAtDoor   = fault.Define("account.too-many-at-once")
	EntryTooLarge   = fault.Define("account.kept-entry-too-large", fault.C("limit"))
	CannotDisableMe = fault.Define("account.cannot-disable-self")
)

// Config is what the service needs from outside.
type Config struct {
	Store  *store.Store
	IDs    domain.IDs
	Random io.Reader // source of session tokens; crypto/rand in the program

	// Hashing is how dear a password's hash is; nil: what OWASP names as the least. Tests
	// that log in by the hundred take less.
	Hashing *argon2id.Params
}

// Service is the door.
type Service struct {
	store  *store.Store
	ids    domain.IDs
	random io.Reader
	hasher *hasher
}

// New makes the service.
func New(c Config) *Service {
	return &Service{store: c.Store, ids: c.IDs, random: c.Random, hasher: newHasher(c.Hashing)}
}
