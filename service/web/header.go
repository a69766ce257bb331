package web

import (
	"net"
	"net/http"
	"strings"

	"rillmark/domain"
)

// policy lets a page use what this program serves and nothing else: no inline style or
// script, no frame, no foreign form target.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; font-src 'self'; img-src 'self' data:; connect-src 'self'; " +
	"form-action 'self'; frame-ancestors 'none'; base-uri 'none'"

// secure sets the headers that every answer has.
func (w *Web) secure(h http.Header) {
	h.Set("Content-Security-Policy", policy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "same-origin")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Permissions-Policy", "camera=(), geolocation=(), microphone=()")
	h.Set("Cache-Control", "no-store")
	if w.https {
		h.Set("Strict-Transport-Security", "max-age=63072000; includeSubDomains")
	}
}

// rightHost refuses a request that was sent to another name than the public one: such a
// name may be an attacker's that was made to lead here. This machine itself may always ask.
func (w *Web) rightHost(r *http.Request) error {
	if w.host == "" {
		return nil
	}
	name := r.Host
	if host, _, err := net.SplitHostPort(r.Host); err == nil {
		name = host
	}
	name = strings.Trim(name, "[]")
	ip := net.ParseIP(name)
	if strings.EqualFold(name, w.host) || name == "localhost" || ip != nil && ip.IsLoopback() {
		return nil
	}
	return domain.Refuse(domain.Forbidden, OtherHost.At("", shortened(name, 100)))
}

func shortened(text string, most int) string {
	if r := []rune(text); len(r) > most {
		return string(r[:most]) + "…"
	}
	return text
}
