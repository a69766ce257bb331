package main

import (
	"context"
	"log/slog"
	"net/http"
	"net/netip"
	"strings"
	"time"

	"rillmark/calc/fault"
	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/certificate"
	"rillmark/domain/evaluation"
	"rillmark/service/account"
	"rillmark/service/agreeing"
	"rillmark/service/capture"
	"rillmark/service/capture/tracing"
	"rillmark/service/demo"
	"rillmark/service/document"
	"rillmark/service/equipment"
	"rillmark/service/issuing"
	"rillmark/service/planning"
	"rillmark/service/registry"
	"rillmark/service/sentence"
	"rillmark/service/store"
	"rillmark/service/web"
	"rillmark/templates"
)

// handlerConfig is what the pages are made of.
type handlerConfig struct {
	store     *store.Store
	portal    *store.Store // of the clients' role; nil: none
	publicURL string
	company   certificate.Party
	zone      *time.Location
	proxies   []string
	log       *slog.Logger
}

// services puts the services together, with the words in which they and the pages speak.
func (p *program) services(c handlerConfig) (demo.Services, *sentence.Book, error) {
	zone := c.zone
	if zone == nil {
		zone = time.UTC
	}
	services := demo.Services{
		Account:   account.New(account.Config{Store: c.store, IDs: p.ids, Random: p.random}),
		Registry:  registry.New(c.store),
		Equipment: equipment.New(c.store, zone),
		Agreeing:  agreeing.New(c.store, zone),
		Planning:  planning.New(planning.Config{Store: c.store, IDs: p.ids}),
		Capture:   capture.New(capture.Config{Store: c.store, IDs: p.ids, Version: programVersion()}),
	}
	services.Tracing = tracing.New(tracing.Config{Store: c.store, IDs: p.ids, Capture: services.Capture})
	book, err := words()
	if err != nil {
		return services, nil, err
	}
	book.OnMissing(func(key string, err error) {
		c.log.Error("the catalogue has a gap", slog.String("key", key), slog.String("error", err.Error()))
	})
	services.Issuing = issuing.New(issuing.Config{Store: c.store, Portal: c.portal, Random: p.random, Zone: zone, Company: c.company,
		Program: "Rillmark", Version: programVersion(), PublicURL: c.publicURL, Layout: document.Latest, Traces: services.Tracing.Annex, Say: func(f fault.Fault) string { return book.Fault(book.Worded(f)) }, Render: document.Render,
		Facts: func(ctx context.Context, a access.Actor, id domain.TaskID) (evaluation.Facts, error) {
			w, err := services.Capture.Sheet(ctx, a, id)
			if err != nil {
				return evaluation.Facts{}, err
			}
			return w.Facts, nil
		}})
	return services, book, nil
}

// handler puts the pages over the services.
func (p *program) handler(c handlerConfig) (http.Handler, error) {
	services, book, err := p.services(c)
	if err != nil {
		return nil, err
	}
	return web.New(web.Config{
		Accounts: services.Account, Registry: services.Registry, Equipment: services.Equipment, Agreeing: services.Agreeing,
		Planning: services.Planning, Capture: services.Capture, Tracing: services.Tracing, Issuing: services.Issuing, Records: c.store, Book: book, Files: templates.Files,
		Log: c.log, IDs: p.ids, Now: p.now, Company: c.company.Name, Zone: c.zone, PublicURL: c.publicURL, TrustedProxies: c.proxies,
	})
}

// splitList splits a setting that holds several values.
func splitList(text string) (values []string) {
	for _, v := range strings.Split(text, ",") {
		if v = strings.TrimSpace(v); v != "" {
			values = append(values, v)
		}
	}
	return values
}

// isNetworks reports whether each value is an address or a network.
func isNetworks(text string) bool {
	for _, v := range splitList(text) {
		_, errAddress := netip.ParseAddr(v)
		_, errNetwork := netip.ParsePrefix(v)
		if errAddress != nil && errNetwork != nil {
			return false
		}
	}
	return true
}

func isZone(text string) bool {
	_, err := time.LoadLocation(text)
	return err == nil && text != "Local"
}
