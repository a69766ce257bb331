package web

import (
	"net/http"
	"net/url"
	"strings"

	"rillmark/domain"
	"rillmark/service/account"
	"rillmark/service/web/part"
)

type loginPage struct {
	base
	Notice  *part.Notice
	Login   part.Field
	Secret  part.Field
	Next    string
	Carried []part.Field // a form that was sent before the login
	Button  part.Button
}

func (w *Web) showLogin(x *exchange) error {
	if !x.actor.Nobody() {
		return x.see(localPath(x.r.URL.Query().Get("next")), "")
	}
	p := x.loginPage(x.r.URL.Query().Get("next"), "")
	switch query := x.r.URL.Query(); {
	case query.Has("kept"):
		p.Notice = &part.Notice{Act: true, Lead: x.text("login.ended"), Text: x.text("login.kept")}
	case query.Has("late"):
		p.Notice = &part.Notice{Act: true, Lead: x.text("login.ended"), Text: x.text("login.not-kept")}
	}
	return x.page(http.StatusOK, "login", p)
}

func (x *exchange) loginPage(next, login string) loginPage {
	return loginPage{
		base:   x.base(part.Heading{Title: x.text("login.title"), Lead: x.text("login.lead")}),
		Login:  part.Field{Name: "login", Label: x.text("login.name"), Value: login, Required: true, Complete: "username", Focus: login == ""},
		Secret: part.Field{Name: "password", Label: x.text("login.password"), Kind: part.Password, Required: true, Complete: "current-password", Focus: login != ""},
		Next:   next, Button: part.Button{Deed: x.text("login.enter")},
	}
}

// credentials are what is sent to log in.
type credentials struct {
	Login    string `form:"login"`
	Password string `form:"password"`
	Next     string `form:"next"`
	carried
}

func (w *Web) login(x *exchange) error {
	var c credentials
	_, err := x.bind(&c)
	if err == nil {
		err = x.enter(c)
	}
	if err == nil && c.Path != "" {
		if offered, keepErr := x.keepFor(c.carried); keepErr != nil {
			return keepErr
		} else if offered != "" {
			c.Next = offered
		}
	}
	if err == nil {
		return x.done(localPath(c.Next), "", http.StatusOK, map[string]string{"next": localPath(c.Next)})
	}
	if x.wantsJSON() {
		status := statusOf(err)
		if wait := retryAfter(err); wait != "" {
			x.gin.Header("Retry-After", wait)
		}
		x.failJSON(status, err)
		x.rejected = err
		return nil
	}
	p := x.loginPage(c.Next, c.Login)
	p.Carried = c.carried.fields()
	p.Notice = &part.Notice{Act: true}
	for i, f := range x.faultsOf(err) {
		if i == 0 {
			p.Notice.Lead = x.Book.Fault(f)
			continue
		}
		p.Notice.Items = append(p.Notice.Items, x.Book.Fault(f))
	}
	if wait := retryAfter(err); wait != "" {
		x.gin.Header("Retry-After", wait)
	}
	if render := x.page(statusOf(err), "login", p); render != nil {
		return render
	}
	x.rejected = err
	return nil
}

func (x *exchange) enter(c credentials) error {
	in, err := x.Accounts.Login(x.ctx(), account.Attempt{Login: c.Login, Password: c.Password,
		Address: x.gin.ClientIP(), Agent: x.r.UserAgent(), Device: x.cookie(x.r, deviceCookie)})
	if err != nil {
		return err
	}
	if !x.actor.Nobody() { // another login in this browser takes the place of the one before
		if err := x.Accounts.Logout(x.ctx(), x.actor); err != nil {
			return err
		}
	}
	x.setCookie(x.gin.Writer, sessionCookie, in.Session, keepCookie)
	x.setCookie(x.gin.Writer, deviceCookie, in.Device, 4*keepCookie)
	x.actor = in.Actor
	return nil
}

func (w *Web) logout(x *exchange) error {
	if err := x.Accounts.Logout(x.ctx(), x.actor); err != nil {
		return err
	}
	x.setCookie(x.gin.Writer, sessionCookie, "", 0)
	x.gin.Header("Clear-Site-Data", `"cache", "storage"`)
	return x.see("/login", "")
}

// localPath lets a redirect lead nowhere but to a page of this program: a path that begins
// with exactly one slash and holds nothing that a browser could read as another host.
func localPath(next string) string {
	if !strings.HasPrefix(next, "/") || strings.HasPrefix(next, "//") || strings.ContainsAny(next, "\\\r\n\t") || len(next) > 2000 {
		return "/"
	}
	u, err := url.Parse(next)
	if err != nil || u.Host != "" || u.Scheme != "" || strings.HasPrefix(u.Path, "//") || u.Path == "/login" || u.Path == "/logout" {
		return "/"
	}
	return u.RequestURI()
}

// pathID reads the id in the path. One that is malformed names nothing.
func pathID[K any](x *exchange, name, kind string) (domain.ID[K], error) {
	id, err := domain.ParseID[K](x.gin.Param(name))
	if err != nil {
		return id, domain.Refuse(domain.NotFound, domain.NoSuchThing.At("", kind))
	}
	return id, nil
}
