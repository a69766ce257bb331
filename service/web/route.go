package web

import (
	"net/http"

	"rillmark/domain/access"
)

// route is one thing that can be asked: which method and path, what the actor must be
// allowed to do, and who answers. The act is the rule; a route without one is refused to
// everybody and fails the tests.
type route struct {
	method string
	path   string
	act    access.Act
	handle func(*exchange) error
	costly bool  // keeps a processor or the database busy; only a few at a time
	limit  int64 // largest body in bytes; 0: usualBody
}

// usualBody is the largest body of an ordinary form or command: the longest texts that
// the fields allow, all of them outside of ASCII and percent-encoded, with room to spare.
const usualBody = 256 << 10

func (r route) bodyLimit() int64 {
	if r.limit == 0 {
		return usualBody
	}
	return r.limit
}

// routes is the whole table.
func (w *Web) routes() []route {
	const get, post = http.MethodGet, http.MethodPost
	return []route{
		{method: get, path: "/healthz", act: access.Public, handle: w.health},
		{method: get, path: assetRoot + "*name", act: access.Public, handle: w.asset},
		{method: get, path: "/favicon.ico", act: access.Public, handle: w.favicon},

		{method: get, path: "/login", act: access.Public, handle: w.showLogin},
		{method: post, path: "/login", act: access.Public, handle: w.login, limit: 16 << 10},
		{method: post, path: "/logout", act: access.SignedIn, handle: w.logout, limit: 16 << 10},

		{method: get, path: "/", act: access.SignedIn, handle: w.today},
		{method: get, path: "/parts", act: access.SignedIn, handle: w.parts},
		{method: get, path: "/kept/:entry", act: access.SignedIn, handle: w.showKept},
		{method: post, path: "/kept/:entry/drop", act: access.SignedIn, handle: w.dropKept, limit: 16 << 10},

		{method: get, path: "/clients", act: access.SeeRegister, handle: w.clients},
		{method: get, path: "/clients/new", act: access.ChangeClient, handle: w.newClient},
		{method: post, path: "/clients", act: access.ChangeClient, handle: w.addClient},
		{method: get, path: "/clients/:client", act: access.SeeRegister, handle: w.client},
		{method: get, path: "/clients/:client/change", act: access.ChangeClient, handle: w.editClient},
		{method: post, path: "/clients/:client", act: access.ChangeClient, handle: w.changeClient},
		{method: get, path: "/clients/:client/history", act: access.SeeRegister, handle: w.clientHistory},

		{method: get, path: "/clients/:client/sites/new", act: access.ChangeSite, handle: w.newSite},
		{method: post, path: "/clients/:client/sites", act: access.ChangeSite, handle: w.addSite},
		{method: get, path: "/sites/:site", act: access.SeeRegister, handle: w.site},
		{method: get, path: "/sites/:site/change", act: access.ChangeSite, handle: w.editSite},
		{method: post, path: "/sites/:site", act: access.ChangeSite, handle: w.changeSite},
		{method: get, path: "/sites/:site/history", act: access.SeeRegister, handle: w.siteHistory},

		{method: get, path: "/sites/:site/points/new", act: access.ChangePoint, handle: w.newPoint},
		{method: post, path: "/sites/:site/points", act: access.ChangePoint, handle: w.addPoint},
		{method: get, path: "/points/:point", act: access.SeeRegister, handle: w.point},
		{method: get, path: "/points/:point/change", act: access.ChangePoint, handle: w.editPoint},
		{method: post, path: "/points/:point", act: access.ChangePoint, handle: w.changePoint},
		{method: get, path: "/points/:point/history", act: access.SeeRegister, handle: w.pointHistory},

		{method: get, path: "/people", act: access.SeePeople, handle: w.people},
		{method: get, path: "/people/new", act: access.ManagePeople, handle: w.newPerson},
		{method: post, path: "/people", act: access.ManagePeople, handle: w.addPerson},
		{method: get, path: "/people/:person", act: access.SeePeople, handle: w.person},
		{method: get, path: "/people/:person/change", act: access.ManagePeople, handle: w.editPerson},
		{method: post, path: "/people/:person", act: access.ManagePeople, handle: w.changePerson},
		{method: get, path: "/people/:person/password", act: access.ManagePeople, handle: w.newPassword},
		{method: post, path: "/people/:person/password", act: access.ManagePeople, handle: w.setPassword, limit: 16 << 10},
		{method: post, path: "/people/:person/sessions", act: access.ManagePeople, handle: w.endSessions, limit: 16 << 10},
		{method: get, path: "/people/:person/history", act: access.SeePeople, handle: w.personHistory},

		{method: get, path: "/account", act: access.SignedIn, handle: w.ownAccount},
		{method: get, path: "/account/password", act: access.SignedIn, handle: w.newOwnPassword},
		{method: post, path: "/account/password", act: access.SignedIn, handle: w.setOwnPassword, limit: 16 << 10},
		{method: post, path: "/account/sessions", act: access.SignedIn, handle: w.endOwnSessions, limit: 16 << 10},

		{method: get, path: "/audit", act: access.SeeAudit, handle: w.audit},
		{method: get, path: "/audit/check", act: access.SeeAudit, handle: w.checkAudit, costly: true},
	}
}
