package web

import (
	"net/http"
	"slices"

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
	upload bool  // takes a form with a file beside the usual one
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
	return slices.Concat(w.planRoutes(), w.sheetRoutes(), w.traceRoutes(), w.reviewRoutes(), w.certificateRoutes(), []route{
		{method: get, path: "/healthz", act: access.Public, handle: w.health},
		{method: get, path: assetRoot + "*name", act: access.Public, handle: w.asset},
		{method: get, path: "/favicon.ico", act: access.Public, handle: w.favicon},

		{method: get, path: "/login", act: access.Public, handle: w.showLogin},
		{method: post, path: "/login", act: access.Public, handle: w.login, limit: loginLimit},
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

		{method: get, path: "/clients/:client/meters", act: access.SeeRegister, handle: w.meters},
		{method: get, path: "/clients/:client/meters/new", act: access.ChangeMeter, handle: w.newMeter},
		{method: post, path: "/clients/:client/meters", act: access.ChangeMeter, handle: w.addMeter},
		{method: get, path: "/meters/:meter", act: access.SeeRegister, handle: w.meter},
		{method: get, path: "/meters/:meter/change", act: access.ChangeMeter, handle: w.editMeter},
		{method: post, path: "/meters/:meter", act: access.ChangeMeter, handle: w.changeMeter},
		{method: get, path: "/meters/:meter/history", act: access.SeeRegister, handle: w.meterHistory},
		{method: get, path: "/meters/:meter/indications/new", act: access.ChangeMeter, handle: w.newIndication},
		{method: post, path: "/meters/:meter/indications", act: access.ChangeMeter, handle: w.addIndication},
		{method: get, path: "/indications/:indication", act: access.SeeRegister, handle: w.indication},
		{method: get, path: "/indications/:indication/change", act: access.ChangeMeter, handle: w.editIndication},
		{method: post, path: "/indications/:indication", act: access.ChangeMeter, handle: w.changeIndication},
		{method: get, path: "/indications/:indication/history", act: access.SeeRegister, handle: w.indicationHistory},
		{method: get, path: "/points/:point/installations/new", act: access.ChangeMeter, handle: w.newInstallation},
		{method: post, path: "/points/:point/installations", act: access.ChangeMeter, handle: w.addInstallation},
		{method: get, path: "/installations/:installation", act: access.SeeRegister, handle: w.installation},
		{method: get, path: "/installations/:installation/change", act: access.ChangeMeter, handle: w.editInstallation},
		{method: post, path: "/installations/:installation", act: access.ChangeMeter, handle: w.changeInstallation},
		{method: get, path: "/installations/:installation/history", act: access.SeeRegister, handle: w.installationHistory},

		{method: get, path: "/points/:point/agreements/new", act: access.ChangeAgreement, handle: w.newAgreement},
		{method: post, path: "/points/:point/agreements", act: access.ChangeAgreement, handle: w.addAgreement},
		{method: get, path: "/agreements/:agreement", act: access.SeeRegister, handle: w.agreement},
		{method: get, path: "/agreements/:agreement/history", act: access.SeeRegister, handle: w.agreementHistory},

		{method: get, path: "/kit", act: access.SeeKit, handle: w.kitList},
		{method: get, path: "/kit/new", act: access.ChangeKit, handle: w.newItem},
		{method: post, path: "/kit", act: access.ChangeKit, handle: w.addItem},
		{method: get, path: "/kit/:item", act: access.SeeKit, handle: w.kitItem},
		{method: get, path: "/kit/:item/change", act: access.ChangeKit, handle: w.editItem},
		{method: post, path: "/kit/:item", act: access.ChangeKit, handle: w.changeItem},
		{method: get, path: "/kit/:item/history", act: access.SeeKit, handle: w.itemHistory},
		{method: get, path: "/kit/:item/calibrations/new", act: access.ChangeKit, handle: w.newCalibration},
		{method: post, path: "/kit/:item/calibrations", act: access.ChangeKit, handle: w.addCalibration, limit: calibrationLimit, upload: true},
		{method: get, path: "/calibrations/:calibration", act: access.SeeKit, handle: w.calibration},
		{method: get, path: "/calibrations/:calibration/document", act: access.SeeKit, handle: w.calibrationDocument, costly: true},
		{method: get, path: "/calibrations/:calibration/history", act: access.SeeKit, handle: w.calibrationHistory},
		{method: get, path: "/sets", act: access.SeeKit, handle: w.sets},
		{method: get, path: "/sets/new", act: access.ChangeKit, handle: w.newSet},
		{method: post, path: "/sets", act: access.ChangeKit, handle: w.addSet},
		{method: get, path: "/sets/:set", act: access.SeeKit, handle: w.set},
		{method: get, path: "/sets/:set/change", act: access.ChangeKit, handle: w.editSet},
		{method: post, path: "/sets/:set", act: access.ChangeKit, handle: w.changeSet},
		{method: get, path: "/sets/:set/history", act: access.SeeKit, handle: w.setHistory},

		{method: get, path: "/methods", act: access.SeeMethods, handle: w.methods},
		{method: get, path: "/methods/new", act: access.ChangeMethod, handle: w.newMethod},
		{method: post, path: "/methods", act: access.ChangeMethod, handle: w.addMethod},
		{method: get, path: "/methods/:method", act: access.SeeMethods, handle: w.method},
		{method: get, path: "/methods/:method/change", act: access.ChangeMethod, handle: w.editMethod},
		{method: post, path: "/methods/:method", act: access.ChangeMethod, handle: w.changeMethod},
		{method: get, path: "/methods/:method/history", act: access.SeeMethods, handle: w.methodHistory},
		{method: get, path: "/methods/:method/editions/new", act: access.ChangeMethod, handle: w.newEdition},
		{method: post, path: "/methods/:method/editions", act: access.ChangeMethod, handle: w.addEdition, limit: editionLimit},
		{method: get, path: "/editions/:edition", act: access.SeeMethods, handle: w.edition},
		{method: get, path: "/editions/:edition/change", act: access.ChangeMethod, handle: w.editEdition},
		{method: post, path: "/editions/:edition", act: access.ChangeMethod, handle: w.changeEdition, limit: editionLimit},
		{method: get, path: "/editions/:edition/history", act: access.SeeMethods, handle: w.editionHistory},
		{method: get, path: "/methods/:method/authorisations/new", act: access.Authorise, handle: w.newAuthorisation},
		{method: post, path: "/methods/:method/authorisations", act: access.Authorise, handle: w.addAuthorisation},
		{method: get, path: "/authorisations/:authorisation", act: access.SeeMethods, handle: w.authorisation},
		{method: get, path: "/authorisations/:authorisation/change", act: access.Authorise, handle: w.editAuthorisation},
		{method: post, path: "/authorisations/:authorisation", act: access.Authorise, handle: w.changeAuthorisation},
		{method: get, path: "/authorisations/:authorisation/history", act: access.SeeMethods, handle: w.authorisationHistory},

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
		{method: get, path: "/account/lengths", act: access.SignedIn, handle: w.newLengths},
		{method: post, path: "/account/lengths", act: access.SignedIn, handle: w.chooseLengths, limit: 16 << 10},
		{method: get, path: "/account/password", act: access.SignedIn, handle: w.newOwnPassword},
		{method: post, path: "/account/password", act: access.SignedIn, handle: w.setOwnPassword, limit: 16 << 10},
		{method: post, path: "/account/sessions", act: access.SignedIn, handle: w.endOwnSessions, limit: 16 << 10},

		{method: get, path: "/audit", act: access.SeeAudit, handle: w.audit},
		{method: get, path: "/audit/check", act: access.SeeAudit, handle: w.checkAudit, costly: true},
	})
}
