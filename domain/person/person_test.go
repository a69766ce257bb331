package person_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/uuid"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/person"
)

// faults are the fields and codes that an error names.
func faults(err error) []string {
	all := []string{}
	for _, f := range fault.AllOf(err) {
		all = append(all, f.Field+" "+f.Code.Name())
	}
	return all
}

func TestTidy(t *testing.T) {
	roles := []string{"auditor", "captain", "technician", "auditor", "administrator"}
	p := person.Person{Login: "  Ida.B ", Name: " A\u030asa ", Roles: roles}.Tidy()
	if p.Login != "ida.b" || p.Name != "Åsa" || !slices.Equal(p.Roles, []string{"administrator", "technician", "auditor", "captain"}) {
		t.Errorf("%+v", p)
	}
	if roles[0] != "auditor" || roles[4] != "administrator" {
		t.Error("the caller's roles were sorted")
	}
}

func TestValidate(t *testing.T) {
	good := person.Person{Login: "ida", Name: "Ida", Roles: []string{"technician"}}
	for name, c := range map[string]struct {
		edit func(*person.Person)
		want []string
	}{
		"good":               {func(*person.Person) {}, nil},
		"shortest":           {func(p *person.Person) { p.Login = "7" }, nil},
		"longest":            {func(p *person.Person) { p.Login = strings.Repeat("a", 63) }, nil},
		"all signs":          {func(p *person.Person) { p.Login = "a.b-c_d" }, nil},
		"no login":           {func(p *person.Person) { p.Login = "" }, []string{"login person.login-form"}},
		"too long":           {func(p *person.Person) { p.Login = strings.Repeat("a", 64) }, []string{"login person.login-form"}},
		"capital":            {func(p *person.Person) { p.Login = "Ida" }, []string{"login person.login-form"}},
		"begins with a sign": {func(p *person.Person) { p.Login = ".ida" }, []string{"login person.login-form"}},
		"a blank":            {func(p *person.Person) { p.Login = "i da" }, []string{"login person.login-form"}},
		"a line end":         {func(p *person.Person) { p.Login = "ida\n" }, []string{"login person.login-form"}},
		"looks alike":        {func(p *person.Person) { p.Login = "іda" }, []string{"login person.login-form"}},
		"no name":            {func(p *person.Person) { p.Name = "" }, []string{"name text.required"}},
		"name at the limit":  {func(p *person.Person) { p.Name = strings.Repeat("é", 200) }, nil},
		"name beyond":        {func(p *person.Person) { p.Name = strings.Repeat("é", 201) }, []string{"name text.too-long"}},
		"no role":            {func(p *person.Person) { p.Roles = nil }, []string{"roles person.no-role"}},
		"unknown role":       {func(p *person.Person) { p.Roles = []string{"technician", "captain", ""} }, []string{"roles person.role-unknown", "roles person.role-unknown"}},
		"everything at once": {func(p *person.Person) { *p = person.Person{} }, []string{"login person.login-form", "name text.required", "roles person.no-role"}},
	} {
		p := good
		c.edit(&p)
		err := p.Validate()
		if got := faults(err); !slices.Equal(got, append([]string{}, c.want...)) {
			t.Errorf("%s: %v", name, got)
		}
		if err != nil && domain.KindOf(err) != domain.Invalid {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestPasswords(t *testing.T) {
	for password, want := range map[string]string{
		"correct horse 7":                 "",
		"abcdefghi ":                      "", // ten characters, and a blank is one
		"水水火火木木金金土土":                      "",
		"short":                           "password person.password-short",
		"ninechars":                       "password person.password-short",
		"":                                "password person.password-short",
		"ida.brandt":                      "password person.password-is-login",
		"1ida.brandt2":                    "password person.password-is-login",
		"ida.brandt and more":             "",
		"IDA.BRANDT!":                     "password person.password-is-login",
		"Password123":                     "password person.password-common",
		"QWERTYUIOP":                      "password person.password-common",
		"ababababab":                      "password person.password-common",
		"aaaaaaaaaaaaaaaaaaaa":            "password person.password-common",
		strings.Repeat("abc", 66) + "de":  "",
		strings.Repeat("abc", 66) + "def": "password person.password-long",
		strings.Repeat("水火木", 66) + "金土": "",
	} {
		err := person.CheckPassword("ida.brandt", password)
		if got := strings.Join(faults(err), ", "); got != want {
			t.Errorf("%.30q: %q, want %q", password, got, want)
		}
	}
	if err := person.CheckPassword("", "correct horse 7"); err != nil {
		t.Errorf("before there is a login: %v", err)
	}
	if got := faults(person.CheckPassword("a", "aaaaaaaaa")); !slices.Equal(got, []string{"password person.password-short", "password person.password-common"}) {
		t.Errorf("two things wrong at once: %v", got)
	}
}

func TestActor(t *testing.T) {
	id := domain.NewID[domain.PersonKind](func() uuid.UUID { return uuid.MustParse("0190aaaa-0000-7000-8000-000000000001") })
	session := domain.NewID[domain.SessionKind](func() uuid.UUID { return uuid.MustParse("0190aaaa-0000-7000-8000-000000000002") })
	a := person.Person{ID: id, Roles: []string{"technician", "approver"}}.Actor(session)
	if a.Person != id || a.Session != session || !a.Has(access.Technician) || !a.Has(access.Approver) || a.Has(access.Administrator) || a.System != "" {
		t.Errorf("%+v", a)
	}
}
