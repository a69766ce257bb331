// Package demo fills an empty database with an invented company, so that the program can
// be tried: its people, one for each role, and clients with sites and measuring points.
// Everything is written by the services' own commands, under fixed ids, so that filling
// twice, or again after a kill, comes to the same. Names, places and numbers are invented;
// telephone numbers are from the range that Ofcom keeps free for drama (01632 960000 to
// 960999, from memory) and addresses of mail end in .example (RFC 2606).
//
// Not here: which database may be filled, and what is printed about it.
package demo

import (
	"context"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/service/account"
	"rillmark/service/registry"
)

// Company is the invented service company's name.
const Company = "Saltmarsh Metering Services"

// Password is the one password of all the invented people. It protects nothing: the demo
// listens on the machine itself alone.
const Password = "saltmarsh at low tide"

// Services are what the demo writes through.
type Services struct {
	Account  *account.Service
	Registry *registry.Service
}

// actor is what the audit trail calls the demo.
var actor = access.System("demo")

// Fill writes the company. It returns at once when it is there.
func Fill(ctx context.Context, s Services) error {
	// What is written last tells whether all is there: a killed run stops before it.
	last := points[len(points)-1]
	_, err := s.Registry.Point(ctx, actor, idOf[domain.PointKind](pointRow, len(points)-1))
	switch {
	case err == nil:
		return nil
	case domain.KindOf(err) != domain.NotFound:
		return domain.Wrap("demo: "+last.texts.Tag, err)
	}
	for _, write := range []func(context.Context, Services) error{fillPeople, fillClients, fillSites, fillPoints} {
		if err := write(ctx, s); err != nil {
			return domain.Wrap("demo", err)
		}
	}
	return nil
}

func fillPeople(ctx context.Context, s Services) error {
	for i, p := range people {
		_, err := s.Account.AddPerson(ctx, actor, account.AddPerson{
			Operation: idOf[domain.OperationKind](personWrite, i), ID: idOf[domain.PersonKind](personRow, i),
			Login: p.Login, Name: p.Name, Roles: []string{string(p.Role)}, Password: Password,
		})
		if err != nil {
			return err
		}
	}
	return nil
}

func fillClients(ctx context.Context, s Services) error {
	for i, c := range clients {
		c.Operation, c.ID = idOf[domain.OperationKind](clientWrite, i), idOf[domain.ClientKind](clientRow, i)
		if _, err := s.Registry.AddClient(ctx, actor, c); err != nil {
			return err
		}
	}
	return nil
}

func fillSites(ctx context.Context, s Services) error {
	for i, site := range sites {
		add := site.add
		add.Operation, add.ID = idOf[domain.OperationKind](siteWrite, i), idOf[domain.SiteKind](siteRow, i)
		add.ClientID = idOf[domain.ClientKind](clientRow, site.client)
		if _, err := s.Registry.AddSite(ctx, actor, add); err != nil {
			return err
		}
	}
	return nil
}

func fillPoints(ctx context.Context, s Services) error {
	for i, p := range points {
		_, err := s.Registry.AddPoint(ctx, actor, registry.AddPoint{
			Operation: idOf[domain.OperationKind](pointWrite, i), ID: idOf[domain.PointKind](pointRow, i),
			SiteID: idOf[domain.SiteKind](siteRow, p.site), PointTexts: p.texts,
		})
		if err != nil {
			return err
		}
	}
	return nil
}
