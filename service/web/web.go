// Package web is the program's face to browsers: it reads a request, calls one service,
// and renders one page. Gin stops here. Pages are made of the parts in web/part and the
// templates; words come from service/sentence. Who may do what is in domain/access; the
// route table names one act for each route. It follows OWASP ASVS 5.0 for headers,
// cookies and input.
package web

import (
	"context"
	"fmt"
	"io/fs"
	"log/slog"
	"net/http"
	"net/url"
	"time"

	"github.com/gin-gonic/gin"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/audit"
	"rillmark/service/account"
	"rillmark/service/agreeing"
	"rillmark/service/capture"
	"rillmark/service/capture/tracing"
	"rillmark/service/equipment"
	"rillmark/service/issuing"
	"rillmark/service/planning"
	"rillmark/service/registry"
	"rillmark/service/sentence"
	"rillmark/service/store"
)

// Records is what pages need of the store itself: the audit trail, the security log, and
// whether the database answers.
type Records interface {
	Trail(ctx context.Context, about *audit.Subject, before int64, limit int) ([]store.Entry, error)
	TrailOf(ctx context.Context, f store.TrailFilter, limit int) ([]store.Entry, error)
	Verify(ctx context.Context) (store.Head, []store.Problem, error)
	LogSecurity(ctx context.Context, e store.SecurityEvent) error
	Ping(ctx context.Context) error
}

// Config is what the pages need from outside. The services, Records, Book, Files, IDs and
// Now must be there.
type Config struct {
	Accounts  *account.Service
	Registry  *registry.Service
	Equipment *equipment.Service
	Agreeing  *agreeing.Service
	Planning  *planning.Service
	Capture   *capture.Service
	Tracing   *tracing.Service
	Issuing   *issuing.Service
	Records   Records
	Book      *sentence.Book
	Files     fs.FS // layouts, parts, pages, assets: templates.Files
	Log       *slog.Logger
	IDs       domain.IDs
	Now       func() time.Time

	Company        string         // the service company's name, in the foot of pages
	Zone           *time.Location // the company's; nil: UTC
	PublicURL      string         // address people use; https makes cookies and HSTS strict
	TrustedProxies []string       // addresses whose X-Forwarded-For is believed; empty: none
}

// Web answers requests. Make it with New.
type Web struct {
	Config
	view   *view
	https  bool
	host   string // of PublicURL; empty: any
	cross  *http.CrossOriginProtection
	costly gate
	asked  questions // the public check
	engine *gin.Engine
}

// New parses every template and builds the router.
func New(c Config) (*Web, error) {
	v, err := openView(c.Files, c.Book)
	if err != nil {
		return nil, fmt.Errorf("web: %w", err)
	}
	w := &Web{Config: c, view: v, cross: http.NewCrossOriginProtection(), costly: newGate(costlyAtOnce)}
	if w.Log == nil {
		w.Log = slog.New(slog.DiscardHandler)
	}
	if w.Zone == nil {
		w.Zone = time.UTC
	}
	if c.PublicURL != "" {
		u, err := url.Parse(c.PublicURL)
		if err != nil || u.Host == "" || u.Scheme != "http" && u.Scheme != "https" {
			return nil, fmt.Errorf("web: the public address %q is not one of http or https", c.PublicURL)
		}
		w.https, w.host = u.Scheme == "https", u.Hostname()
	}
	return w, w.build()
}

// ServeHTTP implements http.Handler.
func (w *Web) ServeHTTP(rw http.ResponseWriter, r *http.Request) { w.engine.ServeHTTP(rw, r) }

func (w *Web) build() error {
	gin.SetMode(gin.ReleaseMode)
	e := gin.New()
	e.HandleMethodNotAllowed = true
	e.RedirectTrailingSlash = false
	e.ContextWithFallback = true
	if err := e.SetTrustedProxies(w.TrustedProxies); err != nil {
		return fmt.Errorf("web: trusted proxies: %w", err)
	}
	for _, r := range w.routes() {
		e.Handle(r.method, r.path, w.wrap(r))
		if r.method == http.MethodGet {
			e.Handle(http.MethodHead, r.path, w.wrap(r))
		}
	}
	e.NoRoute(w.wrap(route{act: access.Public, handle: w.noPage}))
	e.NoMethod(w.wrap(route{act: access.Public, handle: w.noMethod}))
	w.engine = e
	return nil
}
