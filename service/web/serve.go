package web

import (
	"fmt"
	"log/slog"
	"net/http"
	"net/url"
	"runtime/debug"

	"github.com/gin-gonic/gin"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/service/account"
	"rillmark/service/store"
)

// wrap is what stands around every handler: headers, host and origin, limits, who is
// asking and whether they may, and the one place where an error becomes an answer.
func (w *Web) wrap(r route) gin.HandlerFunc {
	return func(c *gin.Context) {
		started := w.Now()
		x := &exchange{Web: w, gin: c, r: c.Request, id: w.IDs().String(), route: r}
		w.secure(c.Writer.Header())
		c.Header("X-Request-Id", x.id)
		err := x.guarded()
		if err != nil {
			x.fail(err)
		} else {
			err = x.rejected
		}
		x.log(err, w.Now().Sub(started).Milliseconds())
	}
}

// guarded runs the handler and turns a panic into an error that holds the stack for the
// log; the page that people see tells none of it.
func (x *exchange) guarded() (err error) {
	defer func() {
		caught := recover()
		if caught == nil {
			return
		}
		if caught == http.ErrAbortHandler {
			panic(caught)
		}
		err = fmt.Errorf("panic: %v\n%s", caught, debug.Stack())
	}()
	return x.serve()
}

func (x *exchange) serve() error {
	if err := x.rightHost(x.r); err != nil {
		return err
	}
	if err := x.cross.Check(x.r); err != nil {
		return &domain.Error{Kind: domain.Forbidden, Faults: domain.Refuse(domain.Forbidden, OtherOrigin.At("")).Faults, Cause: err}
	}
	if limit := x.route.bodyLimit(); x.r.ContentLength > limit {
		x.gin.Header("Connection", "close") // the rest of the body is not read
		return domain.Refuse(domain.TooLarge, BodyTooLarge.At("", int(limit>>10)))
	}
	x.r.Body = http.MaxBytesReader(x.gin.Writer, x.r.Body, x.route.bodyLimit())
	if x.route.act != access.Public || x.route.path == "/login" {
		if err := x.identify(); err != nil {
			return err
		}
	}
	if err := access.May(x.actor, x.route.act); err != nil {
		return err
	}
	if x.route.costly {
		leave, err := x.costly.enter()
		if err != nil {
			return err
		}
		defer leave()
	}
	return x.route.handle(x)
}

// identify finds out who is asking. The rule of the route decides what that is worth.
func (x *exchange) identify() error {
	v, err := x.Accounts.Visitor(x.ctx(), x.cookie(x.r, sessionCookie))
	if err != nil {
		return err
	}
	x.visitor, x.actor = v, v.Actor()
	return nil
}

// log writes one line for the request; what people typed is never in it.
func (x *exchange) log(err error, millis int64) {
	path := x.route.path
	if path == "" {
		path = x.r.URL.Path
	}
	attrs := []slog.Attr{
		slog.String("request", x.id), slog.String("method", x.r.Method), slog.String("path", shortened(path, 200)),
		slog.Int("status", x.gin.Writer.Status()), slog.Int64("ms", millis), slog.String("address", x.gin.ClientIP()),
	}
	if !x.actor.Nobody() {
		attrs = append(attrs, slog.String("actor", x.actor.Name()))
	}
	level := slog.LevelInfo
	if err != nil {
		attrs = append(attrs, slog.String("error", err.Error()))
		level = levelOf(domain.KindOf(err))
	}
	x.Log.LogAttrs(x.ctx(), level, "request", attrs...)
}

func levelOf(k domain.Kind) slog.Level {
	switch k {
	case domain.Internal, domain.Full:
		return slog.LevelError
	case domain.Busy, domain.Forbidden, domain.Throttled:
		return slog.LevelWarn
	}
	return slog.LevelInfo
}

// refused notes in the security log that someone who is logged in was not let do it.
func (x *exchange) refused() {
	_ = x.Records.LogSecurity(x.ctx(), store.SecurityEvent{Event: "access.refused", Person: x.visitor.Person.ID,
		Address: x.gin.ClientIP(), Detail: x.r.Method + " " + x.route.path + " needs " + string(x.route.act)})
}

// late answers somebody who is not logged in: a browser goes to the login and back. A
// form that met an ended session is kept for its person first.
func (x *exchange) late(err error) {
	if x.wantsJSON() {
		x.failJSON(http.StatusUnauthorized, err)
		return
	}
	query := url.Values{}
	switch x.r.Method {
	case http.MethodGet, http.MethodHead:
		query.Set("next", x.r.URL.RequestURI())
	default:
		kept, keepErr := x.keep()
		if keepErr != nil {
			x.fail(keepErr)
			return
		}
		if kept.Valid() {
			query.Set("kept", "yes")
			query.Set("next", "/kept/"+kept.String())
		} else if carried := x.carried(); carried.Path != "" {
			x.askLoginFor(carried)
			return
		} else {
			query.Set("late", "yes")
		}
	}
	x.gin.Header("Location", "/login?"+query.Encode())
	x.gin.Status(http.StatusSeeOther)
}

// secrets are the fields that are never kept nor shown again.
var secrets = []string{"password", "again", "present"}

// keep keeps the form of a person whose session has ended. The zero id says that there
// was nobody to keep it for, or nothing worth keeping.
func (x *exchange) keep() (domain.EntryID, error) {
	ended := x.visitor.State == account.Expired || x.visitor.State == account.Revoked
	if !ended || x.route.path == "/logout" {
		return domain.EntryID{}, nil
	}
	form, err := x.fields()
	if err != nil {
		return domain.EntryID{}, err
	}
	if holdsSecret(form) {
		return domain.EntryID{}, nil // without its password it could not be sent
	}
	return x.Accounts.Keep(x.ctx(), x.visitor, x.r.URL.Path, form.Encode())
}
