// Package demo fills an empty database with an invented company, so that the program can
// be tried: its people, clients with sites, measuring points and meters, equipment with
// calibrations, a method, agreements, and visits in every state with the work sheets of
// those that were made, and certificates of some. Everything is written by the services' own commands, under fixed
// ids, so that filling twice, or again after a kill, comes to the same; no result is
// stored but what the services compute. Days are told from the moment of the first write.
//
// Names, places and numbers are invented; telephone numbers are from the range that Ofcom
// keeps free for drama (01632 960000 to 960999, from memory) and addresses of mail end in
// .example (RFC 2606). Readings are computed by the program's own model from the flow and
// the meter's error that the story has, not drawn at random.
//
// Not here: which database may be filled, and what is printed about it.
package demo

import (
	"context"
	"sync"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/domain/certificate"
	"rillmark/service/account"
	"rillmark/service/agreeing"
	"rillmark/service/capture"
	"rillmark/service/capture/tracing"
	"rillmark/service/equipment"
	"rillmark/service/issuing"
	"rillmark/service/planning"
	"rillmark/service/registry"
)

// Company is the invented service company's name.
const Company = "Saltmarsh Metering Services"

// Party is the company as its certificates name it.
func Party() certificate.Party {
	return certificate.Party{Name: Company, Address: []string{"Tide Mill Lane 9", "Saltmarsh"}, Contact: "telephone 01632 960100"}
}

// Password is the one password of all the invented people. It protects nothing: the demo
// listens on the machine itself alone.
const Password = "saltmarsh at low tide"

// Services are what the demo writes through. The company's zone is UTC in all of them.
type Services struct {
	Account   *account.Service
	Registry  *registry.Service
	Equipment *equipment.Service
	Agreeing  *agreeing.Service
	Planning  *planning.Service
	Capture   *capture.Service
	Tracing   *tracing.Service
	Issuing   *issuing.Service
}

// actor is what the audit trail calls the demo where none of the people acts yet.
var actor = access.System("demo")

// load is one filling under way.
type load struct {
	Services
	calendar
}

// Fill writes the company. It returns at once when it is there.
func Fill(ctx context.Context, s Services) error {
	// What is written last tells whether all is there: a killed run stops before it.
	last := len(visits) - 1
	_, err := s.Planning.Visit(ctx, actor, idOf[domain.VisitKind](visitRow, last))
	switch {
	case err == nil:
		return nil
	case domain.KindOf(err) != domain.NotFound:
		return domain.Wrap("demo", err)
	}
	l := &load{Services: s}
	for _, write := range l.chapters() {
		if err := write(ctx); err != nil {
			return domain.Wrap("demo", err)
		}
	}
	return nil
}

// chapters are the parts of the story, in the order in which they are written. The first
// visit comes before the method's present edition: it was made by the one before.
func (l *load) chapters() []func(context.Context) error {
	return []func(context.Context) error{
		l.people, l.clients, l.sites, l.points, l.meters, l.installations,
		l.kit, l.calibrations, l.sets, l.method, l.authorisations,
		part(l.edition, 0, 1), part(l.agreement, 0, 1), part(l.visit, 0, 1),
		part(l.edition, 1, len(editions)), part(l.agreement, 1, len(agreements)),
		beside(l.visit, 1, len(visits)-1), l.judgements, part(l.visit, len(visits)-1, len(visits)),
	}
}

// part writes the things from the first up to, but not, the last.
func part(write func(context.Context, int) error, first, last int) func(context.Context) error {
	return func(ctx context.Context) error {
		for i := first; i < last; i++ {
			if err := write(ctx, i); err != nil {
				return err
			}
		}
		return nil
	}
}

// beside is part with several at a time: most of a write is waiting for the database. What
// is written so must not stand on one another.
func beside(write func(context.Context, int) error, first, last int) func(context.Context) error {
	return func(ctx context.Context) error {
		ctx, stop := context.WithCancelCause(ctx)
		defer stop(nil)
		var all sync.WaitGroup
		slots := make(chan struct{}, atATime)
		for i := first; i < last; i++ {
			slots <- struct{}{}
			all.Go(func() {
				defer func() { <-slots }()
				if err := write(ctx, i); err != nil {
					stop(err) // only the first one counts: the others were stopped by it
				}
			})
		}
		all.Wait()
		return context.Cause(ctx)
	}
}

// atATime is how many things beside writes at once: within the usual number of a pool's
// connections.
const atATime = 3
