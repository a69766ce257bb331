package main

import (
	"log/slog"
	"net/http"

	"rillmark/service/account"
	"rillmark/service/demo"
	"rillmark/service/registry"
	"rillmark/service/store"
)

// handlerConfig is what the pages are made of.
type handlerConfig struct {
	store     *store.Store
	publicURL string
	log       *slog.Logger
}

// handler puts the services together and the pages over them. first, when there is one,
// writes through the services before anybody else can.
func (p *program) handler(c handlerConfig, first func(demo.Services) error) (http.Handler, error) {
	services := demo.Services{
		Account:  account.New(account.Config{Store: c.store, IDs: p.ids, Random: p.random}),
		Registry: registry.New(c.store),
	}
	if first != nil {
		if err := first(services); err != nil {
			return nil, err
		}
	}
	mux := http.NewServeMux()
	mux.Handle("GET "+healthPath, health(c.store))
	return mux, nil
}
