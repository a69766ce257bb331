package web

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/json"
	"errors"
	"mime"
	"net/http"
	"net/url"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/service/account"
	"rillmark/service/web/part"
)

// exchange is one request and its answer, as a handler sees it.
type exchange struct {
	*Web
	gin     *gin.Context
	r       *http.Request
	id      string // names the request in logs and on the page of an internal error
	route   route
	visitor account.Visitor
	actor   access.Actor

	form      url.Values // the fields as they came, once they were read
	formErr   error
	formKnown bool
	names     map[string]string // of things, by field and id, as histories look them up
	rejected  error             // what a form was not accepted for, once the page has told it
}

func (x *exchange) ctx() context.Context { return x.r.Context() }

// wantsJSON reports whether the other side is a program: it sent JSON or asks for it.
func (x *exchange) wantsJSON() bool {
	if isJSON(x.r) {
		return true
	}
	accept := x.r.Header.Get("Accept")
	return strings.Contains(accept, "application/json") && !strings.Contains(accept, "text/html")
}

func isJSON(r *http.Request) bool {
	media, _, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	return err == nil && media == "application/json"
}

// fields reads the fields of a form, once. Line ends are \n whatever the browser sends.
// A body beyond the limit is an error of its own kind.
func (x *exchange) fields() (url.Values, error) {
	if x.formKnown {
		return x.form, x.formErr
	}
	x.formKnown, x.form = true, url.Values{}
	media, _, err := mime.ParseMediaType(x.r.Header.Get("Content-Type"))
	if err == nil && media == "multipart/form-data" && x.route.upload {
		return x.fieldsBesideFile()
	}
	if err != nil || media != "application/x-www-form-urlencoded" {
		x.formErr = domain.Refuse(domain.Invalid, MediaUnknown.At("", shortened(x.r.Header.Get("Content-Type"), 80)))
		return x.form, x.formErr
	}
	if err := x.r.ParseForm(); err != nil {
		x.formErr = bodyError(err, x.route.bodyLimit())
		return x.form, x.formErr
	}
	x.take(x.r.PostForm)
	return x.form, nil
}

func (x *exchange) take(form url.Values) {
	for name, values := range form {
		for _, v := range values {
			x.form.Add(name, strings.ReplaceAll(v, "\r\n", "\n"))
		}
	}
}

func bodyError(err error, limit int64) error {
	var tooLarge *http.MaxBytesError
	if errors.As(err, &tooLarge) {
		return domain.Refuse(domain.TooLarge, BodyTooLarge.At("", int(limit>>10)))
	}
	return &domain.Error{Kind: domain.Invalid, Faults: domain.Refuse(domain.Invalid, BodyUnreadable.At("")).Faults, Cause: err}
}

// page renders a page and sends it. Nothing is sent when rendering fails. A form that comes
// back refused may be kept by the browser itself, so that going back to it shows it with
// what was typed instead of an error; leaving clears it (Clear-Site-Data).
func (x *exchange) page(status int, name string, data any) error {
	body, err := x.view.page(name, data)
	if err != nil {
		return err
	}
	if x.r.Method == http.MethodPost && x.formKnown && !holdsSecret(x.form) {
		x.gin.Header("Cache-Control", "private, no-cache")
	}
	x.gin.Header("Vary", "Accept-Encoding")
	if small := x.packed(body); small != nil {
		x.gin.Header("Content-Encoding", "gzip")
		body = small
	}
	x.gin.Data(status, "text/html; charset=utf-8", body)
	return nil
}

// packed packs a page for a browser that takes it so: on a weak signal a page comes three
// times as fast. A page holds no secret of the program beside what its reader typed, so
// its size tells an eavesdropper nothing of use.
func (x *exchange) packed(body []byte) []byte {
	if len(body) < 1400 || !strings.Contains(x.r.Header.Get("Accept-Encoding"), "gzip") { // one packet either way
		return nil
	}
	var b bytes.Buffer
	w, err := gzip.NewWriterLevel(&b, gzip.BestSpeed)
	if err != nil {
		return nil
	}
	if _, err := w.Write(body); err != nil || w.Close() != nil {
		return nil
	}
	return b.Bytes()
}

func (x *exchange) json(status int, v any) error {
	body, err := json.Marshal(v)
	if err != nil {
		return err
	}
	x.gin.Data(status, "application/json; charset=utf-8", body)
	return nil
}

