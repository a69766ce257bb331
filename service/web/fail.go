package web

import (
	"errors"
	"net/http"
	"strconv"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/service/account"
	"rillmark/service/web/part"
)

// statuses are the answers to kinds of error (RFC 9110; 429 is RFC 6585).
var statuses = map[domain.Kind]int{
	domain.Internal:        http.StatusInternalServerError,
	domain.Invalid:         http.StatusUnprocessableEntity,
	domain.NotFound:        http.StatusNotFound,
	domain.Stale:           http.StatusPreconditionFailed,
	domain.Taken:           http.StatusConflict,
	domain.Forbidden:       http.StatusForbidden,
	domain.Unauthenticated: http.StatusUnauthorized,
	domain.Reused:          http.StatusConflict,
	domain.Busy:            http.StatusServiceUnavailable,
	domain.TooLarge:        http.StatusRequestEntityTooLarge,
	domain.Throttled:       http.StatusTooManyRequests,
	domain.Full:            http.StatusInsufficientStorage,
}

func statusOf(err error) int {
	if status, known := statuses[domain.KindOf(err)]; known {
		return status
	}
	return http.StatusInternalServerError
}

// faultsOf returns what may be told of an error. An internal one tells nothing but the
// request's id, under which the log has the whole.
func (x *exchange) faultsOf(err error) fault.List {
	if domain.KindOf(err) != domain.Internal {
		if faults := fault.AllOf(err); len(faults) > 0 {
			return faults
		}
	}
	return fault.List{Broken.At("", x.id)}
}

// retryAfter tells a program how long to wait, where that is known.
func retryAfter(err error) string {
	for _, f := range fault.AllOf(err) {
		if f.Code == account.LoginWait {
			if seconds, ok := f.Value("seconds").(int); ok {
				return strconv.Itoa(seconds)
			}
		}
	}
	switch domain.KindOf(err) {
	case domain.Busy, domain.Throttled:
		return "2"
	}
	return ""
}

// fail answers a request that ended in an error: JSON for a program, the way to the login
// for somebody unknown, else a page that says what is wrong and what to do.
func (x *exchange) fail(err error) {
	if x.gin.Writer.Written() {
		return // too late to say anything; the log has it
	}
	status := statusOf(err)
	if wait := retryAfter(err); wait != "" {
		x.gin.Header("Retry-After", wait)
	}
	switch domain.KindOf(err) {
	case domain.Unauthenticated:
		x.late(err)
		return
	case domain.Forbidden:
		if !x.actor.Nobody() {
			x.refused()
		}
	}
	if x.wantsJSON() {
		x.failJSON(status, err)
		return
	}
	if page := x.page(status, "problem", x.problem(status, err)); page != nil {
		x.Log.Error("the page that tells an error cannot be made", "request", x.id, "error", page.Error())
		http.Error(x.gin.Writer, x.text("problem.last-resort", "request", x.id), http.StatusInternalServerError)
	}
}

// problemPage tells an error that belongs to no form. Again holds the fields of a form
// that could not be carried out for a reason that may pass, so that it can be sent again.
type problemPage struct {
	base
	Sentences []string
	Again     *again
	Back      part.Link
	Request   string
}

// again is a form to be sent once more as it was.
type again struct {
	Action string
	Fields []part.Field
	Button part.Button
}

func (x *exchange) problem(status int, err error) problemPage {
	kind := domain.KindOf(err)
	p := problemPage{base: x.base(part.Heading{Title: x.text("problem." + titles[status])}), Request: x.id,
		Back: part.Link{Href: "/", Words: x.text("problem.today")}}
	for _, f := range x.faultsOf(err) {
		p.Sentences = append(p.Sentences, x.Book.Fault(f))
	}
	passing := kind == domain.Busy || kind == domain.Full || kind == domain.Internal || kind == domain.Throttled
	if passing && x.r.Method == http.MethodPost {
		p.Again = x.again()
	}
	return p
}

// titles name the heading of a problem's page by its status.
var titles = map[int]string{
	http.StatusNotFound: "not-found", http.StatusForbidden: "forbidden", http.StatusMethodNotAllowed: "method",
	http.StatusRequestEntityTooLarge: "too-large", http.StatusServiceUnavailable: "busy", http.StatusTooManyRequests: "busy",
	http.StatusInsufficientStorage: "busy", http.StatusUnprocessableEntity: "refused", http.StatusConflict: "refused",
	http.StatusPreconditionFailed: "refused", http.StatusUnauthorized: "refused", http.StatusInternalServerError: "internal",
}

func (x *exchange) again() *again {
	form, err := x.fields()
	if err != nil || len(form) == 0 {
		return nil
	}
	for _, s := range secrets {
		if form.Has(s) {
			return nil
		}
	}
	a := &again{Action: x.r.URL.Path, Button: part.Button{Deed: x.text("problem.again")}}
	for name, values := range form {
		for _, v := range values {
			a.Fields = append(a.Fields, part.Field{Name: name, Value: v})
		}
	}
	return a
}

// failJSON tells an error to a program.
func (x *exchange) failJSON(status int, err error) {
	type said struct {
		Field   string `json:"field"`
		Code    string `json:"code"`
		Message string `json:"message"`
	}
	body := struct {
		Error struct {
			Kind    string `json:"kind"`
			Request string `json:"request"`
			Faults  []said `json:"faults"`
			Version string `json:"version,omitempty"` // the newest, when the one sent was stale
		} `json:"error"`
	}{}
	body.Error.Kind, body.Error.Request = domain.KindOf(err).String(), x.id
	for _, f := range x.faultsOf(err) {
		body.Error.Faults = append(body.Error.Faults, said{f.Field, f.Code.Name(), x.Book.Fault(f)})
	}
	if current := currentOf(err); current != nil {
		body.Error.Version = strconv.FormatInt(versionOf(current), 10)
	}
	if jsonErr := x.json(status, body); jsonErr != nil {
		x.Log.Error("the answer cannot be made", "request", x.id, "error", jsonErr.Error())
		x.gin.Status(http.StatusInternalServerError)
	}
}

// currentOf returns the thing as it stands now, of an error that says it was changed.
func currentOf(err error) any {
	var e *domain.Error
	if errors.As(err, &e) && e.Kind == domain.Stale {
		return e.Current
	}
	return nil
}

func (w *Web) noPage(x *exchange) error {
	if x.r.Method != http.MethodGet && x.r.Method != http.MethodHead {
		return domain.Refuse(domain.NotFound, NoSuchPage.At(""))
	}
	if err := x.identify(); err != nil { // the page offers the ways of whoever is logged in
		return err
	}
	return domain.Refuse(domain.NotFound, NoSuchPage.At(""))
}

func (w *Web) noMethod(x *exchange) error {
	err := domain.Refuse(domain.NotFound, MethodUnknown.At("", shortened(x.r.Method, 20)))
	if x.wantsJSON() {
		x.failJSON(http.StatusMethodNotAllowed, err)
		return nil
	}
	return x.page(http.StatusMethodNotAllowed, "problem", x.problem(http.StatusMethodNotAllowed, err))
}
