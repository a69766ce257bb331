package web

import (
	"net/http"

	"rillmark/domain"
	"rillmark/domain/person"
	"rillmark/service/account"
	"rillmark/service/web/part"
)

// newSecret is a password as typed, twice, so that a slip of the finger locks nobody out.
type newSecret struct {
	Operation domain.OperationID `form:"operation"`
	Present   string             `form:"present"`
	Password  string             `form:"password"`
	Again     string             `form:"again"`
}

func (x *exchange) passwordForm(who person.Person, action, back string, own bool) entry {
	e := entry{heading: part.Heading{Trail: []part.Link{{Href: back, Words: who.Name}}, Title: x.text("password.title"), Lead: x.text("password.lead")},
		action: action, hidden: []string{"operation"}, deed: x.text("password.set"), back: part.Link{Href: back, Words: x.text("entry.back")}}
	if own {
		e.fields = append(e.fields, field{name: "present", label: "label.password.present", kind: part.Password, required: true, complete: "current-password"})
	}
	again := passwordField("label.password.again", "again")
	again.hint = ""
	e.fields = append(e.fields, passwordField("label.password.new", "password"), again)
	return e
}

func (w *Web) newPassword(x *exchange) error {
	who, err := x.pathPerson()
	if err != nil {
		return err
	}
	here := "/people/" + who.ID.String()
	return x.show(x.passwordForm(who, here+"/password", here, who.ID == x.actor.Person), x.ids(false))
}

func (w *Web) setPassword(x *exchange) error {
	who, err := x.pathPerson()
	if err != nil {
		return err
	}
	here := "/people/" + who.ID.String()
	return x.savePassword(who, x.passwordForm(who, here+"/password", here, who.ID == x.actor.Person), here)
}

func (w *Web) newOwnPassword(x *exchange) error {
	return x.show(x.passwordForm(x.visitor.Person, "/account/password", "/account", true), x.ids(false))
}

func (w *Web) setOwnPassword(x *exchange) error {
	who := x.visitor.Person
	return x.savePassword(who, x.passwordForm(who, "/account/password", "/account", true), "/account")
}

func (x *exchange) savePassword(who person.Person, e entry, to string) error {
	var c newSecret
	form, err := x.bind(&c)
	if err == nil && c.Password != c.Again {
		err = domain.Refuse(domain.Invalid, person.PasswordMismatch.At("again"))
	}
	var done account.Written
	if err == nil {
		done, err = x.Accounts.SetPassword(x.ctx(), x.actor, account.SetPassword{Operation: c.Operation, ID: who.ID, Present: c.Present, Password: c.Password})
	}
	if err != nil {
		return x.refuse(e, form, err)
	}
	return x.done(to, "password.set", http.StatusOK, done)
}
