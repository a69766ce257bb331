package web

import (
	"net/http"
	"time"
)

// keepCookie is how long a browser keeps the cookies beyond a session's end: a form that
// is sent too late still tells whose it is.
const keepCookie = 90 * 24 * time.Hour

// cookieName is the name under which a cookie goes. The prefix __Host- makes browsers
// refuse one that came over an insecure channel or from a neighbouring host; it needs
// https, which a demo on the loopback interface has not.
func (w *Web) cookieName(what string) string {
	if w.https {
		return "__Host-rillmark-" + what
	}
	return "rillmark-" + what
}

// The cookies: the session's secret, the mark of a known browser, and what was said on
// the way to the next page.
const (
	sessionCookie = "session"
	deviceCookie  = "device"
	saidCookie    = "said"

	preparedCookie = "prepared" // which certificate this browser prepared, and the token that issues it
)

func (w *Web) cookie(r *http.Request, what string) string {
	c, err := r.Cookie(w.cookieName(what))
	if err != nil || len(c.Value) > 200 {
		return ""
	}
	return c.Value
}

func (w *Web) setCookie(rw http.ResponseWriter, what, value string, keep time.Duration) {
	c := &http.Cookie{Name: w.cookieName(what), Value: value, Path: "/", HttpOnly: true, Secure: w.https,
		SameSite: http.SameSiteLaxMode, MaxAge: int(keep.Seconds())}
	if value == "" {
		c.MaxAge = -1
	}
	http.SetCookie(rw, c)
}
