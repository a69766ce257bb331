package web

import (
	"net/http"
	"net/url"

	"rillmark/domain"
	"rillmark/domain/person"
	"rillmark/service/account"
	"rillmark/service/web/part"
)

// carried is a form that came from a browser of which nobody knows whose it is: its cookie
// is gone. Nothing is stored for a stranger; the page of the login carries the form along,
// and it is kept for whoever then logs in.
type carried struct {
	Path string `form:"carried_path"`
	Form string `form:"carried_form"` // URL-encoded
}

// carriedMost is the largest form in bytes that a login carries: twelve rows of readings are
// a twentieth of it. Encoded once more it is up to three times as long.
const (
	carriedMost = 48 << 10
	loginLimit  = 3*carriedMost + 16<<10
)

// carried returns the form that was sent; the zero value where there is nothing worth carrying.
func (x *exchange) carried() carried {
	if x.route.path == "" || x.route.path == "/logout" || x.route.upload {
		return carried{}
	}
	form, err := x.fields()
	if err != nil || len(form) == 0 || holdsSecret(form) {
		return carried{}
	}
	text := form.Encode()
	if len(text) > carriedMost || localPath(x.r.URL.Path) != x.r.URL.Path {
		return carried{}
	}
	return carried{x.r.URL.Path, text}
}

func holdsSecret(form url.Values) bool {
	for _, s := range secrets {
		if form.Has(s) {
			return true
		}
	}
	return false
}

// askLoginFor answers with the login that carries the form.
func (x *exchange) askLoginFor(c carried) {
	p := x.loginPage("", "")
	p.Carried = c.fields()
	p.Notice = &part.Notice{Act: true, Lead: x.text("login.needed"), Text: x.text("login.carried")}
	if err := x.page(http.StatusUnauthorized, "login", p); err != nil {
		x.fail(err)
	}
}

func (c carried) fields() []part.Field {
	if c.Path == "" {
		return nil
	}
	return []part.Field{{Name: "carried_path", Value: c.Path}, {Name: "carried_form", Value: c.Form}}
}

// keepFor keeps the carried form for who has just logged in, and returns where it is offered.
func (x *exchange) keepFor(c carried) (string, error) {
	if localPath(c.Path) != c.Path || c.Path == "/" {
		return "", nil
	}
	form, err := url.ParseQuery(c.Form)
	if err != nil || holdsSecret(form) {
		return "", nil
	}
	id, err := x.Accounts.Keep(x.ctx(), account.Visitor{Person: person.Person{ID: x.actor.Person}}, c.Path, form.Encode())
	if err != nil {
		return "", domain.Wrap("keep the carried form", err)
	}
	return "/kept/" + id.String(), nil
}
