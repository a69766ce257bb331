// Package person holds what a person of the service company is to the program: a login,
// a name, roles. Passwords are judged here and kept by service/account.
package person

import (
	"cmp"
	"regexp"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/access"
)

// Codes of this package.
var (
	LoginForm        = fault.Define("person.login-form")
	LoginTaken       = fault.Define("person.login-taken")
	NoRole           = fault.Define("person.no-role")
	RoleUnknown      = fault.Define("person.role-unknown", fault.T("role"))
	PasswordShort    = fault.Define("person.password-short", fault.C("least"))
	PasswordLong     = fault.Define("person.password-long", fault.C("limit"))
	PasswordCommon   = fault.Define("person.password-common")
	PasswordIsLogin  = fault.Define("person.password-is-login")
	PasswordMismatch = fault.Define("person.password-mismatch")
	LastAdmin        = fault.Define("person.last-administrator")
)

// Person is someone of the service company. A disabled person stays in the record and
// cannot log in.
type Person struct {
	ID         domain.PersonID `db:"id"`
	Login      string          `db:"login" audit:"private"`
	Name       string          `db:"name" audit:"private"`
	Roles      []string        `db:"roles" audit:"text"`
	DisabledAt *time.Time      `db:"disabled_at" audit:"text"`
	Lengths    Lengths         `db:"lengths" audit:"text"`
	Version    int64           `db:"version"`
	CreatedAt  time.Time       `db:"created_at"`
	ChangedAt  time.Time       `db:"changed_at"`
}

// Lengths says in which units a person is shown lengths beside those that were entered.
// The zero value stands for Metric.
type Lengths string

// The units of lengths.
const (
	Metric Lengths = "metric" // millimetres and metres
	Inch   Lengths = "inch"   // inches and feet
)

// Tidy returns the person with texts in the form in which they are kept; roles are in
// the order of access.Roles, each once.
func (p Person) Tidy() Person {
	p.Login, p.Name = strings.ToLower(domain.Line(p.Login)), domain.Line(p.Name)
	roles := slices.Clone(p.Roles)
	slices.SortFunc(roles, func(a, b string) int { return rank(a) - rank(b) })
	p.Roles = slices.Compact(roles)
	if p.Lengths == "" {
		p.Lengths = Metric
	}
	return p
}

func rank(role string) int {
	if i := slices.Index(access.Roles, access.Role(role)); i >= 0 {
		return i
	}
	return len(access.Roles)
}

var loginForm = regexp.MustCompile(`^[a-z0-9][a-z0-9._-]{0,62}$`)

// Validate returns every problem of the person, keyed by field.
func (p Person) Validate() error {
	var check domain.Check
	if !loginForm.MatchString(p.Login) {
		check.Add(LoginForm.At("login"))
	}
	check.Line("name", p.Name, 200, true)
	if len(p.Roles) == 0 {
		check.Add(NoRole.At("roles"))
	}
	for _, r := range p.Roles {
		if !access.Role(r).Known() {
			check.Add(RoleUnknown.At("roles", r))
		}
	}
	domain.OneOf(&check, "lengths", cmp.Or(p.Lengths, Metric), []Lengths{Metric, Inch})
	return check.Err()
}

// Actor returns the person as an actor in a session.
func (p Person) Actor(session domain.SessionID) access.Actor {
	roles := make([]access.Role, len(p.Roles))
	for i, r := range p.Roles {
		roles[i] = access.Role(r)
	}
	return access.Actor{Person: p.ID, Session: session, Roles: roles}
}

// Limits on a password's length in characters. Long ones are welcome, boundless ones
// would be hashed at our cost.
const (
	PasswordLeast = 10
	PasswordLimit = 200
)

// CheckPassword judges a new password: length, not the login, not one of the commonest.
// There are no composition rules (OWASP ASVS 5.0, 6.2).
func CheckPassword(login, password string) error {
	var check domain.Check
	switch n := utf8.RuneCountInString(password); {
	case n < PasswordLeast:
		check.Add(PasswordShort.At("password", PasswordLeast))
	case n > PasswordLimit:
		check.Add(PasswordLong.At("password", PasswordLimit))
	}
	plain := strings.ToLower(password)
	if login != "" && strings.Contains(plain, login) && utf8.RuneCountInString(password) < len(login)+4 {
		check.Add(PasswordIsLogin.At("password"))
	}
	if common(plain) {
		check.Add(PasswordCommon.At("password"))
	}
	return check.Err()
}

// commonest are passwords of ten characters and more that guessers try first; from
// memory of what such public lists share. Runs and repeats are found by rule.
var commonest = []string{"1234567890", "0123456789", "password12", "password123", "password1234", "passwordpassword",
	"qwertyuiop", "qwertyuiop123", "1q2w3e4r5t", "1qaz2wsx3edc", "iloveyou12", "letmein123", "welcome123", "administrator",
	"changeme123", "abcdefghij", "abc1234567", "football12", "q1w2e3r4t5", "asdfghjkl123", "zaq12wsxcde3", "trustno1trustno1"}

func common(plain string) bool {
	if slices.Contains(commonest, plain) {
		return true
	}
	distinct := map[rune]bool{}
	for _, r := range plain {
		distinct[r] = true
	}
	return plain != "" && len(distinct) <= 2
}