// see sends the browser on to another page after a command, so that loading it again
// repeats nothing. Said is the key of a sentence that the next page shows once.
func (x *exchange) see(path, said string) error {
	if said != "" {
		x.setCookie(x.gin.Writer, saidCookie, said, time.Minute)
	}
	x.gin.Header("Location", path)
	x.gin.Status(http.StatusSeeOther)
	return nil
}

// done answers a command that was carried out: JSON tells the outcome, a browser sees the
// page of the thing.
func (x *exchange) done(path, said string, status int, outcome any) error {
	x.settle()
	if x.wantsJSON() {
		x.gin.Header("Location", path)
		return x.json(status, outcome)
	}
	return x.see(path, said)
}

// when tells a time in the company's zone.
func (x *exchange) when(t time.Time) string { return t.In(x.Zone).Format("2 January 2006, 15:04") }

// day is the date in the company's zone.
func (x *exchange) day(t time.Time) string { return t.In(x.Zone).Format(wordedDay) }

// text returns words of the catalogue.
func (x *exchange) text(key string, pairs ...any) string { return x.Book.Text(key, pairs...) }

// base is what every page of this exchange shows around its own content.
func (x *exchange) base(h part.Heading) base {
	b := base{Lang: "en", Heading: h, Company: x.Company, Zone: x.Zone.String()}
	if x.actor.Nobody() {
		return b
	}
	b.Actor = &who{Name: x.visitor.Person.Name, Role: x.roles(x.visitor.Person.Roles), Href: "/account"}
	b.Ways = x.ways()
	b.Kept = x.kept()
	b.Said = x.said()
	return b
}

// ways are the main pages that the actor may see.
func (x *exchange) ways() []way {
	var ways []way
	for _, w := range []struct {
		href, key string
		act       access.Act
		below     []string
	}{
		{"/", "way.today", access.SignedIn, nil},
		{"/plan", "way.plan", access.SeePlan, []string{"/plan/", "/visits/"}},
		{"/clients", "way.clients", access.SeeRegister, []string{"/clients/", "/sites/", "/points/", "/meters/", "/indications/", "/installations/", "/agreements/"}},
		{"/kit", "way.kit", access.SeeKit, []string{"/kit/", "/calibrations/", "/sets"}},
		{"/methods", "way.methods", access.SeeMethods, []string{"/methods/", "/editions/", "/authorisations/"}},
		{"/review", "way.review", access.Judge, []string{"/evaluations/", "/preparations/"}},
		{"/certificates", "way.certificates", access.SeeCertificates, []string{"/certificates/"}},
		{"/people", "way.people", access.SeePeople, []string{"/people/"}},
		{"/audit", "way.audit", access.SeeAudit, []string{"/audit/"}},
	} {
		if !access.Allowed(x.actor, w.act) {
			continue
		}
		current := ""
		if x.r.URL.Path == w.href {
			current = "page"
		}
		for _, prefix := range w.below {
			if strings.HasPrefix(x.r.URL.Path, prefix) {
				current = "true"
			}
		}
		ways = append(ways, way{w.href, x.text(w.key), current})
	}
	return ways
}

// roles says a person's roles in words.
func (x *exchange) roles(roles []string) string {
	words := make([]string, len(roles))
	for i, r := range roles {
		words[i] = x.text("role." + r)
	}
	return strings.Join(words, ", ")
}

// said is what the page before wanted to be told here, once.
func (x *exchange) said() *part.Notice {
	key := x.cookie(x.r, saidCookie)
	if key == "" {
		return nil
	}
	x.setCookie(x.gin.Writer, saidCookie, "", 0)
	if !sayable[key] {
		return nil
	}
	return &part.Notice{Lead: x.text("said." + key)}
}

// sayable are the sentences that a redirect may have the next page say.
var sayable = map[string]bool{"client.added": true, "client.changed": true, "site.added": true, "site.changed": true,
	"point.added": true, "point.changed": true, "person.added": true, "person.changed": true, "password.set": true, "lengths.kept": true,
	"sessions.ended": true, "kept.dropped": true,
	"meter.added": true, "meter.changed": true, "indication.added": true, "indication.changed": true, "installation.added": true,
	"installation.changed": true, "kit.added": true, "kit.changed": true, "calibration.added": true, "set.added": true, "set.changed": true,
	"method.added": true, "method.changed": true, "edition.added": true, "edition.changed": true, "authorisation.added": true,
	"authorisation.changed": true, "agreement.added": true}
